// Package listing tells the sessions of some days: a list, and each week in words.
// It says what the recordings, the planned block and the log know of them.
package listing

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
)

// A Telling says which sessions are told and what is told beside them.
type Telling struct {
	Holds    func(day time.Time) bool // the days that are told; nil for all
	Kept     []block.KeptWeek         // of a plan; nil without one
	Today    time.Time                // midnight UTC of the runner's date; weeks that begin later are not told
	Warnings []recording.Warning
	Charts   []chart.Chart                 // of the page
	Link     func(s *block.Session) string // the page of a session; nil without pages
}

func (t Telling) holds(day time.Time) bool { return t.Holds == nil || t.Holds(day) }

// A row is one session and what the plan says of it.
type row struct {
	*block.Session
	start time.Time // by the runner's clock
	kept  []block.KeptSession
}

// Report lists the sessions of a block. The block must begin 30 days before the first of
// them, since what is said of a session looks back as far.
func Report(b *block.Block, t Telling) *report.Report {
	u := figures.UnitOf(b.Athlete.Miles)
	var rows []row
	for i := range b.Sessions {
		s := &b.Sessions[i]
		if t.holds(s.Day) {
			rows = append(rows, row{s, b.Calendar.Local(s.Start), keptOf(s, t.Kept)})
		}
	}
	var names []string
	for _, r := range rows {
		names = append(names, r.File)
	}
	folder := report.FolderOf(names)
	r := &report.Report{
		Title:    figures.Plural(len(rows), "session"),
		Table:    report.Tabulate("", rows, columns(u, folder, t.Link)),
		Warnings: t.Warnings,
		Before: report.Object{{Key: "schema", Value: "rungs/log/1"}, {Key: "time_zone", Value: b.Calendar.String()},
			{Key: "first_day", Value: strings.ToLower(b.Calendar.FirstDay.String())}},
	}
	r.Table.Key = "sessions"
	r.Table.Notes = folder.Note()
	if len(rows) > 0 {
		r.Lead = []string{dayText(rows[0].Day) + " to " + dayText(rows[len(rows)-1].Day) + " " + rows[len(rows)-1].Day.Format("2006")}
	}
	if len(rows) == 0 {
		sayNone(r, b, t)
	}
	var words []report.Object
	var byWeek [][]report.Sentence
	for _, w := range told(b, t) {
		from := len(r.Said)
		for n, s := range w.said {
			if n == 0 {
				s = w.name + ": " + s
			}
			r.Said = append(r.Said, report.Sentence{Text: s})
		}
		byWeek = append(byWeek, r.Said[from:])
		words = append(words, report.Object{{Key: "week", Value: w.name}, {Key: "words", Value: strings.Join(w.said, " ")}})
	}
	if words == nil {
		words = []report.Object{}
	}
	r.After = report.Object{{Key: "weeks", Value: words}}
	r.Front = front(r, rows, t, u)
	slices.Reverse(byWeek)
	r.Front.Lead = slices.Concat(byWeek...)
	return r
}

// A toldWeek is a week in words.
type toldWeek struct {
	name  string
	start time.Time
	said  []string
}

// told are the weeks with a run or a plan, in their order, up to the one of today.
func told(b *block.Block, t Telling) (out []toldWeek) {
	known := map[time.Time]bool{}
	for i := range b.Weeks {
		w := &b.Weeks[i]
		known[w.Start] = true
		if touches(t, w.Start) && (w.Sessions > 0 || planned(t.Kept, w.Start)) {
			out = append(out, toldWeek{w.Name, w.Start, week(b, i, t.Kept)})
		}
	}
	for _, k := range t.Kept { // before the first run and behind the last
		if !known[k.Start] && touches(t, k.Start) && len(k.Sessions) > 0 && !k.Start.After(t.Today) {
			nothing := "Nothing was run."
			if t.Today.Before(k.Start.AddDate(0, 0, 7)) {
				nothing = "Nothing was run yet."
			}
			out = append(out, toldWeek{b.Calendar.WeekName(k.Start), k.Start, append([]string{nothing}, missed(t.Kept, k.Start)...)})
		}
	}
	slices.SortStableFunc(out, func(a, b toldWeek) int { return a.start.Compare(b.start) })
	return out
}

// touches tells whether a day of a week is told.
func touches(t Telling, start time.Time) bool {
	for d := range 7 {
		if t.holds(start.AddDate(0, 0, d)) {
			return true
		}
	}
	return false
}

func planned(kept []block.KeptWeek, start time.Time) bool {
	for _, k := range kept {
		if k.Start.Equal(start) {
			return len(k.Sessions) > 0
		}
	}
	return false
}

// keptOf are the planned sessions that a session was run for or instead of.
func keptOf(s *block.Session, kept []block.KeptWeek) (out []block.KeptSession) {
	for _, w := range kept {
		for _, k := range w.Sessions {
			is := k.Run == s
			for _, also := range k.Also {
				is = is || also == s
			}
			if is {
				out = append(out, k)
			}
		}
	}
	return out
}

// title is what the log calls a session.
func (r row) title() string {
	if r.Said != nil {
		return r.Said.Title
	}
	return ""
}

// what is the session in the notation: what the log says it was, else what was found.
func (r row) what() string {
	if r.Said != nil && r.Said.Was != "" {
		return r.Said.Was
	}
	return r.Main
}

// plan is what became of the plan: "run", "moved from tue". How well it was run, check says.
func (r row) plan() string {
	var parts []string
	for _, k := range r.kept {
		parts = append(parts, verdict(k, r.Day))
	}
	return strings.Join(parts, ", ")
}

