package match

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// A task is a planned step as the alignment sees it: what speed to look for,
// how long, and what leaving it out or running it otherwise costs.
//
// Costs are in nats, as of a negative log-likelihood: a difference of 3 is
// clear, one of 10 is plain. The prices below were set on simulated sessions
// and are tested on other ones.
type task struct {
	planned workouts.Planned
	work    bool
	rest    bool // a recovery
	group   int  // work steps written alike share a group; -1 otherwise

	open   bool
	metres bool    // the amount is a distance
	amount float64 // s or m; 0 when open
	sigma  float64 // usual scatter of the amount, same unit
	slope  float64 // price per sigma beyond two
	least  float64 // shortest span to consider, s or m
	most   float64 // longest
	skip   float64 // price of leaving it out
	level  band    // speeds that fit, m/s
	weight float64 // of a second's misfit: a long step is not worth more than wholeS seconds, a short rep no less than one left out
}

// A band is a range of speeds that fit a step, m/s, with the relative scale on
// which speeds outside it stop fitting.
type band struct{ low, high, scale float64 }

// Prices of what was not planned.
const (
	priceMissed   = 14.0  // a rep left out
	priceEarly    = 3.0   // added in proportion to how early in the plan that was
	priceStop     = 16.0  // all further reps left out
	priceStopRep  = 1.0   // added for each of them
	priceReplaced = 12.0  // a rep jogged instead, for about its amount
	priceNoRest   = 4.0   // a recovery left out
	priceNoEnds   = 5.0   // a warm-up or cool-down left out
	priceSlow     = 4.0   // an unplanned slow stretch between planned steps
	priceFast     = 8.0   // an unplanned rep
	priceAtOnce   = 8.0   // added when that begins without a rest after a planned one
	priceThrough  = 5.0   // a recovery run at the speed of work
	priceHalt     = 4.0   // stops inside a rep
	priceHaltEnd  = 8.0   // added when the rep begins or ends standing
	rateSlow      = 0.02  // per second of unplanned slow running
	rateFast      = 0.03  // per second of an unplanned rep
	rateHalt      = 0.03  // per second stood inside a rep
	priceSeen     = 10.0  // a rep that the split without the plan saw, laid as something else, when it is long enough for one of the plan's
	rateSeen      = 0.06  // added per second of it
	rateUnseen    = 0.03  // per second that it calls something else, and that is laid as a planned rep
	rateExtra     = 0.15  // the same, laid as an unplanned rep
	rateTold      = 1.0   // in place of these, where someone told the reps: more than any misfit of the speed
	correlationS  = 10.0  // seconds of speed that count as one observation
	mostMisfit    = 4.5   // misfit of one observation, at most: a three-sigma miss
	wholeS        = 200.0 // seconds of a rep beyond which its misfit does not grow
	likeShare     = 0.5   // of the shortest step of the plan, below which it is not long enough
	longestStepXs = 2.3   // times the amount that a rep is looked for
	edgeSlackS    = 3     // s that the edge of a rep may lie inside the stop before or after it: less than a stop lasts
)

// tasks prepares the planned steps.
func tasks(steps []workouts.Planned) []task {
	groups := map[workouts.Step]int{}
	out := make([]task, len(steps))
	for i, p := range steps {
		t := task{planned: p, work: p.Role == segment.Work, rest: p.Role == segment.Recovery, group: -1}
		if t.work {
			g, ok := groups[p.Step]
			if !ok {
				g = len(groups)
				groups[p.Step] = g
			}
			t.group = g
		}
		a := p.Step.Amount
		switch a.Kind {
		case workouts.Time:
			t.amount = a.Seconds
		case workouts.Distance:
			t.amount, t.metres = a.Metres, true
		}
		if !(t.amount > 0) {
			t.open, t.amount = true, 0
		}
		t.price(len(steps))
		out[i] = t
	}
	return out
}

// price sets the costs of a step by its role.
func (t *task) price(n int) {
	grain := t.grain()
	switch t.planned.Role {
	case segment.Work:
		t.sigma, t.slope = grain+0.025*t.amount, 0.6
		t.least, t.most = 0.2*t.amount, longestStepXs*t.amount
		t.skip = priceMissed
	case segment.Warm, segment.Cool:
		t.sigma, t.slope = 7*grain+0.15*t.amount, 0.1
		t.least, t.most = 0.1*t.amount, math.Max(4*t.amount, 600*grain)
		t.skip = priceNoEnds
	default:
		t.sigma, t.slope = 2*grain+0.1*t.amount, 0.5
		t.least, t.most = 0.15*t.amount, math.Max(5*t.amount, 60*grain)
		t.skip = priceNoRest
	}
	t.weight = 1
	switch s := t.seconds(); {
	case t.work && s > wholeS:
		t.weight = wholeS / s
	case t.work && s > 0 && s < priceMissed/mostMisfit*correlationS: // none of a rep fits no better than leaving it out
		t.weight = priceMissed / mostMisfit * correlationS / s
	}
	// Sessions are cut at the end rather than at the start: leaving out an
	// earlier step is dearer.
	t.skip += priceEarly * float64(n-t.planned.Index) / float64(n)
}

// grain is what an amount is coarse by, s or m.
func (t *task) grain() float64 {
	if t.metres {
		return 10
	}
	return 3
}

// seconds is about how long the step takes.
func (t *task) seconds() float64 {
	if t.metres {
		return t.amount / 4 // at 4 m/s
	}
	return t.amount
}

// shortest is the length of the shortest step, s.
func shortest(ts []task) float64 {
	least := math.Inf(1)
	for i := range ts {
		if !ts[i].open {
			least = math.Min(least, ts[i].seconds())
		}
	}
	return least
}

// misfit prices an amount x (s or m) run for the step.
func (t *task) misfit(x float64) float64 {
	z := math.Abs(x-t.amount) / t.sigma
	if z <= 2 {
		return z * z / 2
	}
	price := 2 + t.slope*(z-2)
	if t.work && x < t.amount { // what is missing of a rep is that share of one left out
		price = math.Max(price, priceMissed*(1-x/t.amount))
	}
	return price
}
