package block

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// sessions are those of a week of the plan by their days, with the changes by date.
func (p Plan) sessions(week int) (out []*PlannedSession) {
	w := p.Weeks[week]
	start := p.Starts.AddDate(0, 0, 7*(w.Number-1))
	changed := map[time.Weekday]bool{}
	for i := range p.Changes {
		c := &p.Changes[i]
		if !c.Date.Before(start) && c.Date.Before(start.AddDate(0, 0, 7)) {
			changed[c.Day] = true
			out = append(out, c)
		}
	}
	for i := range w.Sessions {
		if s := &w.Sessions[i]; !changed[s.Day] {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b *PlannedSession) int {
		return cmp.Compare(int(a.Day-start.Weekday()+7)%7, int(b.Day-start.Weekday()+7)%7)
	})
	return out
}

// On is what is planned for a date, given as midnight UTC: the changes of that date,
// or what its week has on the day when there are none. Nothing is planned outside of
// the weeks that the plan lists.
func (p Plan) On(day time.Time) (out []PlannedSession) {
	for i, w := range p.Weeks {
		if w.Number != p.WeekOf(day) {
			continue
		}
		for _, s := range p.sessions(i) {
			if s.Day == day.Weekday() {
				out = append(out, *s)
			}
		}
	}
	return out
}

// WeekOf is the number of the plan's week that a date, midnight UTC, falls into; below 1
// before the plan starts.
func (p Plan) WeekOf(day time.Time) int {
	days := int(math.Round(day.Sub(p.Starts).Hours() / 24))
	return int(math.Floor(float64(days)/7)) + 1
}
