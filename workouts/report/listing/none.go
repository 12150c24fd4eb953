package listing

import (
	"fmt"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// sayNone says of days without a session when the last one was and what to type to
// see it, and keeps back the warnings, which are of sessions that are not told.
func sayNone(r *report.Report, b *block.Block, t Telling) {
	r.Title = "no session in these days"
	last := lastDay(b)
	if last.IsZero() {
		r.Lead = []string{"There is no recording with a date yet. Put some below the folder, and this lists them."}
		return
	}
	day := dayText(last) + " " + last.Format("2006")
	if t.Link != nil { // a page, on which nothing can be added
		r.Lead = []string{fmt.Sprintf("The last session was on %s.", day)}
	} else {
		r.Lead = []string{fmt.Sprintf("The last session was on %s; to list its week and all after it, add --since %s.", day, b.Calendar.Week(last).Format(time.DateOnly))}
	}
	if n := len(t.Warnings); n > 0 {
		r.Warnings = nil
		r.Lead = append(r.Lead, fmt.Sprintf("Kept back here: %s of other days.", figures.Plural(n, "warning")))
	}
}

// lastDay is the last day with a session; zero when there is none.
func lastDay(b *block.Block) (last time.Time) {
	for i := range b.Sessions {
		if d := b.Sessions[i].Day; d.After(last) {
			last = d
		}
	}
	return last
}
