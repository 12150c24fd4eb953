package listing

import (
	"time"

	"example.org/rungs/workouts/block"
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
	do := "list"
	if t.Link != nil { // a page, on which nothing can be added
		do = ""
	}
	r.SayLast(last, b.Calendar.Week(last), do)
	r.KeepBack(len(t.Warnings))
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
