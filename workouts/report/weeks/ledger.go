package weeks

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/trend"
)

// bestsTable are the quickest stretches.
func (b teller) bestsTable(u figures.Unit) report.Table {
	right := func(head string) report.Column { return report.Column{Head: head, Align: report.Right} }
	var names []string
	for _, q := range b.Bests {
		names = append(names, q.File)
	}
	folder := report.FolderOf(names)
	t := report.Tabulate("", b.Bests, []report.ColumnOf[block.Best]{
		{Column: right("length"), Cell: func(q block.Best) report.Cell {
			return report.Cell{Text: q.Length, Fields: report.Object{{Key: "length", Value: q.Length}}}
		}},
		{Column: right("result"), Cell: func(q block.Best) report.Cell {
			c := report.Cell{Text: fmt.Sprintf("%.0f m", q.Metres), Fields: report.Object{secondsField("seconds", q.Seconds), metresField("metres", q.Metres)}}
			if q.OfDistance() {
				c.Text = figures.Sum(q.Seconds)
			}
			return c
		}},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(q block.Best) report.Cell {
			margin := fmt.Sprintf("±%.0f", math.Max(1, math.Ceil(trend.Z95*q.SE)))
			key := "metres_se"
			if q.OfDistance() {
				key = "seconds_se"
			}
			return report.Cell{Text: margin, Fields: report.Object{report.Num(key, q.SE, 2)}}
		}},
		{Column: right("pace /" + u.Name), Cell: func(q block.Best) report.Cell {
			return report.Cell{Text: u.Pace(1000 * q.Seconds / q.Metres), Fields: report.Object{report.Num("pace_s_per_km", 1000*q.Seconds/q.Metres, 2)}}
		}},
		{Column: report.Column{Head: "date"}, Cell: func(q block.Best) report.Cell {
			return report.Cell{Text: q.Day.Format(time.DateOnly), Fields: report.Object{{Key: "date", Value: q.Day.Format(time.DateOnly)}}}
		}},
		{Column: report.Column{Head: "recording", Rank: 1, Wrap: true}, Cell: func(q block.Best) report.Cell {
			return report.Cell{Text: folder.Inside(q.File), Fields: report.Object{{Key: "file", Value: q.File}, secondsField("start_s", q.StartS)}}
		}},
	})
	t.Title, t.Key = "quickest stretches within a recording", "quickest"
	t.Notes = []string{"± is the 95 % margin within the run; that a device measures a whole run too long or too short is not in it. Of many stretches, the quickest is often one that was measured too quick."}
	t.Notes = append(t.Notes, folder.Note()...)
	return t
}

// trendsTable are the workouts that were run more than once.
func (b teller) trendsTable(trends []block.Trend, u figures.Unit) report.Table {
	per := u.Metres / 1000
	t := report.Tabulate("", trends, []report.ColumnOf[block.Trend]{
		{Column: report.Column{Head: "workout"}, Cell: func(x block.Trend) report.Cell {
			return report.Cell{Text: x.Workout, Fields: report.Object{{Key: "workout", Value: x.Workout}, {Key: "from_library", Value: x.Named}}}
		}},
		{Column: report.Column{Head: "where", Rank: 2}, Cell: func(x block.Trend) report.Cell {
			return report.Cell{Text: string(x.Place), Fields: report.Object{{Key: "place", Value: report.OrNil(string(x.Place))}}}
		}},
		{Column: report.Column{Head: "times", Align: report.Right}, Cell: func(x block.Trend) report.Cell {
			var times []report.Object
			for _, y := range x.Times {
				times = append(times, report.Object{{Key: "file", Value: y.File}, {Key: "date", Value: y.Day.Format(time.DateOnly)}, {Key: "reps", Value: y.Reps},
					report.Num("pace_s_per_km", y.Pace, 2), report.Num("pace_se_s_per_km", y.SE, 2), report.Num("hr_avg", orNaN(y.HeartBPM), 0)})
			}
			return report.Cell{Text: figures.Count(len(x.Times)), Fields: report.Object{{Key: "times", Value: times}}}
		}},
		{Column: report.Column{Head: "first /" + u.Name, Align: report.Right, Rank: 1}, Cell: func(x block.Trend) report.Cell {
			return report.Cell{Text: u.Pace(x.Times[0].Pace)}
		}},
		{Column: report.Column{Head: "last", Align: report.Right, Rank: 1}, Cell: func(x block.Trend) report.Cell {
			return report.Cell{Text: u.Pace(x.Times[len(x.Times)-1].Pace)}
		}},
		{Column: report.Column{Head: "in 4 weeks", Align: report.Right}, Cell: func(x block.Trend) report.Cell {
			c := report.Cell{Fields: report.Object{report.Num("slope_s_per_km_in_4_weeks", x.SlopeSPerKm, 2), report.Num("slope_se", x.SlopeSE, 2),
				{Key: "test", Value: report.OrNil(string(x.Test))}, report.Num("p", x.P, 6), {Key: "call", Value: report.OrNil(string(x.Call))}}}
			switch x.Call {
			case match.Level:
				c.Text = "~"
			case match.Quicker, match.Slower:
				c.Text = fmt.Sprintf("%+.0f s", x.SlopeSPerKm*per)
			}
			return c
		}},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(x block.Trend) report.Cell {
			if x.Call != match.Quicker && x.Call != match.Slower {
				return report.Cell{}
			}
			return report.Cell{Text: fmt.Sprintf("±%.0f", math.Max(1, math.Ceil(trend.Z95*x.SlopeSE*per)))}
		}},
	})
	t.Title, t.Key = "workouts run more than once: pace of the work", "workouts"
	called := func(calls ...match.Call) bool {
		return slices.ContainsFunc(trends, func(x block.Trend) bool { return slices.Contains(calls, x.Call) })
	}
	const device = " Of fewer than five runs that is mostly how differently a device measures from run to run (assumed: 1 %, on a track 0.3 %), of more how they scatter."
	switch {
	case called(match.Level):
		t.Notes = []string{"~ is a change within the margin of error: there may be none." + device}
	case called(match.Quicker, match.Slower):
		t.Notes = []string{"± is the 95 % margin of error of a change." + device}
	}
	return t
}

