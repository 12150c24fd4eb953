package block

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// A Calendar turns moments into days and weeks of the runner. The zero
// Calendar is UTC with weeks from Sunday on; see ParseCalendar.
type Calendar struct {
	Home     *time.Location // nil is UTC
	Moves    []Move         // by date
	FirstDay time.Weekday   // of a week
}

// A Move is the day from which on the runner lives by another clock.
type Move struct {
	Day  time.Time // midnight UTC of the date
	Zone *time.Location
}

// ParseCalendar reads the time zones of a runner who may travel:
// "Europe/Berlin", or "Europe/Berlin, 2026-10-20 America/New_York, 2026-11-02
// Europe/Berlin". Names are those of the IANA time zone database, or UTC, or
// Local for the machine's. Weeks begin on Monday, as ISO 8601 has them.
func ParseCalendar(s string) (Calendar, error) {
	c := Calendar{FirstDay: time.Monday}
	for i, part := range strings.Split(s, ",") {
		words := strings.Fields(part)
		if i == 0 {
			if len(words) != 1 {
				return c, fmt.Errorf("%q is no time zone; write one such as Europe/Berlin, then, after a comma each, moves such as 2026-10-20 America/New_York", strings.TrimSpace(part))
			}
			var err error
			if c.Home, err = zone(words[0]); err != nil {
				return c, err
			}
			continue
		}
		if len(words) != 2 {
			return c, fmt.Errorf("%q is no move; write a date and a time zone, such as 2026-10-20 America/New_York", strings.TrimSpace(part))
		}
		day, err := time.Parse(time.DateOnly, words[0])
		if err != nil {
			return c, fmt.Errorf("%q is no date; write one such as 2026-10-20", words[0])
		}
		z, err := zone(words[1])
		if err != nil {
			return c, err
		}
		c.Moves = append(c.Moves, Move{day, z})
	}
	if !slices.IsSortedFunc(c.Moves, func(a, b Move) int { return cmp.Or(a.Day.Compare(b.Day), -1) }) {
		return c, fmt.Errorf("the moves in %q are not in the order of their dates", s)
	}
	return c, nil
}

func zone(name string) (*time.Location, error) {
	if strings.EqualFold(name, "utc") || strings.EqualFold(name, "gmt") || name == "Z" {
		return time.UTC, nil
	}
	z, err := time.LoadLocation(name)
	if err != nil || name == "" {
		return nil, fmt.Errorf("%q is no time zone; they have names such as Europe/Berlin", name)
	}
	return z, nil
}

// String is the calendar's zones as ParseCalendar reads them.
func (c Calendar) String() string {
	s := c.home().String()
	for _, m := range c.Moves {
		s += ", " + m.Day.Format(time.DateOnly) + " " + m.Zone.String()
	}
	return s
}

func (c Calendar) home() *time.Location {
	if c.Home == nil {
		return time.UTC
	}
	return c.Home
}

// Local is a moment by the runner's clock.
func (c Calendar) Local(t time.Time) time.Time {
	z := c.home()
	for _, m := range c.Moves {
		y, month, d := m.Day.Date()
		if t.Before(time.Date(y, month, d, 0, 0, 0, 0, m.Zone)) {
			break
		}
		z = m.Zone
	}
	return t.In(z)
}

// Day is the runner's date of a moment, as midnight UTC.
func (c Calendar) Day(t time.Time) time.Time {
	y, m, d := c.Local(t).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// Week is the first day of a day's week; both are midnights UTC.
func (c Calendar) Week(day time.Time) time.Time {
	return day.AddDate(0, 0, -int(day.Weekday()-c.FirstDay+7)%7)
}

// WeekName names the week that begins on a day: "2026-W37" by ISO 8601, or the
// date when weeks do not begin on Monday.
func (c Calendar) WeekName(start time.Time) string {
	if c.FirstDay != time.Monday {
		return start.Format(time.DateOnly)
	}
	y, w := start.ISOWeek()
	return fmt.Sprintf("%d-W%02d", y, w)
}

// ParseWeekday reads a day of the week in English, at least its first three
// letters.
func ParseWeekday(s string) (time.Weekday, bool) {
	s = strings.ToLower(s)
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		if len(s) >= 3 && strings.HasPrefix(name, s) {
			return d, true
		}
	}
	return 0, false
}
