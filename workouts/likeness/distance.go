package likeness

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// Distance tells how far apart two workouts are in structure, from 0 to 1:
// amounts, repeats, recoveries and order count, targets do not.
//
// It is the share of the two that has no counterpart in the other. Their reps
// and recoveries are laid against each other in order, the best way there is;
// what finds its like is taken away, what finds something similar is taken
// away in part, and what is left is divided by all there was. A rep counts 1,
// one shorter than a minute less in proportion; a recovery counts 0.4; a
// warm-up or cool-down that both have counts 0.15, easy running before or
// after the work 0.5.
//
// So 0 is the same workout, 1 is nothing in common, and n reps against n-1 of
// the same are about 1/(2n-1) apart. Reps whose lengths differ by 5 % are alike
// by 0.7, by 10 % by 0.3 and by 15 % by 0.1, and reps meant in time and reps
// meant in distance by 0.85 at most; recoveries may differ by four times as
// much.
func Distance(a, b workouts.Workout) float64 { return CourseOf(a).distance(CourseOf(b)) }

// DistanceRun is Distance between a workout and what was run. The measuring
// error of lengths is allowed for, and so is an odometer that is wrong by up
// to 6 % throughout.
func DistanceRun(w workouts.Workout, s *segment.Session) float64 {
	return CourseOf(w).distance(CourseRun(s))
}

// What stretches count in a distance.
const (
	restWeight    = 0.4
	endWeight     = 0.15
	contentWeight = 0.5
)

func repWeight(s stretch) float64 {
	if s.open {
		return 1
	}
	return math.Min(1, s.seconds.value/60)
}

func weightOfRest(s stretch) float64 {
	if s.seconds.value <= 0 && !s.open {
		return 0
	}
	return restWeight
}

// Standard deviations of the logarithm of the ratio of two lengths that
// correspond, measuring error apart.
const (
	repSpread  = 0.05
	restSpread = 0.2
	endSpread  = 0.35
)

// Factors of likeness.
const (
	openLike    = 0.9  // a length that was not planned, against any
	joinedLike  = 0.95 // reps run into one, or one run in pieces
	unitLike    = 0.85 // reps that seem meant in time, against reps meant in distance
	pacedLike   = 0.93 // times of which one was worked out with a pace that was fitted
	anotherLike = 0.5  // a recovery taken in another manner
)

// Scales are errors that all lengths of a run share, as logarithms of the
// factor by which they are too large.
type scales struct {
	metres  float64 // of the odometer
	seconds float64 // of times worked out with an assumed pace, as a runner is quicker or slower than that
}

// The most that is forgiven, and how far times worked out with one pace still
// differ from each other.
const (
	mostMetres  = 0.06
	mostSeconds = 0.35
	pacesDiffer = 0.07
)

func (a Course) distance(b Course) float64 { return a.Compare(b).Distance }

// A comparison is how two courses correspond.
type Comparison struct {
	Distance       float64
	Missing, Extra int // reps of the first and of the second without a counterpart
}

// counterpart is the likeness from which on a rep has a counterpart.
const counterpart = 0.3

func (a Course) Compare(b Course) Comparison {
	none := Comparison{Distance: 1, Missing: len(a.reps), Extra: len(b.reps)}
	if a.easy != b.easy {
		return none
	}
	all := 0.0
	for _, c := range []Course{a, b} {
		for _, s := range c.reps {
			all += repWeight(s)
		}
		for _, s := range c.rests {
			all += weightOfRest(s)
		}
	}
	ends, allEnds := endsAlike(a, b)
	if all+allEnds <= 0 {
		return none
	}
	l := laid{a: a, b: b}
	like := l.best()
	if a.run != b.run {
		first := l
		l.rests = nil
		if l.scales = l.commonScales(); l.scales != first.scales {
			if again := l.best(); again > like {
				like = again
			} else {
				l = first
			}
		}
	}
	c := none
	c.Distance = math.Min(1, math.Max(0, 1-(like+ends)/(all+allEnds)))
	for _, p := range l.pairs {
		if l.pairLike(p) >= counterpart {
			c.Missing -= p.n
			c.Extra -= p.m
		}
	}
	return c
}

// MayCorrespond tells whether Compare may leave no more than so many reps of either course without a counterpart, and
// find them alike at all. False is certain; it is known without comparing.
func (a Course) MayCorrespond(b Course, but int) bool {
	return a.easy == b.easy && a.fewest-but <= len(b.reps) && b.fewest-but <= len(a.reps)
}

// endsAlike is how much of the ends corresponds, and how much there is of ends
// that both courses have.
func endsAlike(a, b Course) (like, all float64) {
	for _, e := range [2][2]stretch{{a.before, b.before}, {a.after, b.after}} {
		if e[0].seconds.value <= 0 || e[1].seconds.value <= 0 {
			continue
		}
		w := 2 * endWeight
		if e[0].content || e[1].content {
			w = 2 * contentWeight
		}
		like += w * alike(e[0], e[1], endSpread, scales{})
		all += w
	}
	return like, all
}

// alike is how far two stretches correspond in length, from 0 to 1. The scales
// are those of b.
func alike(a, b stretch, spread float64, sc scales) float64 {
	switch {
	case a.open || b.open:
		return openLike
	case a.seconds.value <= 0 && b.seconds.value <= 0:
		return 1
	case a.seconds.value <= 0 || b.seconds.value <= 0:
		return 0
	}
	x, y, shift, most := a.seconds, b.seconds, 0.0, 1.0
	switch {
	case inMetres(a, b):
		x, y, shift = a.metres, b.metres, sc.metres
	case a.seconds.relSE+b.seconds.relSE >= fromAssumed && sc.seconds != 0:
		shift = sc.seconds
		x.relSE, y.relSE = min(x.relSE, pacesDiffer), min(y.relSE, pacesDiffer)
		most = pacedLike
	}
	z := math.Log(y.value/x.value) - shift
	v := spread*spread + x.relSE*x.relSE + y.relSE*y.relSE
	// A normal curve with a tail of one 2.5 times as wide: people stray.
	z = z * z / v
	return most * (0.75*math.Exp(-z/2) + 0.25*math.Exp(-z/12.5))
}

// restAlike is alike for recoveries, where the manner counts too.
func restAlike(a, b stretch, sc scales) float64 {
	sc.seconds = 0 // the pace of the reps is not that of the recoveries
	like := alike(a, b, restSpread, sc)
	if !sameManner(a, b) {
		like *= anotherLike
	}
	return like
}
