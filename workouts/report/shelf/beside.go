package shelf

import (
	"fmt"
	"time"

	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// mostBeside is how many runs stand side by side: more are too wide to read.
const mostBeside = 4

// SideBySide adds the last runs of a history to its report, rep by rep beside each
// other. Miles says how pace is counted for people.
func SideBySide(r *report.Report, past library.History, miles bool) {
	beside(r, past, miles, time.DateOnly, "last less ")
}

// Pair does the same with a history of two runs, in heads so short that both stand on a
// phone.
func Pair(r *report.Report, two library.History, miles bool) {
	beside(r, two, miles, "2 Jan", "less ")
}

// beside writes the days with date, and puts less in front of the head of the differences.
func beside(r *report.Report, past library.History, miles bool, date, less string) {
	runs, rows := past.Beside(mostBeside)
	if len(rows) == 0 {
		return
	}
	u := figures.UnitOf(miles)
	type row = library.BesideRow
	columns := []report.ColumnOf[row]{
		{Column: report.Column{Head: "rep", Align: report.Right}, Cell: func(x row) report.Cell {
			var each []report.Object
			for k, rep := range x.Reps {
				each = append(each, report.Object{{Key: "file", Value: past.Runs[runs[k]].Name}, {Key: "outcome", Value: string(rep.Outcome)},
					report.Num("pace_s_per_km", rep.Pace, 2), report.Num("pace_se_s_per_km", rep.PaceSE, 2), beats("hr_avg", rep.HRAvg, 0)})
			}
			text := fmt.Sprint(x.Planned.Rep)
			if x.Planned.Set > 1 || rows[len(rows)-1].Planned.Set > 1 {
				text = fmt.Sprintf("%d.%d", x.Planned.Set, x.Planned.Rep)
			}
			return report.Cell{Text: text, Fields: report.Object{{Key: "set", Value: x.Planned.Set}, {Key: "rep", Value: x.Planned.Rep}, {Key: "runs", Value: each}}}
		}},
	}
	for k, i := range runs {
		head := "no date"
		if !past.Runs[i].Start.IsZero() {
			head = past.Runs[i].Start.Format(date)
		}
		rank := len(runs) - 1 - k // the oldest is the first to go
		columns = append(columns,
			report.ColumnOf[row]{Column: report.Column{Head: head, Align: report.Right, Rank: rank}, Cell: func(x row) report.Cell {
				return report.Cell{Text: u.Pace(x.Reps[k].Pace)}
			}},
			report.ColumnOf[row]{Column: report.Column{Head: "±", Tight: true, Rank: rank}, Cell: func(x row) report.Cell {
				return report.Cell{Text: u.Margin(x.Reps[k].PaceSE)}
			}},
			report.ColumnOf[row]{Column: report.Column{Head: "HR", Align: report.Right, Rank: rank + 1}, Cell: func(x row) report.Cell {
				return report.Cell{Text: figures.Whole(x.Reps[k].HRAvg)}
			}})
	}
	notes := []string{"pace " + u.Per() + " of each rep, as the workout has them; ± is the 95 % margin, in seconds, against other reps of that run."}
	if v := past.Runs[len(past.Runs)-1].Versus; v != nil {
		columns = append(columns,
			report.ColumnOf[row]{Column: report.Column{Head: less + past.Runs[v.With].Start.Format(date), Align: report.Right}, Cell: func(x row) report.Cell {
				c := report.Cell{Text: figures.Signed(x.DeltaSPerKm*u.PerKm(), 0), Fields: report.Object{{Key: "versus", Value: report.Object{
					report.Num("delta_s_per_km", x.DeltaSPerKm, 2), report.Num("se_s_per_km", x.SE, 2), {Key: "call", Value: report.OrNil(string(x.Call))}}}}}
				if x.Call == match.Level {
					c.Text = "~"
				}
				return c
			}},
			report.ColumnOf[row]{Column: report.Column{Head: "±", Tight: true}, Cell: func(x row) report.Cell {
				return report.Cell{Text: u.Margin(x.SE)}
			}})
		notes = append(notes, "the difference has the error of the odometer from run to run in its margin; ~ is one within it.")
	}
	t := report.Tabulate("reps_beside", rows, columns)
	t.Title, t.Notes = "side by side", notes
	r.Further = append(r.Further, t)
}