func verdict(k block.KeptSession, day time.Time) string {
	share := ""
	if !math.IsNaN(k.Share) && k.Share != 1 {
		share = fmt.Sprintf(" (%.0f %%)", 100*k.Share)
	}
	switch k.Outcome {
	case block.Done:
		return "run" + share
	case block.Moved:
		return "moved from " + strings.ToLower(k.Day.Format("Mon")) + share
	case block.Cut:
		return "cut" + share
	case block.Replaced:
		return "instead of " + k.Planned.String()
	case block.Extra:
		return "not planned"
	}
	return string(k.Outcome)
}

var reasons = map[block.Reason]string{
	block.SaidRace: "race", block.SaidHard: "hard, as said", block.SaidEasy: "easy, as said",
	block.ByWork: "hard, by its work", block.ByHeart: "hard, by heart rate", block.ByPace: "hard, by pace",
}

func columns(u figures.Unit, folder report.Folder, link func(*block.Session) string) []report.ColumnOf[row] {
	right := func(head string, rank int) report.Column {
		return report.Column{Head: head, Align: report.Right, Rank: rank}
	}
	return []report.ColumnOf[row]{
		{Column: right("date", 0), Cell: func(r row) report.Cell {
			c := report.Cell{Text: dayText(r.Day), Fields: report.Object{{Key: "date", Value: r.Day.Format(time.DateOnly)}}}
			if link != nil {
				c.Link = link(r.Session)
			}
			return c
		}},
		{Column: right("at", 3), Cell: func(r row) report.Cell {
			return report.Cell{Text: r.start.Format("15:04"), Fields: report.Object{{Key: "start", Value: r.start.Format(time.RFC3339)}}}
		}},
		{Column: report.Column{Head: "title", Rank: 2}, Cell: func(r row) report.Cell {
			return report.Cell{Text: r.title(), Fields: report.Object{{Key: "title", Value: report.OrNil(r.title())}}}
		}},
		{Column: right("distance", 0), Cell: func(r row) report.Cell {
			return report.Cell{Text: u.Distance(r.DistanceM), Style: report.Strong, Fields: report.Object{report.Num("distance_m", r.DistanceM, 1)}}
		}},
		{Column: right("time", 0), Cell: func(r row) report.Cell {
			return report.Cell{Text: figures.Sum(r.MovingS), Fields: report.Object{report.Num("time_s", r.MovingS, 1)}}
		}},
		{Column: right("pace /"+u.Name, 4), Cell: func(r row) report.Cell {
			pace := math.NaN()
			if r.DistanceM > 0 {
				pace = 1000 * r.MovingS / r.DistanceM
			}
			return report.Cell{Text: u.Pace(pace), Fields: report.Object{report.Num("pace_s_per_km", pace, 2)}}
		}},
		{Column: report.Column{Head: "place", Rank: 4}, Cell: func(r row) report.Cell {
			place := string(mainPlace(r.Run))
			return report.Cell{Text: place, Fields: report.Object{{Key: "place", Value: report.OrNil(place)}}}
		}},
		{Column: report.Column{Head: "effort", Rank: 1}, Cell: func(r row) report.Cell {
			c := report.Cell{Text: reasons[r.Why], Fields: report.Object{{Key: "hard", Value: r.Hard}, {Key: "hard_why", Value: report.OrNil(string(r.Why))}}}
			if r.Hard {
				c.Style = report.Strong
			}
			return c
		}},
		{Column: right("of 10", 3), Cell: func(r row) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "effort", Value: nil}}}
			if r.Said != nil && !math.IsNaN(r.Said.Effort) {
				c.Text = strings.TrimSuffix(fmt.Sprintf("%.1f", r.Said.Effort), ".0")
				c.Fields = report.Object{report.Num("effort", r.Said.Effort, 1)}
			}
			return c
		}},
		{Column: right("work", 1), Cell: func(r row) report.Cell {
			c := report.Cell{Fields: report.Object{report.Num("work_m", r.WorkM, 1), report.Num("work_s", r.WorkS, 1)}}
			if r.WorkM > 0 {
				c.Text = u.Distance(r.WorkM)
			}
			return c
		}},
		{Column: report.Column{Head: "what", Wrap: true}, Cell: func(r row) report.Cell {
			was := any(nil)
			if r.Said != nil {
				was = report.OrNil(r.Said.Was)
			}
			return report.Cell{Text: r.what(), Fields: report.Object{{Key: "what", Value: report.OrNil(r.what())}, {Key: "said_was", Value: was}}}
		}},
		{Column: report.Column{Head: "plan", Rank: 1}, Cell: func(r row) report.Cell {
			outcome := any(nil)
			if len(r.kept) > 0 {
				outcome = string(r.kept[0].Outcome)
			}
			return report.Cell{Text: r.plan(), Fields: report.Object{{Key: "plan", Value: outcome}}}
		}},
		{Column: report.Column{Head: "note", Rank: 5, Wrap: true}, Cell: func(r row) report.Cell {
			note := ""
			if r.Said != nil {
				note = r.Said.Note
			}
			return report.Cell{Text: note, Fields: report.Object{{Key: "note", Value: report.OrNil(note)}}}
		}},
		{Column: report.Column{Head: "recording", Rank: 6, Wrap: true}, Cell: func(r row) report.Cell {
			return report.Cell{Text: folder.Inside(r.File), Fields: report.Object{{Key: "file", Value: r.File}}}
		}},
	}
}

// mainPlace is where the most of a run was run.
func mainPlace(r block.Run) recording.Place {
	best, most := recording.PlaceUnknown, -1.0
	for _, w := range r.Where {
		if w.MovingS > most {
			best, most = w.Place, w.MovingS
		}
	}
	return best
}

func dayText(d time.Time) string { return d.Format("Mon 2 Jan") }
