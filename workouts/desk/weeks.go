package desk

import (
	"errors"
	"time"

	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/sessions"
	"example.org/rungs/workouts/report/weeks"
)

var weeksRoutes = []route{{"GET /{$}", showWeeks}}

// weeksShown is how many weeks a page has.
const weeksShown = 6

// A toldWeek is a week as the page has it.
type toldWeek struct {
	ID     string
	Report *report.Report
}

// showWeeks tells the last weeks, the newest first.
func showWeeks(v *visit) error {
	s, err := v.scene(v.r.Context())
	if errors.Is(err, errStill) {
		return v.reading()
	}
	if err != nil {
		return err
	}
	last := v.Calendar.Week(s.today)
	first := last.AddDate(0, 0, -7*(weeksShown-1))
	b, kept, err := s.weeks(first.AddDate(0, 0, -35), last.AddDate(0, 0, 13))
	if err != nil {
		return err
	}
	var told []toldWeek
	for start := last; !start.Before(first); start = start.AddDate(0, 0, -7) {
		holds := func(day time.Time) bool { return v.Calendar.Week(day).Equal(start) }
		r := sessions.Report(b, sessions.Telling{Holds: holds, Kept: kept, Today: s.today, Charts: weeks.Strips(b, kept, holds)})
		told = append(told, toldWeek{"week-" + start.Format(time.DateOnly), r})
	}
	return v.show("weeks", "Weeks", told)
}
