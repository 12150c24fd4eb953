package simulate

import (
	"math"
	"slices"
)

// Grammar draws a session of reps, sets or blocks from a broad random grammar: its shape,
// its amounts, contrasts, recoveries, ends and trends, and a runner, ground and chance that
// disturb it. Session.Name says the shape, such as "grammar: pyramid". Equal seeds give
// equal sessions. The weights and ranges are those of training as coaches write it (common
// practice, no source); they are wider than any one runner's habits.
func Grammar(seed uint64) Session {
	d := newDraw("grammar", seed)
	sh := choose(d, shapes)
	main := sh.make(d)
	before, after := d.frame()
	nodes := slices.Concat(before, main, after)
	s := d.session("grammar: "+sh.name, nodes...)
	s.Restless = d.restless
	first := 0
	for _, n := range before {
		first += len(n.legs())
	}
	rest := s.Legs[first:]
	for i := range rest {
		if rest[i].Open && d.freely != nil {
			d.freely(&rest[i])
		}
	}
	d.trend(rest)
	d.keepContrast(s.Legs)
	d.disturb(s.Legs)
	return s
}

// A shape is one family of sessions of a grammar.
type shape struct {
	name   string
	weight float64 // relative
	make   func(d *draw) []node
}

func choose(d *draw, list []shape) shape {
	sum := 0.0
	for _, s := range list {
		sum += s.weight
	}
	at := d.Float64() * sum
	for _, s := range list {
		if at -= s.weight; at < 0 {
			return s
		}
	}
	return list[len(list)-1]
}

// A draw is a runner with the habits of one session.
type draw struct {
	*athlete
	restless bool
	oddReps  bool // amounts of work are not round
	oddRests bool // nor those of the recoveries
	oddEnds  bool
	byMetres bool // work is meant in metres
	refS     float64
	contrast float64 // of work that lasts refS, over the easy speed
	fall     float64 // exponent of speed over duration
	before   bool    // there is a warm-up
	after    bool    // there is a cool-down
	waits    bool    // and a wait before the first rep
	isRace   bool
	freely   func(l *Leg) // draws a leg whose length nobody meant; nil for none
}

func newDraw(grammar string, seed uint64) *draw {
	d := &draw{athlete: newAthlete(grammar, seed)}
	r := &d.runner
	d.restless = d.chance(0.5)
	r.WanderPct, r.DriftPct = d.between(0.5, 1.5), d.between(0.5, 1.5)
	if d.restless {
		r.WanderPct, r.DriftPct = d.between(1.5, 3.5), d.between(1.5, 3.5)
	}
	// Speed wanders with peaks at 3 to 35 minutes (Hoos et al. 2014); slower than 15
	// minutes is a trend for a session of an hour.
	r.WanderS, r.DriftS = d.between(10, 40), d.between(180, 900)
	r.HillUp = d.between(0.3, 1)
	r.HillDown = max(0.3, r.HillUp*d.between(0.5, 1)) // less than up: .51 and .69 in the mean of eight
	d.oddReps, d.oddRests, d.oddEnds = d.chance(0.2), d.chance(0.2), d.chance(0.2)
	d.byMetres = d.chance(0.5)
	d.fall = d.between(0.05, 0.08) // Riegel's 1.06 is .057 over duration
	switch p := d.Float64(); {
	case p < 0.8:
		d.before, d.after = true, true
	case p < 0.88:
		d.before = true
	case p < 0.94:
		d.after = true
	}
	d.waits = d.chance(0.1)
	d.ground()
	return d
}

// ground draws where the session is run.
func (d *draw) ground() {
	switch p := d.Float64(); {
	case d.byMetres && p < 0.35:
		d.onTrack()
	case p > 0.94:
		d.onTreadmill()
		d.restless = false // a belt does not wander
		d.runner.WanderPct, d.runner.DriftPct = min(1.5, d.runner.WanderPct), min(1.5, d.runner.DriftPct)
	case p > 0.69:
		d.terrain.MaxGrade, d.terrain.RollM = d.between(0.02, 0.06), d.between(600, 3000)
	case p > 0.59:
		d.terrain.Canyon = d.between(0.2, 0.5)
	}
}

func (d *draw) chance(p float64) bool { return d.Float64() < p }

// upTo is a value between lo and hi, even in the logarithm.
func (d *draw) upTo(lo, hi float64) float64 { return lo * math.Pow(hi/lo, d.Float64()) }

