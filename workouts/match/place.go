package match

import (
	"math"
	"slices"

	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/trend"
)

// What it costs, in nats, where a step of a plan that is known to be what was run is laid.
// Set on simulated sessions from seed 300,001 on; TestCorrections measures on others.
const (
	placeCorrelS = 12.0 // seconds of speed that count as one observation of how even a step is
	placeShare   = 0.03 // of the speed, by which an even step varies beside its noise
	placeGrowS   = 300  // s, beyond which that variance grows as the length: slow drift
	placeEnd     = 0.6  // of that price, for a step that is neither work nor recovery
	placeWorkSD  = 0.04 // of the logarithm of a rep's speed about that of its kind
	placeRestSD  = 0.08 // of that of a recovery
	placeSlower  = 0.05 // by which the logarithm of a recovery's speed is below that of work at least,
	placeSlowSD  = 0.03 // and how exactly
	placeLongSD  = 0.8  // of the logarithm of the length of a step without an amount about that of its kind
	placeMost    = 12.0 // of one deviation
	placeStood   = 6.0  // a recovery that was run although it was to be stood, or the other way round
	placeMoving  = 0.1  // a second of moving in a wait
	placeOuter   = 20.0 // something before or after a plan that tells its ends, and
	placeOuterS  = 0.02 // a second of it
	placeAside   = 6.0  // going by the time of like steps instead of a distance,
	placeFaulty  = 0.5  // where the device's distance is faulty, and
	placeLastSD  = 0.05 // of the logarithm of that time
	placeRounds  = 4    // alignments, each by the speeds of the one before
	placeNodes   = 250  // moments of a grid at which nothing happens
	placeOpenS   = 90.0 // s, about how long a step by feel lasts (common practice, no source)

	held = 1 - 1/1.06 // exponent of time in the speed that can be held: Riegel 1981
)

// A placing prices where the steps of a plan that is known to be what was run lie: a step is
// even within, as fast as those of its kind for its length, and slower or quicker than what
// lies beside it as its role says.
type placing struct {
	sp       *speeds
	n, v, vv []float64 // seconds not stood, their speeds (m/s) and the squares, up to each second
	white    float64   // variance of the smoothed speed by noise, (m/s)^2
	typical  float64   // m/s
	noise    float64   // long-run, m/s * sqrt(s)
	ends     [2]bool   // the plan tells what was run before the reps, and after them

	works  map[int]float64             // level of the reps of a group
	common float64                     // level of all work; 0 when not known
	rests  map[workouts.Manner]float64 // logarithm of the speed of recoveries
	long   map[int]float64             // logarithm of the length of steps without an amount, by group; recoveries have -1
	lasts  map[workouts.Step]float64   // the same of steps in metres
}

func (sp *speeds) placing(ts []task) *placing {
	e := &placing{sp: sp, n: make([]float64, sp.n+1), v: make([]float64, sp.n+1), vv: make([]float64, sp.n+1)}
	for i, v := range sp.smooth {
		ran := 1.0
		if sp.halt[i+1] > sp.halt[i] {
			ran = 0
		}
		e.n[i+1], e.v[i+1], e.vv[i+1] = e.n[i]+ran, e.v[i]+ran*v, e.vv[i]+ran*v*v
	}
	e.white, e.noise = sp.noise*sp.noise, sp.longRn
	e.typical = e.v[sp.n] / math.Max(e.n[sp.n], 1)
	e.ends = [2]bool{!ts[0].work, !ts[len(ts)-1].work}
	return e
}

// placeLevel is the logarithm of a speed, m/s, as one that is held for a second.
func placeLevel(mps, seconds float64) float64 {
	return logSpeed(mps) + held*math.Log(math.Max(seconds, 1))
}

func logSpeed(mps float64) float64 { return math.Log(math.Max(mps, 0.3)) }

// deviation prices one of z standard deviations, robustly.
func deviation(z float64) float64 {
	z = math.Abs(z)
	if z <= 2 {
		return z * z / 2
	}
	return math.Min(2+2*(z-2), placeMost)
}

