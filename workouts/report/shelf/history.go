package shelf

import (
	"fmt"
	"math"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/trend"
)

// A history is told with its methods.
type history struct {
	library.History
	folder report.Folder // of the recordings
}

// Report tells a history to people and programs. Miles says how pace is
// counted for people.
func History(past library.History, miles bool) *report.Report {
	var names []string
	for _, r := range past.Runs {
		names = append(names, r.Name)
	}
	h := history{past, report.FolderOf(names)}
	u := figures.UnitOf(miles)
	written := notation.Print(h.Entry.Workout)
	rep := &report.Report{
		Title: h.Entry.Name,
		Lead:  []string{written},
		Before: report.Object{
			{Key: "schema", Value: "rungs/history/1"}, {Key: "workout", Value: h.Entry.Name},
			{Key: "title", Value: report.OrNil(h.Entry.Workout.Name)}, {Key: "notation", Value: written},
			report.Num("odometer_pct", h.OdometerPct, 2),
		},
		Subject:  report.Object{{Key: "workout", Value: h.Entry.Name}},
		Table:    report.Tabulate("runs", h.Runs, h.columns(u)),
		Warnings: h.Warnings,
	}
	rep.Before = append(rep.Before, report.Field{Key: "course", Value: h.courseFields()})
	rep.Table.Notes = h.notes()
	rep.Front = h.front(u)
	for _, s := range h.sentences(u) {
		rep.Said = append(rep.Said, report.Sentence{Text: s})
	}
	return rep
}

// beats is a field of a heart rate or a difference of two.
func beats(key string, v float64, decimals int) report.Field {
	return report.Field{Key: key, Value: report.Number{Value: v, Decimals: decimals, Unit: "bpm"}}
}

