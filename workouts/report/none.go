package report

import (
	"fmt"
	"time"

	"example.org/rungs/workouts/figures"
)

// SayLast says of days without a session when the last one was. Since is the day to begin with
// to have its week and all after it, and do what that is for, such as "see"; without do, as on a
// page, nothing is said of it.
func (r *Report) SayLast(last, since time.Time, do string) {
	day := last.Format("Mon 2 Jan 2006")
	if do == "" {
		r.Lead = []string{fmt.Sprintf("The last session was on %s.", day)}
		return
	}
	r.Lead = []string{fmt.Sprintf("The last session was on %s; to %s its week and all after it, add --since %s.", day, do, since.Format(time.DateOnly))}
}

// KeepBack leaves out the first n warnings, which are of sessions that are not told, and says so.
func (r *Report) KeepBack(n int) {
	if n > 0 {
		r.Warnings = r.Warnings[n:]
		r.Lead = append(r.Lead, fmt.Sprintf("Kept back here: %s of other days.", figures.Plural(n, "warning")))
	}
}
