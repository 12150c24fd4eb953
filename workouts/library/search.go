package library

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
)

// A Query says which workouts are wanted; the zero Query wants all.
type Query struct {
	Words string   // all of these in its names, tags, note or notation, in upper or lower case
	Tags  []string // all of these, in upper or lower case
	Kind  likeness.Kind
	Work  Range // of all work together
	Rep   Range // of at least one rep
}

// A Range is a range of lengths in time or in distance, ends included. The
// zero Range holds all.
type Range struct {
	Low, High float64
	Metres    bool // else seconds
}

// ParseRange reads one amount of the notation, as in "400m", or two, as in
// "3:00-5:00"; either may be left out, as in "20:00-". A single amount
// stands for all within 2 % of it.
func ParseRange(s string) (Range, error) {
	low, high, two := strings.Cut(strings.ReplaceAll(s, " ", ""), "-")
	r := Range{High: math.Inf(1)}
	var units []bool
	for i, text := range []string{low, high} {
		if text == "" {
			continue
		}
		v, metres, err := parseLength(text)
		if err != nil {
			return Range{}, fmt.Errorf("%q: %w", s, err)
		}
		units = append(units, metres)
		if i == 0 {
			r.Low = v
		} else {
			r.High = v
		}
	}
	switch {
	case len(units) == 0:
		return Range{}, fmt.Errorf("%q: %w", s, errLength)
	case len(units) == 2 && units[0] != units[1]:
		return Range{}, fmt.Errorf("%q: from a time to a distance", s)
	case r.Low > r.High:
		return Range{}, fmt.Errorf("%q: the smaller length stands first", s)
	}
	r.Metres = units[0]
	if !two {
		r.Low, r.High = r.Low*0.98, r.Low*1.02
	}
	return r, nil
}

var errLength = fmt.Errorf("write a length as 3:00, 45s, 400m or 1.5km, or two with a hyphen between")

func parseLength(text string) (v float64, metres bool, err error) {
	w, err := notation.Parse("", text)
	if err != nil || len(w.Items) != 1 || len(w.Items[0].Body) > 0 || w.Items[0].Count != 1 {
		return 0, false, errLength
	}
	s := w.Items[0].Step
	if s.Manner != workouts.Work || s.Target.Kind != workouts.NoTarget || s.Amount.Kind == workouts.Open {
		return 0, false, errLength
	}
	return s.Amount.Seconds + s.Amount.Metres, s.Amount.Kind == workouts.Distance, nil
}

func (r Range) holds(seconds, metres float64) bool {
	if r == (Range{}) {
		return true
	}
	if r.Metres {
		return metres >= r.Low && metres <= r.High
	}
	return seconds >= r.Low && seconds <= r.High
}

// Search finds the workouts that a query wants. Times of distances, and
// distances of times, are worked out with the paces of the athlete.
func Search(entries []Entry, q Query, a athlete.Athlete) []Entry {
	var found []Entry
	for _, e := range entries {
		if q.wants(e, a) {
			found = append(found, e)
		}
	}
	return found
}

func (q Query) wants(e Entry, a athlete.Athlete) bool {
	w := e.Workout
	about := strings.ToLower(strings.Join(append([]string{e.Name, w.Name, w.Note, notation.Print(w)}, w.Tags...), "\n"))
	for _, word := range strings.Fields(strings.ToLower(q.Words)) {
		if !strings.Contains(about, word) {
			return false
		}
	}
	for _, tag := range q.Tags {
		if !slices.ContainsFunc(w.Tags, func(t string) bool { return strings.EqualFold(t, tag) }) {
			return false
		}
	}
	if q.Kind != "" && q.Kind != likeness.KindOf(w) {
		return false
	}
	if q.Work == (Range{}) && q.Rep == (Range{}) {
		return true
	}
	o := a.Outline(w)
	seconds, metres, reps := likeness.Work(o)
	if !q.Work.holds(seconds.Value, metres.Value) {
		return false
	}
	if q.Rep == (Range{}) {
		return true
	}
	return reps > 0 && slices.ContainsFunc(o.Steps, func(s athlete.OutlineStep) bool {
		return s.Role == segment.Work && !s.Open && q.Rep.holds(s.Seconds.Value, s.Metres.Value)
	})
}