// moving is the mean speed (m/s) from second a to second b, stops left out, over how many
// seconds, and the variance.
func (e *placing) moving(a, b int) (mps, n, variance float64) {
	if n = e.n[b] - e.n[a]; n < 1 {
		return 0, n, 0
	}
	v := e.v[b] - e.v[a]
	return v / n, n, math.Max(0, e.vv[b]-e.vv[a]-v*v/n) / n
}

// uneven prices a variance over n seconds: minus the log-likelihood of a Gaussian of its own
// mean and variance, beside that of an even step.
func (e *placing) uneven(n, variance float64) float64 {
	if n < 2 {
		return 0
	}
	even := e.white + placeShare*placeShare*e.typical*e.typical*math.Max(1, n/placeGrowS)
	return n / (2 * placeCorrelS) * math.Log1p(variance/even)
}

// kind is that of steps without an amount which are about as long.
func (t *task) kind() int {
	if t.rest {
		return -1
	}
	return t.group
}

// waits tells whether a step is a wait beside the reps.
func (t *task) waits() bool {
	return t.planned.Step.Manner == workouts.Stand && !t.rest && !t.work
}

// price is that of laying step t from second a to second b, but for its amount.
func (e *placing) price(t *task, a, b int) float64 {
	mps, n, variance := e.moving(a, b)
	cost := e.uneven(n, variance)
	if e.sp.faulty(a, b) {
		if cost = 0; t.work || t.rest {
			return 0 // nothing that is known of the speed
		}
	}
	if t.waits() {
		return placeEnd*cost + placeMoving*n
	}
	if l, ok := e.long[t.kind()]; ok && t.open {
		cost += deviation((math.Log(float64(b-a)) - l) / placeLongSD)
	}
	sd := 0.0 // of the logarithm of the speed, by noise
	if n >= 1 {
		sd = e.noise / math.Sqrt(n) / math.Max(mps, 0.3)
	}
	stood := float64(b-a) - n
	switch {
	case t.work:
		cost += rateHalt * stood
		if l, ok := e.workLevel(t.group); ok && n >= 1 {
			cost += deviation((placeLevel(mps, n) - l) / math.Hypot(placeWorkSD, sd))
		}
	case t.rest:
		cost += e.rested(t, mps, n, stood, sd)
	default:
		cost = placeEnd*cost + e.tooQuick(mps, n, 180, 0)
	}
	return cost
}

func (e *placing) workLevel(group int) (float64, bool) {
	if l, ok := e.works[group]; ok {
		return l, true
	}
	return e.common, e.common != 0
}

// rested prices the speed of a recovery, and how much of it was stood.
func (e *placing) rested(t *task, mps, n, stood, sd float64) float64 {
	cost, share := 0.0, stood/(n+stood)
	manner := t.planned.Step.Manner
	switch manner {
	case workouts.Stand:
		return placeStood*(1-share) + e.tooQuick(mps, n, 60, sd)
	case workouts.Walk:
	default:
		cost = placeStood * share
	}
	if l, ok := e.rests[manner]; ok && n >= 1 {
		cost += deviation((logSpeed(mps) - l) / math.Hypot(placeRestSD, sd))
	}
	return cost + e.tooQuick(mps, n, 60, sd)
}

// tooQuick prices a speed that is not below that of work of so many seconds.
func (e *placing) tooQuick(mps, n, seconds, sd float64) float64 {
	if x := placeLevel(mps, seconds) - e.common + placeSlower; x > 0 && n >= 1 && e.common != 0 {
		return deviation(x / math.Hypot(placeSlowSD, sd))
	}
	return 0
}

// step prices laying step t from node j to node k, over run seconds or metres.
func (e *placing) step(g *ground, t *task, run float64, j, k int) float64 {
	cost := 0.0
	if !t.open {
		cost = t.misfit(run)
	}
	if t.metres {
		cost = math.Min(cost, e.aside(t, g.nodes[j].at, g.nodes[k].at))
	}
	if stood := g.stood[k] - g.stood[j]; t.work && stood > 0 {
		if !t.metres && !t.open {
			cost = math.Min(cost, t.misfit(run-stood))
		}
		cost += priceHalt
		if g.standing[j] || g.standing[k] {
			cost += priceHaltEnd
		}
	}
	return cost + e.price(t, g.nodes[j].at, g.nodes[k].at)
}

