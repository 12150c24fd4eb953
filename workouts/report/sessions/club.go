package sessions

import (
	"fmt"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
)

// A Runner is one of several whose weeks are told together.
type Runner struct {
	Name  string
	Block *block.Block
	Telling
}

// A clubRow is what a runner did on the days that are told.
type clubRow struct {
	name           string
	sessions, hard int
	metres, hardM  float64
	seconds        float64
	planned, run   int // sessions whose day is over
	cautions       []string
	warnings       int
	last           time.Time // the day of the last session
	unit           unit
}

func (r Runner) row() clubRow {
	row := clubRow{name: r.Name, unit: unitOf(r.Block.Athlete.Miles), warnings: len(r.Warnings)}
	for i := range r.Block.Sessions {
		s := &r.Block.Sessions[i]
		if !r.holds(s.Day) {
			continue
		}
		row.sessions, row.metres, row.seconds, row.last = row.sessions+1, row.metres+s.DistanceM, row.seconds+s.MovingS, s.Day
		if s.Hard {
			row.hard, row.hardM = row.hard+1, row.hardM+s.DistanceM
		}
	}
	for _, w := range r.Kept {
		for _, k := range w.Sessions {
			if k.Planned == nil || k.Planned.Rest || !r.holds(k.Day) || k.Outcome == block.Ahead {
				continue
			}
			row.planned++
			if k.Outcome == block.Done || k.Outcome == block.Moved {
				row.run++
			}
		}
	}
	for i := range r.Block.Weeks {
		if w := &r.Block.Weeks[i]; touches(r.Telling, w.Start) {
			row.cautions = append(row.cautions, cautions(r.Block, w, row.unit)...)
		}
	}
	return row
}

// Club tells several runners, a row each, in the order given, and below it what each is
// to be careful of.
func Club(all []Runner) *report.Report {
	var rows []clubRow
	for _, r := range all {
		rows = append(rows, r.row())
	}
	out := &report.Report{
		Title:  plural(len(rows), "runner"),
		Table:  table(rows, clubColumns()),
		Before: report.Object{{Key: "schema", Value: "rungs/club/1"}},
	}
	out.Table.Key = "runners"
	out.Table.Notes = []string{"planned are the sessions whose day is over; run are those of them that were run, be it on another day."}
	for i, row := range rows {
		for _, c := range row.cautions {
			out.Said = append(out.Said, report.Sentence{Text: row.name + ": " + c, Style: report.Strong})
		}
		for _, w := range all[i].Warnings {
			if w.Code == block.SeveralPeople {
				w.Message = row.name + ": " + w.Message
				out.Warnings = append(out.Warnings, w)
			}
		}
	}
	return out
}

func clubColumns() []columnOf[clubRow] {
	right := func(head string, rank int) report.Column {
		return report.Column{Head: head, Align: report.Right, Rank: rank}
	}
	count := func(head, key string, rank int, n func(clubRow) int) columnOf[clubRow] {
		return columnOf[clubRow]{right(head, rank), func(r clubRow) report.Cell {
			return report.Cell{Text: fmt.Sprint(n(r)), Fields: report.Object{{Key: key, Value: n(r)}}}
		}}
	}
	return []columnOf[clubRow]{
		{report.Column{Head: "runner"}, func(r clubRow) report.Cell {
			return report.Cell{Text: r.name, Style: report.Strong, Fields: report.Object{{Key: "runner", Value: r.name}}}
		}},
		count("sessions", "sessions", 1, func(r clubRow) int { return r.sessions }),
		{right("distance", 0), func(r clubRow) report.Cell {
			return report.Cell{Text: r.unit.distance(r.metres), Fields: report.Object{number("distance_m", r.metres, 1)}}
		}},
		{right("time", 1), func(r clubRow) report.Cell {
			return report.Cell{Text: clock(r.seconds), Fields: report.Object{number("time_s", r.seconds, 1)}}
		}},
		count("hard", "hard", 1, func(r clubRow) int { return r.hard }),
		{right("of the distance", 0), func(r clubRow) report.Cell {
			c := report.Cell{Fields: report.Object{number("hard_distance_m", r.hardM, 1)}}
			if r.metres > 0 {
				c.Text = fmt.Sprintf("%.0f %%", 100*r.hardM/r.metres)
			}
			return c
		}},
		{right("planned run", 0), func(r clubRow) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "planned", Value: r.planned}, {Key: "planned_run", Value: r.run}}}
			if r.planned > 0 {
				c.Text = fmt.Sprintf("%d of %d", r.run, r.planned)
			}
			return c
		}},
		count("cautions", "cautions", 0, func(r clubRow) int { return len(r.cautions) }),
		count("warnings", "warnings", 3, func(r clubRow) int { return r.warnings }),
		{right("last run", 2), func(r clubRow) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "last", Value: nil}}}
			if !r.last.IsZero() {
				c.Text, c.Fields[0].Value = dayText(r.last), r.last.Format(time.DateOnly)
			}
			return c
		}},
	}
}
