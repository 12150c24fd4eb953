package likeness

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
)

// Kind is the sort of session a workout is, by its structure.
type Kind string

// Kinds, in the order in which they are tried.
const (
	EasyRun Kind = "easy"    // no work in it
	Tempo   Kind = "tempo"   // one block of work or a few, each of ten minutes or more
	Sets    Kind = "sets"    // a repeated group of two reps or more
	OnOff   Kind = "on-off"  // one rep repeated, as much off as on
	Repeats Kind = "repeats" // one rep repeated
	Ladder  Kind = "ladder"  // three lengths or more that go up, down, or up and down
	Mixed   Kind = "mixed"   // anything else
)

// Kinds lists all of them.
var Kinds = []Kind{EasyRun, Tempo, Sets, OnOff, Repeats, Ladder, Mixed}

// KindOf tells the kind of a workout.
func KindOf(w workouts.Workout) Kind {
	c := CourseOf(w)
	switch {
	case c.easy:
		return EasyRun
	case c.blocks():
		return Tempo
	case hasSets(w.Normal().Items):
		return Sets
	case c.oneRep() && c.evenRests():
		return OnOff
	case c.oneRep():
		return Repeats
	case c.goesUpOrDown():
		return Ladder
	}
	return Mixed
}

// blocks tells whether all reps are long, and few.
func (c Course) blocks() bool {
	for _, r := range c.reps {
		if r.open || r.seconds.value < 600 {
			return false
		}
	}
	return len(c.reps) <= 4
}

// hasSets tells whether items hold a repeated group of two or more reps.
func hasSets(items []workouts.Item) bool {
	for _, it := range items {
		if len(it.Body) == 0 {
			continue
		}
		if hasSets(it.Body) || it.Count > 1 && len(CourseOf(workouts.Workout{Items: it.Body}).works()) > 1 {
			return true
		}
	}
	return false
}

// works are the reps, none of an easy run.
func (c Course) works() []stretch {
	if c.easy {
		return nil
	}
	return c.reps
}

// oneRep tells whether there are two reps or more, all of one length.
func (c Course) oneRep() bool {
	for _, r := range c.reps {
		if !sameLength(r, c.reps[0]) {
			return false
		}
	}
	return len(c.reps) > 1
}

func sameLength(a, b stretch) bool {
	return a.open == b.open && (a.open || alike(a, b, 0.01, scales{}) > 0.9)
}

// evenRests tells whether every recovery is as long as the rep before it, give
// or take a fifth.
func (c Course) evenRests() bool {
	for i, r := range c.rests {
		if r.open || c.reps[i].open || math.Abs(math.Log(length(r)/length(c.reps[i]))) > math.Log(1.2) || inMetres(r, r) != inMetres(c.reps[i], c.reps[i]) {
			return false
		}
	}
	return true
}

// length is the better known of seconds and metres.
func length(s stretch) float64 {
	if inMetres(s, s) {
		return s.metres.value
	}
	return s.seconds.value
}

// goesUpOrDown tells whether the lengths of the reps go one way, or one way and
// back, over three lengths or more.
func (c Course) goesUpOrDown() bool {
	turns, last := 0, 0
	up, down := 1, 1
	for i := 1; i < len(c.reps); i++ {
		if c.reps[i].open || c.reps[i-1].open {
			return false
		}
		way := 1
		switch a, b := c.reps[i-1].seconds.value, c.reps[i].seconds.value; {
		case sameLength(c.reps[i-1], c.reps[i]):
			return false
		case b < a:
			way = -1
			down++
		default:
			up++
		}
		if last != 0 && way != last {
			turns++
		}
		last = way
	}
	return turns <= 1 && max(up, down) >= 3
}

// Work sums the reps of an outline.
func Work(o athlete.Outline) (seconds, metres athlete.Estimate, reps int) {
	for _, s := range o.Steps {
		if s.Role == segment.Work {
			seconds = seconds.Plus(s.Seconds)
			metres = metres.Plus(s.Metres)
			reps++
		}
	}
	return seconds, metres, reps
}
