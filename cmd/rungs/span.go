package main

import (
	"fmt"
	"regexp"
	"strconv"
	"time"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/block"
)

// now is the moment; tests live at others.
var now = time.Now

// A span is the days that a command looks at, midnights UTC of the runner's dates. A
// zero end is open.
type span struct {
	from, to time.Time // both included
	today    time.Time
}

// holds tells whether a day is in the span.
func (s span) holds(day time.Time) bool {
	return !day.Before(s.from) && (s.to.IsZero() || !day.After(s.to))
}

// touches tells whether a day of the week that begins then is in the span.
func (s span) touches(start time.Time) bool {
	return !start.AddDate(0, 0, 6).Before(s.from) && (s.to.IsZero() || !start.After(s.to))
}

// whole tells whether nothing bounds the span.
func (s span) whole() bool { return s.from.IsZero() && s.to.IsZero() }

// A spanFlags is what was given to the flags of a span.
type spanFlags struct{ since, until, last, week, today string }

// spanFlag declares the flags that bound a span, and --today.
func spanFlag(fs *pflag.FlagSet) *spanFlags {
	s := &spanFlags{}
	fs.StringVar(&s.since, "since", "", "only from this `DATE` on, such as 2026-09-07")
	fs.StringVar(&s.until, "until", "", "only up to this `DATE`")
	fs.StringVar(&s.last, "last", "", "only the last so many days or weeks, this one counted: a `NUMBER` with d or w, such as 4w")
	fs.StringVar(&s.week, "week", "", "only this `WEEK`, such as 2026-W37, or the one that holds a date")
	fs.StringVar(&s.today, "today", "", "the `DATE` that today is taken to be; the clock's when not given")
	return s
}

var (
	lastText = regexp.MustCompile(`^([1-9]\d{0,3})([dw])$`)
	weekText = regexp.MustCompile(`^(\d{4})-[Ww](\d{2})$`)
)

// of reads the flags by a calendar; now is the moment.
//
// Branches: a flag each, and what is wrong with it.
func (f *spanFlags) of(c block.Calendar, now time.Time) (s span, err error) {
	date := func(flag, text string) time.Time {
		d, e := time.Parse(time.DateOnly, text)
		if e != nil && err == nil {
			err = fmt.Errorf("--%s: %q is no date; write one such as 2026-09-07", flag, text)
		}
		return d
	}
	s.today = c.Day(now)
	if f.today != "" {
		s.today = date("today", f.today)
	}
	given := 0
	if f.last != "" {
		given++
		m := lastText.FindStringSubmatch(f.last)
		if m == nil {
			return s, fmt.Errorf("--last: %q is no number of days or weeks; write one such as 10d or 4w", f.last)
		}
		n, _ := strconv.Atoi(m[1])
		s.to = s.today
		if s.from = s.today.AddDate(0, 0, 1-n); m[2] == "w" {
			s.from = c.Week(s.today).AddDate(0, 0, -7*(n-1))
		}
	}
	if f.week != "" {
		given++
		if s.from, err = weekOf(f.week, c); err != nil {
			return s, err
		}
		s.to = s.from.AddDate(0, 0, 6)
	}
	if f.since != "" || f.until != "" {
		given++
		if f.since != "" {
			s.from = date("since", f.since)
		}
		if f.until != "" {
			s.to = date("until", f.until)
		}
	}
	switch {
	case err != nil:
		return s, err
	case given > 1:
		return s, fmt.Errorf("--last, --week, and --since with --until are three ways to say it; use one of them")
	case !s.to.IsZero() && s.to.Before(s.from):
		return s, fmt.Errorf("--until is before --since")
	}
	return s, nil
}

// weekOf is the first day of a week given by its number or by a date in it.
func weekOf(text string, c block.Calendar) (time.Time, error) {
	if day, err := time.Parse(time.DateOnly, text); err == nil {
		return c.Week(day), nil
	}
	m := weekText.FindStringSubmatch(text)
	if m == nil {
		return time.Time{}, fmt.Errorf("--week: %q is no week; write one such as 2026-W37, or a date", text)
	}
	year, _ := strconv.Atoi(m[1])
	n, _ := strconv.Atoi(m[2])
	// ISO 8601: week 1 holds 4 January.
	monday := block.Calendar{FirstDay: time.Monday}.Week(time.Date(year, 1, 4, 0, 0, 0, 0, time.UTC)).AddDate(0, 0, 7*(n-1))
	if y, w := monday.ISOWeek(); y != year || w != n {
		return time.Time{}, fmt.Errorf("--week: %d has no week %d", year, n)
	}
	return c.Week(monday.AddDate(0, 0, 3)), nil
}
