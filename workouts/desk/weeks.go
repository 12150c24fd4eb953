package desk

import (
	"net/http"
	"slices"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/listing"
	"example.org/rungs/workouts/report/weeks"
)

var weeksRoutes = []route{{"GET /{$}", onScene(showWeeks)}}

// weeksShown is how many weeks a page has: as many as a runner looks back over.
const weeksShown = 5

// daysBack is how many days before the weeks of a page are added up too, for words that
// compare with the weeks before.
const daysBack = 35

// A weeksPage is what pages/weeks.html lays out.
type weeksPage struct {
	Weeks   []toldWeek
	Earlier string // the date to go on from; empty when there is no more
	Later   bool   // it does not begin with this week
	Wrong   []string
	Broken  int // recordings that were not read
}

// A toldWeek is a week as the page has it.
type toldWeek struct {
	ID     string
	Name   string // "this week"
	Report *report.Report
}

// showWeeks tells the last weeks with a run or a plan, the newest first, or those before a date.
func showWeeks(v *visit, s *scene) error {
	var p weeksPage
	to := v.Calendar.Week(s.today).AddDate(0, 0, 7)
	if text := v.r.URL.Query().Get("before"); text != "" {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return refusef(http.StatusBadRequest, "Look at the weeks.", "%q is no date.", text)
		}
		to = day
		p.Later = true
	}
	starts := s.starts(to)
	if len(starts) > weeksShown {
		p.Earlier = starts[weeksShown-1].Format(time.DateOnly)
		starts = starts[:weeksShown]
	}
	if len(starts) > 0 {
		var err error
		if p.Weeks, err = s.tell(starts); err != nil {
			return err
		}
	}
	for _, err := range s.wrong {
		p.Wrong = append(p.Wrong, carets(err)...)
	}
	p.Broken = len(s.broken)
	return v.show("weeks", "Weeks", p)
}

// starts are the first days of the weeks with a run or a plan that begin before a day, the
// last one first; this week is always one.
func (s *scene) starts(before time.Time) (out []time.Time) {
	c := s.desk.Calendar
	seen := map[time.Time]bool{}
	add := func(week time.Time) {
		if !seen[week] && week.Before(before) {
			seen[week] = true
			out = append(out, week)
		}
	}
	add(c.Week(s.today))
	for _, r := range s.all {
		if !r.Start.IsZero() {
			add(c.Week(c.Day(r.Start)))
		}
	}
	if s.plan != nil {
		for _, w := range s.plan.Weeks {
			if start := s.plan.Starts.AddDate(0, 0, 7*(w.Number-1)); !start.After(s.today) {
				add(c.Week(start))
			}
		}
	}
	slices.SortFunc(out, func(a, b time.Time) int { return b.Compare(a) })
	return out
}

// tell tells weeks by their first days, the last one first.
func (s *scene) tell(starts []time.Time) (out []toldWeek, err error) {
	c := s.desk.Calendar
	b, kept, err := s.weeks(starts[len(starts)-1].AddDate(0, 0, -daysBack), starts[0].AddDate(0, 0, 13))
	if err != nil {
		return nil, err
	}
	for _, start := range starts {
		holds := func(day time.Time) bool { return c.Week(day).Equal(start) }
		t := listing.Telling{Holds: holds, Kept: kept, Today: s.today, Link: func(x *block.Session) string { return "/session/" + s.name(x.Run) }}
		t.Charts = weeks.Strips(b, kept, holds, s.today)
		w := toldWeek{ID: "week-" + start.Format(time.DateOnly), Report: listing.Report(b, t)}
		w.Report.Front.Heading = "Session by session, from " + start.Format("2 January")
		switch c.Week(s.today).Sub(start).Hours() / 24 {
		case 0:
			w.Name = "this week"
		case 7:
			w.Name = "last week"
		}
		if w.Name != "" {
			w.Report.Front.Byline = w.Name + ", " + weekDays(start)
		} else {
			w.Report.Front.Byline = weekDays(start)
		}
		out = append(out, w)
	}
	return out, nil
}

// weekDays names a week by its first and its last day.
func weekDays(start time.Time) string {
	return start.Format("Monday 2 January") + " to " + start.AddDate(0, 0, 6).Format("Monday 2 January 2006")
}
