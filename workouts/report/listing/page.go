package listing

import (
	"fmt"
	"slices"

	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// front opens the page of a list: how much was run, the days, then the weeks in words,
// the last one first.
func front(r *report.Report, rows []row, t Telling, u figures.Unit) report.Front {
	f := report.Front{Heading: "Session by session", Charts: t.Charts, First: "sessions", Lines: []string{}}
	if len(rows) == 0 {
		f.Answer, f.Lines = "No sessions in these days", r.Lead
		return f
	}
	metres, seconds, hard := 0.0, 0.0, 0
	for _, x := range rows {
		metres, seconds = metres+x.DistanceM, seconds+x.MovingS
		if x.Hard {
			hard++
		}
	}
	f.Byline = r.Lead[0]
	f.Answer = figures.Plural(len(rows), "session")
	if km := u.Distance(metres); km != "" {
		f.Answer += ", " + km
	}
	switch hard {
	case 0:
		f.Answer += ", none of them hard"
	case len(rows):
		f.Answer += ", all hard"
	default:
		f.Answer += fmt.Sprintf(", %d of them hard", hard)
	}
	if text := figures.Sum(seconds); text != "" {
		f.Figures = append(f.Figures, report.Figure{Value: text, Name: "time without stops"})
	}
	long := slices.MaxFunc(rows, func(a, b row) int { return int(a.DistanceM - b.DistanceM) })
	if text := u.Distance(long.DistanceM); text != "" {
		f.Figures = append(f.Figures, report.Figure{Value: text, Name: "longest, " + dayText(long.Day)})
	}
	work := 0.0
	for _, x := range rows {
		if x.Hard {
			work += x.WorkM
		}
	}
	if text := u.Distance(work); text != "" {
		f.Figures = append(f.Figures, report.Figure{Value: text, Name: "of work in hard sessions"})
	}
	return f
}