// planWeeksTable holds the volume of weeks against the plan.
func (b teller) planWeeksTable(kept []block.KeptWeek, name string, u figures.Unit) report.Table {
	t := report.Tabulate("", kept, []report.ColumnOf[block.KeptWeek]{
		{Column: report.Column{Head: "week", Align: report.Right}, Cell: func(k block.KeptWeek) report.Cell {
			return report.Cell{Text: figures.Count(k.Planned.Number), Fields: report.Object{{Key: "number", Value: k.Planned.Number}}}
		}},
		{Column: report.Column{Head: "from", Align: report.Right, Rank: 1}, Cell: func(k block.KeptWeek) report.Cell {
			return report.Cell{Text: k.Start.Format("2 Jan"), Fields: report.Object{{Key: "start", Value: k.Start.Format(time.DateOnly)}}}
		}},
		{Column: report.Column{Head: "planned", Align: report.Right}, Cell: func(k block.KeptWeek) report.Cell {
			v := k.Planned.Volume
			unit := "m"
			if v.InTime {
				unit = "s"
			}
			if v.Low == 0 {
				return report.Cell{Fields: report.Object{{Key: "planned", Value: nil}}}
			}
			return report.Cell{Text: v.String(), Fields: report.Object{{Key: "planned", Value: report.Object{
				report.Num("low", v.Low, 1), report.Num("high", v.High, 1), {Key: "unit", Value: unit}}}}}
		}},
		{Column: report.Column{Head: "run", Align: report.Right}, Cell: func(k block.KeptWeek) report.Cell {
			c := report.Cell{Text: u.Distance(k.DistanceM), Fields: report.Object{metresField("distance_m", k.DistanceM), secondsField("time_s", k.TimeS)}}
			if k.Planned.Volume.InTime {
				c.Text = figures.Sum(k.TimeS)
			}
			return c
		}},
		{Column: report.Column{Head: "volume"}, Cell: func(k block.KeptWeek) report.Cell {
			c := report.Cell{Text: volumeWord(k.Call), Fields: report.Object{{Key: "volume", Value: report.OrNil(string(k.Call))}}}
			if k.Call == block.Above || k.Call == block.Below {
				c.Style = report.Alert
			}
			return c
		}},
		{Column: report.Column{Head: "sessions"}, Cell: func(k block.KeptWeek) report.Cell {
			n, planned := outcomes(k)
			text := ""
			if planned > 0 {
				text = fmt.Sprintf("%d of %d", n[block.Done]+n[block.Moved], planned)
			}
			return report.Cell{Text: text, Fields: report.Object{{Key: "sessions_planned", Value: planned}, {Key: "sessions_done", Value: n[block.Done]},
				{Key: "sessions_moved", Value: n[block.Moved]}, {Key: "sessions_replaced", Value: n[block.Replaced]}, {Key: "sessions_missed", Value: n[block.Missed]},
				{Key: "sessions_cut", Value: n[block.Cut]}, {Key: "sessions_ahead", Value: n[block.Ahead]}, {Key: "sessions_extra", Value: n[block.Extra]}}}
		}},
	})
	t.Title, t.Key = "against the plan", "plan_weeks"
	if name != "" {
		t.Title += " " + name
	}
	if slices.ContainsFunc(kept, func(k block.KeptWeek) bool { return k.Call != block.NoVolume && k.Call != block.Open }) {
		t.Notes = []string{fmt.Sprintf("a volume is within the plan when it is at most %.0f %% off.", 100*block.VolumeMargin)}
	}
	return t
}

