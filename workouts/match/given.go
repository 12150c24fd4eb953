package match

import (
	"math"

	"example.org/rungs/segment"
)

// What a plan that is known to be what was run costs otherwise, in nats: its steps are all
// there, of about their amounts and nothing besides, and what the split saw counts only
// when it saw as many reps. Set on the first 500 simulated sessions whose reading was
// wrong or unsure; TestCorrections measures on others.
const (
	givenMissed  = 60.0 // added to the price of leaving a step out
	givenSlope   = 4.0  // per sigma beyond two of an amount
	givenEnds    = 0.02 // of a warm-up or cool-down, which is its scatter beside some seconds
	givenRests   = 0.6  // of the scatter of recoveries
	givenLeast   = 0.5  // of the amount of a rep that is looked for
	givenOpenS   = 8.0  // s, the shortest step without an amount
	givenLow     = 0.85 // of the speed of work, from which reps are first looked for
	givenFast    = 30.0 // an unplanned rep
	givenSlow    = 20.0 // an unplanned slow stretch between steps, and
	givenSlowS   = 0.1  // a second of it
	evenShare    = 0.03 // of the speed, by which an even step varies beside its noise
	evenCorrelS  = 20.0 // seconds of speed that count as one observation of how even it is
	evenEndShare = 0.3  // of that price, for a step that is neither work nor recovery
)

// give prepares the steps and the speeds of a plan that is known to be what was run.
func (sp *speeds) give(ts []task) {
	sp.even = sp.evenness()
	if !sp.seenAsMany(ts) {
		sp.seen = nil
	}
	for i := range ts {
		t := &ts[i]
		t.skip += givenMissed
		t.slope = givenSlope
		switch t.planned.Role {
		case segment.Work:
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
}

// seenAsMany tells whether the split found as many reps as the plan has.
func (sp *speeds) seenAsMany(ts []task) bool {
	reps := 0
	for i := range ts {
		if ts[i].work {
			reps++
		}
	}
	for _, g := range sp.s.Segments {
		if g.Role == segment.Work {
			reps--
		}
	}
	return reps == 0
}

// An evenness is sums over the seconds in which the runner did not stand, up to each second:
// by them a step without an amount, which only its own speed bounds, is priced by how
// even it is.
type evenness struct {
	n, v, vv []float64 // seconds, their speeds (m/s) and the squares
	variance float64   // of the smoothed speed in an even step, (m/s)^2
}

func (sp *speeds) evenness() *evenness {
	e := &evenness{make([]float64, sp.n+1), make([]float64, sp.n+1), make([]float64, sp.n+1), 0}
	for i, v := range sp.smooth {
		ran := 1.0
		if sp.halt[i+1] > sp.halt[i] {
			ran = 0
		}
		e.n[i+1], e.v[i+1], e.vv[i+1] = e.n[i]+ran, e.v[i]+ran*v, e.vv[i]+ran*v*v
	}
	mean := e.v[sp.n] / math.Max(e.n[sp.n], 1)
	e.variance = sp.noise*sp.noise + evenShare*evenShare*mean*mean
	return e
}

// price is that of a stretch of an unknown speed and evenness from second a to b: minus
// the log-likelihood of a Gaussian of its own mean and variance, beside that of an even one.
func (e *evenness) price(a, b int) float64 {
	n := e.n[b] - e.n[a]
	if n < 2 {
		return 0
	}
	v := e.v[b] - e.v[a]
	own := math.Max(0, e.vv[b]-e.vv[a]-v*v/n) / n
	return n / (2 * evenCorrelS) * math.Log1p(own/e.variance)
}

// openStep prices running a step without an amount from second a to b.
func (e *evenness) openStep(t *task, a, b int) float64 {
	p := e.price(a, b)
	if !t.work && !t.rest {
		p *= evenEndShare
	}
	return p
}
