package listing

import (
	"fmt"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// A Runner is one of several whose weeks are told together.
type Runner struct {
	Name  string
	Page  string // that tells this runner, from the club's; empty for none
	Block *block.Block
	Telling
}

// A clubRow is what a runner did on the days that are told.
type clubRow struct {
	name, page     string
	sessions, hard int
	metres, hardM  float64
	seconds        float64
	planned, run   int // sessions whose day is over
	cautions       []string
	warnings       int
	last           time.Time // the day of the last session
	unit           figures.Unit
}

func (r Runner) row() clubRow {
	row := clubRow{name: r.Name, page: r.Page, unit: figures.UnitOf(r.Block.Athlete.Miles), warnings: len(r.Warnings)}
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
		Title:  figures.Plural(len(rows), "runner"),
		Table:  report.Tabulate("", rows, clubColumns()),
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

func clubColumns() []report.ColumnOf[clubRow] {
	right := func(head string, rank int) report.Column {
		return report.Column{Head: head, Align: report.Right, Rank: rank}
	}
	count := func(head, key string, rank int, n func(clubRow) int) report.ColumnOf[clubRow] {
		return report.ColumnOf[clubRow]{Column: right(head, rank), Cell: func(r clubRow) report.Cell {
			return report.Cell{Text: fmt.Sprint(n(r)), Fields: report.Object{{Key: key, Value: n(r)}}}
		}}
	}
	return []report.ColumnOf[clubRow]{
		{Column: report.Column{Head: "runner"}, Cell: func(r clubRow) report.Cell {
			return report.Cell{Text: r.name, Style: report.Strong, Link: r.page, Fields: report.Object{{Key: "runner", Value: r.name}}}
		}},
		count("sessions", "sessions", 1, func(r clubRow) int { return r.sessions }),
		{Column: right("distance", 0), Cell: func(r clubRow) report.Cell {
			return report.Cell{Text: r.unit.Distance(r.metres), Fields: report.Object{report.Num("distance_m", r.metres, 1)}}
		}},
		{Column: right("time", 1), Cell: func(r clubRow) report.Cell {
			return report.Cell{Text: figures.Sum(r.seconds), Fields: report.Object{report.Num("time_s", r.seconds, 1)}}
		}},
		count("hard", "hard", 1, func(r clubRow) int { return r.hard }),
		{Column: right("of the distance", 0), Cell: func(r clubRow) report.Cell {
			c := report.Cell{Fields: report.Object{report.Num("hard_distance_m", r.hardM, 1)}}
			if r.metres > 0 {
				c.Text = fmt.Sprintf("%.0f %%", 100*r.hardM/r.metres)
			}
			return c
		}},
		{Column: right("planned run", 0), Cell: func(r clubRow) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "planned", Value: r.planned}, {Key: "planned_run", Value: r.run}}}
			if r.planned > 0 {
				c.Text = fmt.Sprintf("%d of %d", r.run, r.planned)
			}
			return c
		}},
		count("cautions", "cautions", 0, func(r clubRow) int { return len(r.cautions) }),
		count("warnings", "warnings", 3, func(r clubRow) int { return r.warnings }),
		{Column: right("last run", 2), Cell: func(r clubRow) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "last", Value: nil}}}
			if !r.last.IsZero() {
				c.Text, c.Fields[0].Value = dayText(r.last), r.last.Format(time.DateOnly)
			}
			return c
		}},
	}
}