// volumeWord is a call in a table.
func volumeWord(c block.VolumeCall) string {
	if c == block.Open {
		return "not over yet"
	}
	return string(c)
}

// planSessionsTable is what became of every planned session.
func (b teller) planSessionsTable(t Telling, u figures.Unit) report.Table {
	type one struct {
		week int
		block.KeptSession
	}
	var all []one
	for _, k := range t.Kept {
		for _, s := range k.Sessions {
			all = append(all, one{k.Planned.Number, s})
		}
	}
	table := report.Tabulate("", all, []report.ColumnOf[one]{
		{Column: report.Column{Head: "week", Align: report.Right, Rank: 2}, Cell: func(s one) report.Cell {
			return report.Cell{Text: figures.Count(s.week), Fields: report.Object{{Key: "week", Value: s.week}}}
		}},
		{Column: report.Column{Head: "day"}, Cell: func(s one) report.Cell {
			return report.Cell{Text: block.DayWord(s.Day.Weekday()), Fields: report.Object{{Key: "date", Value: s.Day.Format(time.DateOnly)}}}
		}},
		{Column: report.Column{Head: "outcome"}, Cell: func(s one) report.Cell {
			c := report.Cell{Text: outcomeText(s.KeptSession), Link: b.pages.of(s.Run)} // its field stands behind the workout
			if s.Outcome == block.Missed || s.Outcome == block.Replaced || s.Outcome == block.Cut {
				c.Style = report.Alert
			}
			return c
		}},
		{Column: report.Column{Head: "planned", Wrap: true}, Cell: func(s one) report.Cell {
			if s.Planned == nil {
				return report.Cell{Fields: report.Object{{Key: "workout", Value: nil}, {Key: "outcome", Value: string(s.Outcome)}}}
			}
			return report.Cell{Text: s.Planned.String(), Fields: report.Object{{Key: "workout", Value: s.Planned.String()}, {Key: "outcome", Value: string(s.Outcome)}}}
		}},
		{Column: report.Column{Head: "run", Rank: 1, Wrap: true}, Cell: func(s one) report.Cell {
			if s.Run == nil {
				return report.Cell{Fields: report.Object{{Key: "file", Value: nil}, {Key: "run_date", Value: nil}, {Key: "likeness", Value: nil}}}
			}
			c := report.Cell{Fields: report.Object{{Key: "file", Value: s.Run.File}, {Key: "run_date", Value: s.Run.Day.Format(time.DateOnly)}, report.Num("likeness", s.Likeness, 3)}}
			if s.Outcome == block.Replaced || s.Outcome == block.Extra {
				c.Text = s.Run.Main
				if c.Text == "" {
					c.Text = u.Distance(s.Run.DistanceM) + " in " + figures.Sum(s.Run.MovingS)
				}
			}
			return c
		}},
	})
	table.Title, table.Key = "planned sessions", "plan_sessions"
	return table
}

// zoneWarnings say what the zones rest on.
func (b teller) zoneWarnings() []recording.Warning {
	if _, estimated := b.Athlete.MaxHeart(); estimated && b.Zones.Name != "" && len(b.Athlete.OwnZones) == 0 {
		return []recording.Warning{recording.WarningOf(athlete.HeartEstimated, "the heart-rate zones rest on a maximum worked out from the age, which is often 10 beats and more off")}
	}
	if b.Zones.Name == "" && b.Whole.Heart.KnownS > 0 {
		return []recording.Warning{recording.WarningOf(athlete.HeartUnknown, "there are heart rates and no zones: the athlete file needs the maximum, the age or zones")}
	}
	return nil
}