// aside prices step t in metres from second a to second b by a device whose distance is not
// to be gone by: then it takes as long as the like steps or, where the distance is known to be
// faulty, as the speed of work makes it.
func (e *placing) aside(t *task, a, b int) float64 {
	faulty := e.sp.faulty(a, b)
	l, ok := e.lasts[t.planned.Step]
	sd := placeLastSD
	if !ok && t.work && e.common != 0 && faulty {
		l, ok, sd = (math.Log(t.amount)-e.common)/(1-held), true, 2*placeLastSD
	}
	if !ok {
		return math.Inf(1)
	}
	cost := placeAside
	if faulty {
		cost = placeFaulty
	}
	x := float64(b - a)
	return cost + deviation((math.Log(x)-l)/math.Hypot(sd, 3/x)) // moments are 3 s apart
}

// faulty tells whether the distance from second a to second b is.
func (sp *speeds) faulty(a, b int) bool {
	return slices.ContainsFunc(sp.s.Trace.Faults, func(f signal.Fault) bool {
		return f.StartS < float64(b) && f.EndS > float64(a)
	})
}

// learn takes the levels and lengths of steps from a path.
func (e *placing) learn(ts []task, path []placed) {
	works, rests := map[int][]float64{}, map[workouts.Manner][]float64{}
	long, lasts := map[int][]float64{}, map[workouts.Step][]float64{}
	var all []float64
	for _, p := range path {
		if p.move != moveStep || !(p.end > p.start) {
			continue
		}
		t := &ts[p.task]
		took := math.Log(p.end - p.start)
		if t.open && (t.work || t.rest) {
			long[t.kind()] = append(long[t.kind()], took)
		}
		if t.metres {
			lasts[t.planned.Step] = append(lasts[t.planned.Step], took)
		}
		mps, n, _ := e.moving(int(p.start), int(p.end))
		switch manner := t.planned.Step.Manner; {
		case n < 4:
		case t.work:
			l := placeLevel(mps, n)
			works[t.group], all = append(works[t.group], l), append(all, l)
		case t.rest:
			rests[manner] = append(rests[manner], logSpeed(mps))
		}
	}
	e.long, e.lasts, e.rests = medians(long, 3), medians(lasts, 3), medians(rests, 2)
	e.works, e.common = medians(works, 1), 0
	if len(all) == 0 {
		return
	}
	e.common = trend.Median(all)
	for g, l := range works { // of few reps, that of all work tells as much
		n := float64(len(l))
		e.works[g] = (n*e.works[g] + 2*e.common) / (n + 2)
	}
}

// medians are those of the lists of so many values at least.
func medians[K comparable](lists map[K][]float64, least int) map[K]float64 {
	out := map[K]float64{}
	for k, l := range lists {
		if len(l) >= least {
			out[k] = trend.Median(l)
		}
	}
	return out
}

// place lays the steps where they fit best: first as if work were the quickest share of what
// was run, then by the speeds that the steps so laid were run at, until they stay.
func (sp *speeds) place(ts []task, g *ground) (path []placed, cost float64) {
	e := sp.given
	e.common = e.quickest(ts)
	path, _ = align(ts, g, math.Inf(1))
	cost = math.Inf(1)
	for range placeRounds {
		e.learn(ts, path)
		again, c := align(ts, g, math.Inf(1))
		if !(c < cost-0.01) {
			break
		}
		same := slices.Equal(again, path)
		if path, cost = again, c; same {
			break
		}
	}
	return path, cost
}

// quickest is the level of work when it is the quickest share of what was run; 0 without work.
func (e *placing) quickest(ts []task) float64 {
	var work, all, reps float64
	for i := range ts {
		s := ts[i].seconds()
		if ts[i].open {
			s = placeOpenS
		}
		if all += s; ts[i].work {
			work, reps = work+s, reps+1
		}
	}
	var v []float64
	for i, x := range e.sp.smooth {
		if e.sp.halt[i+1] == e.sp.halt[i] {
			v = append(v, x)
		}
	}
	if len(v) == 0 || reps == 0 {
		return 0
	}
	slices.Sort(v)
	return placeLevel(v[int((1-work/all/2)*float64(len(v)-1))], work/reps)
}