func (h history) columns(u figures.Unit) []report.ColumnOf[library.Run] {
	return []report.ColumnOf[library.Run]{
		{Column: report.Column{Head: "date"}, Cell: func(r library.Run) report.Cell {
			c := report.Cell{Text: "no date", Fields: report.Object{{Key: "file", Value: r.Name}, {Key: "start", Value: nil}}}
			if !r.Start.IsZero() {
				c.Text, c.Fields[1].Value = r.Start.Format(time.DateOnly), r.Start.Format(time.RFC3339)
			}
			return c
		}},
		{Column: report.Column{Head: "where", Rank: 1}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: placeWord(r.Place), Fields: report.Object{{Key: "place", Value: report.OrNil(string(r.Place))},
				report.Num("likeness", r.Likeness, 3), {Key: "verdict", Value: string(r.Result.Verdict)}}}
		}},
		{Column: report.Column{Head: "reps", Align: report.Right, Rank: 3}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: fmt.Sprintf("%d/%d", r.Done, r.Planned), Fields: report.Object{
				{Key: "reps_done", Value: r.Done}, {Key: "reps_planned", Value: r.Planned},
				report.Num("work_s", r.WorkS, 1), report.Num("work_m", r.WorkM, 1)}}
		}},
		{Column: report.Column{Head: "pace " + u.Per(), Align: report.Right}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: u.Pace(r.Pace), Style: report.Strong, Fields: report.Object{report.Num("pace_s_per_km", r.Pace, 2)}}
		}},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: u.Margin(r.PaceSE), Fields: report.Object{report.Num("pace_se_s_per_km", r.PaceSE, 2)}}
		}},
		{Column: report.Column{Head: "vs last", Align: report.Right}, Cell: func(r library.Run) report.Cell { return versusCell(r, h, u) }},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(r library.Run) report.Cell {
			if v := r.Versus; v != nil && v.Call != match.Level {
				return report.Cell{Text: u.Margin(v.SE)}
			}
			return report.Cell{}
		}},
		{Column: report.Column{Head: "drift", Align: report.Right, Rank: 4}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: figures.Signed(r.Drift*u.PerKm(), 0), Fields: report.Object{report.Num("drift_s_per_km", r.Drift, 2)}}
		}},
		{Column: report.Column{Head: "reps got", Rank: 2}, Cell: func(r library.Run) report.Cell {
			p := r.Result.Progression
			text := string(p.Call)
			if p.Call == match.Level {
				text = "~"
			}
			return report.Cell{Text: text, Fields: report.Object{{Key: "progression", Value: report.Object{
				{Key: "call", Value: report.OrNil(string(p.Call))}, report.Num("slope_s_per_km_per_rep", p.SlopeSPerKmPerRep, 2),
				{Key: "se", Value: report.Number{Value: p.SlopeSE, Decimals: 2, Unit: "s_per_km_per_rep"}}, report.Num("p", p.P, 6),
				{Key: "quicker_than_previous", Value: p.QuickerThanPrevious}, {Key: "of", Value: p.Compared}}}}}
		}},
		{Column: report.Column{Head: "HR", Align: report.Right, Rank: 6}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: figures.Whole(r.HeartBPM), Fields: report.Object{beats("hr_avg", r.HeartBPM, 0)}}
		}},
		{Column: report.Column{Head: "HR at pace", Align: report.Right, Rank: 2}, Cell: func(r library.Run) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "hr_at_equal_pace", Value: report.Object{
				beats("hr", r.EqualPaceBPM, 1), beats("se", r.EqualPaceSE, 1), report.Num("pace_s_per_km", r.EqualPace, 2)}}}}
			if !math.IsNaN(r.EqualPaceBPM) {
				c.Text = figures.Whole(r.EqualPaceBPM) + " at " + u.Pace(r.EqualPace)
			}
			return c
		}},
		{Column: report.Column{Head: "rest", Align: report.Right, Rank: 5}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: figures.Clock(r.RecoveryS), Fields: report.Object{{Key: "recovery", Value: report.Object{
				report.Num("time_s", r.RecoveryS, 1), report.Num("drift_s", r.RecoveryDriftS, 1), beats("hr_drop_60", r.HeartDrop60, 1)}}}}
		}},
		{Column: report.Column{Head: "HR drop", Align: report.Right, Rank: 7}, Cell: func(r library.Run) report.Cell {
			return report.Cell{Text: figures.Whole(r.HeartDrop60)}
		}},
		{Column: report.Column{Head: "recording", Rank: 8, Wrap: true}, Cell: func(r library.Run) report.Cell { return report.Cell{Text: h.folder.Inside(r.Name)} }},
	}
}

func versusCell(r library.Run, h history, u figures.Unit) report.Cell {
	v := r.Versus
	if v == nil {
		return report.Cell{Fields: report.Object{{Key: "versus", Value: nil}}}
	}
	c := report.Cell{Text: figures.Signed(v.DeltaSPerKm*u.PerKm(), 0), Fields: report.Object{{Key: "versus", Value: report.Object{
		{Key: "file", Value: h.Runs[v.With].Name}, {Key: "reps", Value: v.Reps},
		report.Num("delta_s_per_km", v.DeltaSPerKm, 2), report.Num("se_s_per_km", v.SE, 2), {Key: "call", Value: report.OrNil(string(v.Call))},
		beats("hr_delta", v.HeartBPM, 1), beats("hr_delta_se", v.HeartSE, 1)}}}}
	if v.Call == match.Level {
		c.Text = "~"
	}
	return c
}

// heartNote goes with heart rates at equal pace.
const heartNote = "HR at pace is what the heart rate would have been at the mean pace of all runs in that kind of place. Heart rate is a rough guide: heat, sleep, caffeine, medicines and the sensor move it."

