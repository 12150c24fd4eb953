package match

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// What a plan that is known to be what was run costs otherwise, in nats: its steps are all
// there, of about their amounts and nothing besides.
const (
	givenMissed = 30.0 // added to the price of leaving a rep or a recovery out
	givenNoEnds = 60.0 // the same of other steps
	givenSlope  = 4.0  // per sigma beyond two of an amount
	givenEnds   = 0.02 // of a warm-up or cool-down, which is its scatter beside some seconds
	givenReps   = 0.6  // of the scatter of reps
	givenRests  = 0.4  // of that of recoveries
	givenLeast  = 0.5  // of the amount of a rep that is looked for
	givenOpenS  = 8.0  // s, the shortest step without an amount
	givenFast   = 30.0 // an unplanned rep
	givenSlow   = 20.0 // an unplanned slow stretch between steps, and
	givenSlowS  = 0.1  // a second of it
	givenTime   = 0.1  // of an amount in time that was reckoned, which is added to its scatter
)

// give prepares the steps and the speeds of a plan that is known to be what was run.
func (sp *speeds) give(ts []task) {
	sp.seen = nil // what the split saw was wrong
	if blind(sp.s) {
		sp.reckon(ts)
	}
	for i := range ts {
		t := &ts[i]
		t.slope = givenSlope
		if t.work || t.rest {
			t.skip += givenMissed
		} else {
			t.skip += givenNoEnds
		}
		switch t.planned.Role {
		case segment.Work:
			t.sigma *= givenReps
			t.least = givenLeast * t.amount
		case segment.Recovery:
			t.sigma *= givenRests
		case segment.Warm, segment.Cool:
			t.sigma = 2*t.grain() + givenEnds*t.amount
		}
		if t.open {
			t.least, t.most = givenOpenS, math.Inf(1)
		}
	}
	sp.given = sp.placing(ts)
}

// reckon gives steps in metres the time that is left for them where no distance is known, in
// proportion to usual speeds (common practice, no source). Without it they would have any length.
func (sp *speeds) reckon(ts []task) {
	usual := func(t *task) float64 {
		switch {
		case t.work:
			return 1.2
		case t.planned.Step.Manner == workouts.Walk:
			return 0.5
		case t.planned.Step.Manner == workouts.Jog:
			return 0.85
		}
		return 1
	}
	left, metres := float64(sp.n), 0.0
	for i := range ts {
		switch a := ts[i].planned.Step.Amount; a.Kind {
		case workouts.Time:
			left -= a.Seconds
		case workouts.Distance:
			metres += a.Metres / usual(&ts[i])
		default:
			return
		}
	}
	if !(left > 0.1*metres && left < metres) { // at 1 to 10 m/s
		return
	}
	for i := range ts {
		t := &ts[i]
		if a := t.planned.Step.Amount; a.Kind == workouts.Distance {
			t.open, t.metres, t.amount = false, false, a.Metres/usual(t)*left/metres
			t.price(len(ts))
			t.sigma += givenTime * t.amount
		}
	}
}