var (
	roundS = []float64{15, 20, 30, 40, 45, 60, 75, 90, 120, 150, 180, 240, 300, 360, 480, 600, 720, 900, 1200, 1500, 1800}
	roundM = []float64{100, 150, 200, 300, 400, 500, 600, 800, 1000, 1200, 1500, 1600, 2000, 3000, 4000, 5000, 6000}
)

// amount draws a length of lo to hi seconds. In metres it keeps to them at any speed that
// work may have.
func (d *draw) amount(lo, hi float64) Leg {
	if !d.byMetres {
		return secs(pickAmount(d, roundS, lo, hi, d.oddReps, oddSeconds))
	}
	return metres(pickAmount(d, roundM, lo*d.easyMPS*(1+mostContrast), hi*d.easyMPS, d.oddReps, oddMetres))
}

// pickAmount is a round value within the limits or, if odd or where none is, another.
func pickAmount(d *draw, round []float64, lo, hi float64, odd bool, other func(x float64) float64) float64 {
	var fit []float64
	for _, x := range round {
		if x >= lo && x <= hi {
			fit = append(fit, x)
		}
	}
	if odd || len(fit) == 0 {
		return max(math.Ceil(lo), min(math.Floor(hi), other(d.upTo(lo, hi))))
	}
	return fit[d.IntN(len(fit))]
}

// oddSeconds and oddMetres are the nearest amounts below that nobody calls round.
func oddSeconds(x float64) float64 {
	x = math.Floor(x)
	if int(x)%5 == 0 {
		x--
	}
	return x
}

func oddMetres(x float64) float64 {
	x = math.Floor(x/10) * 10
	if int(x)%50 == 0 {
		x += 30
	}
	return x
}

// mostContrast is the most that work is quicker than easy running, relative.
const mostContrast = 0.45

// leastContrast is the least contrast of a rep of some seconds: short reps are run fast.
// From 15 % at 30 s it falls to 8 % at 3 minutes; only longer reps are down to 5 %.
func leastContrast(seconds float64) float64 {
	switch {
	case seconds <= 30:
		return 0.15
	case seconds < 180:
		return 0.15 - 0.07*math.Log(seconds/30)/math.Log(6)
	}
	return 0.05
}

// least and most are the limits of the speed of a rep, m/s. Drift hides a contrast of less
// than twice its sd from everybody. Nobody runs faster than in a race of that length.
func (d *draw) least(seconds float64) float64 {
	return d.easyMPS * (1 + max(leastContrast(seconds), 2*d.runner.DriftPct/100))
}

func (d *draw) most(seconds float64) float64 {
	race := d.v5 * math.Pow(seconds*d.v5/5000, -0.06/1.06) // Riegel 1981 over duration
	return max(d.least(seconds), min(d.easyMPS*(1+mostContrast), race))
}

// aim draws how hard reps of about some seconds are run; up to is a share of what can be.
func (d *draw) aim(l Leg) {
	d.refS = d.lasts(l)
	lo, hi := d.least(d.refS), d.most(d.refS)
	d.contrast = (lo+(hi-lo)*d.Float64())/d.easyMPS - 1
}

// lasts is about how long a leg of work lasts, s.
func (d *draw) lasts(l Leg) float64 {
	if l.Metres > 0 {
		return l.Metres / (d.easyMPS * 1.2)
	}
	return l.Seconds
}

// rep is a leg at the speed of its length: slower when longer.
func (d *draw) rep(l Leg) node {
	s := d.lasts(l)
	v := d.easyMPS * (1 + d.contrast) * math.Pow(s/d.refS, -d.fall)
	return l.work(max(d.least(s), min(d.most(s), v)))
}

// keepContrast brings the reps that a trend took out of the limits back into them.
func (d *draw) keepContrast(legs []Leg) {
	if d.isRace {
		return
	}
	for i := range legs {
		l := &legs[i]
		if l.Role != work {
			continue
		}
		mean := (l.StartMPS + l.EndMPS) / 2
		s := l.Seconds
		if l.Metres > 0 {
			s = l.Metres / mean
		}
		f := max(d.least(s), min(d.most(s), mean)) / mean
		l.StartMPS *= f
		l.EndMPS *= f
		for _, j := range []int{i - 1, i + 1} { // a float stays well below the work beside it
			if j < 0 || j >= len(legs) || legs[j].Role != recovery {
				continue
			}
			top := max(d.easyMPS, 0.92*min(l.StartMPS, l.EndMPS))
			legs[j].StartMPS, legs[j].EndMPS = min(legs[j].StartMPS, top), min(legs[j].EndMPS, top)
		}
	}
}