func (h history) notes() []string {
	if len(h.Runs) == 0 {
		return nil
	}
	notes := []string{
		"± is the 95 % margin, in seconds; ~ is a difference within it: it cannot be known.",
		fmt.Sprintf("vs last is against the run before in the same kind of place, over the reps that both have. Its margin takes the odometer to differ by %g %% from run to run (by 0.3 %% where the track gave the distance).", h.OdometerPct),
	}
	for _, r := range h.Runs {
		if !math.IsNaN(r.EqualPaceBPM) {
			notes = append(notes, heartNote)
			break
		}
	}
	return append(notes, h.folder.Note()...)
}

// sentences sum a history up, the last run first.
func (h history) sentences(u figures.Unit) []string {
	n := len(h.Runs)
	if n == 0 {
		return []string{"No recording of this workout was found."}
	}
	var out []string
	last := h.Runs[n-1]
	switch v := last.Versus; {
	case v == nil && n > 1:
		out = append(out, fmt.Sprintf("The last run is the first %s, so there is nothing to hold it against.", inPlace(last.Place)))
	case v == nil:
		out = append(out, "It was run once.")
	default:
		then := h.Runs[v.With]
		switch v.Call {
		case match.Level:
			out = append(out, fmt.Sprintf("The last run was level with that of %s, as far as can be known (%s %s s%s).",
				then.Start.Format(time.DateOnly), figures.Signed(v.DeltaSPerKm*u.PerKm(), 0), u.Margin(v.SE), u.Per()))
		case match.Quicker, match.Slower:
			out = append(out, fmt.Sprintf("The last run was %s than that of %s by %s %s s%s over %d reps.", v.Call,
				then.Start.Format(time.DateOnly), figures.Whole(math.Abs(v.DeltaSPerKm)*u.PerKm()), u.Margin(v.SE), u.Per(), v.Reps))
		}
		if !math.IsNaN(v.HeartBPM) {
			word := "level, as far as can be known"
			if math.Abs(v.HeartBPM) > trend.Z95*v.HeartSE {
				word = "lower"
				if v.HeartBPM > 0 {
					word = "higher"
				}
			}
			out = append(out, fmt.Sprintf("At equal pace its heart rate was %s (%s ±%.0f beats/min).", word, figures.Signed(v.HeartBPM, 0), math.Ceil(trend.Z95*v.HeartSE)))
		}
	}
	if c, ok := h.Course(); ok {
		out = append(out, courseText(c, u))
	}
	for _, r := range h.Runs {
		if r.Place != last.Place {
			return append(out, "Runs in different kinds of place are not held against each other: a belt, a watch and a track measure differently, and ground makes running easier or harder.")
		}
	}
	return out
}

// courseText says how the pace went over all runs.
func courseText(c library.Course, u figures.Unit) string {
	over := fmt.Sprintf("Over the %d runs %s since %s ", c.Runs, inPlace(c.Place), c.From.Format(time.DateOnly))
	if c.Call == match.Level {
		return over + fmt.Sprintf("it cannot be told whether the pace changed (%s).", u.SignedDifference(c.ChangeSPerKm, c.Margin))
	}
	return over + fmt.Sprintf("the pace got %s by %s, along a line through all of them.", c.Call, u.Difference(c.ChangeSPerKm, c.Margin))
}

// courseFields is null for too few runs.
func (h history) courseFields() any {
	c, ok := h.Course()
	if !ok {
		return nil
	}
	return report.Object{{Key: "runs", Value: c.Runs}, {Key: "from", Value: c.From.Format(time.RFC3339)}, {Key: "to", Value: c.To.Format(time.RFC3339)},
		report.Num("change_s_per_km", c.ChangeSPerKm, 2), report.Num("margin_s_per_km", c.Margin, 2), {Key: "call", Value: string(c.Call)}}
}

func inPlace(p recording.Place) string {
	switch p {
	case recording.Outdoors:
		return "outdoors"
	case recording.Treadmill:
		return "on the treadmill"
	case recording.Track:
		return "on the track"
	case recording.Trail:
		return "on trails"
	}
	return "in an unknown kind of place"
}
