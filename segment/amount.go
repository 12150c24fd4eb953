package segment

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"example.org/rungs/segment/recording"
)

// Amounts that people mean. The weights say how readily a coach would write
// an amount (common practice, no source); they matter only as a prior, in
// nats, against the misfit of what was run.

// A meant is an amount with its prior cost.
type meant struct {
	size float64 // s or m
	cost float64 // nats
	mile bool
}

// What it costs to mean nothing round, nats: more often of recoveries, which go back to the start or last as long as a
// part of the rep (common practice, no source).
const freeRep, freeRest = 4.5, 3.5

// A shelf holds the amounts of one kind of stretch, ascending.
type shelf struct{ time, distance []meant }

// add puts a grid of equally likely amounts on a shelf; an amount that is there
// already keeps its lower cost.
func add(dst *[]meant, cost, from, to, step, unit float64, mile bool) {
	for x := from; x <= to+1e-9; x += step {
		v, known := x*unit, false
		for i := range *dst {
			if math.Abs((*dst)[i].size-v) < 1e-6 {
				(*dst)[i].cost = min((*dst)[i].cost, cost)
				known = true
			}
		}
		if !known {
			*dst = append(*dst, meant{v, cost, mile})
		}
	}
}

// settle sorts the amounts and makes their prior one, so that a long shelf
// explains nothing by itself: half the sum of exp(-cost) over both lists, of which
// a habit takes each with the probability of its unit.
func (s *shelf) settle() {
	total := 0.0
	for _, l := range [][]meant{s.time, s.distance} {
		for _, m := range l {
			total += math.Exp(-m.cost) / 2
		}
		slices.SortFunc(l, func(a, b meant) int { return cmp.Compare(a.size, b.size) })
	}
	for _, l := range [][]meant{s.time, s.distance} {
		for i := range l {
			l[i].cost += math.Log(total)
		}
	}
}

// metric is a shelf without its miles.
func (s *shelf) metric() *shelf {
	return &shelf{s.time, slices.DeleteFunc(slices.Clone(s.distance), func(m meant) bool { return m.mile })}
}

// repShelf holds what reps and recoveries are meant as. On a track 1600 m is
// four laps; elsewhere who runs about that far means a mile.
func repShelf(track bool) *shelf {
	s := new(shelf)
	t, d := &s.time, &s.distance
	add(t, 2.0, 60, 360, 60, 1, false)
	add(t, 2.4, 15, 45, 15, 1, false)
	add(t, 2.4, 90, 90, 1, 1, false)
	add(t, 2.4, 300, 3600, 300, 1, false)
	add(t, 2.8, 20, 20, 1, 1, false)
	add(t, 3.6, 40, 40, 1, 1, false)
	add(t, 3.2, 30, 240, 30, 1, false)
	add(t, 3.2, 420, 900, 60, 1, false)
	add(t, 3.8, 75, 75, 1, 1, false)
	add(t, 4.2, 10, 10, 1, 1, false)
	add(t, 7.2, 15, 120, 5, 1, false)
	add(t, 5.4, 50, 100, 10, 1, false)
	add(t, 4.6, 270, 600, 30, 1, false)
	add(t, 5.0, 600, 7200, 60, 1, false)
	add(t, 3.6, 3600, 10800, 300, 1, false)
	add(t, 6.6, 120, 300, 15, 1, false)
	for _, m := range []float64{200, 400, 800, 1000, 2000} {
		add(d, 1.9, m, m, 1, 1, false)
	}
	for _, m := range []float64{100, 300, 600, 1200, 3000, 5000} {
		add(d, 2.7, m, m, 1, 1, false)
	}
	mile, laps := 2.2, 4.6
	if track {
		mile, laps = 3.6, 2.7
	}
	add(d, laps, 1600, 1600, 1, 1, false)
	add(d, mile, 1, 3, 1, metresPerMile, true)
	add(d, 3.4, 1500, 1500, 1, 1, false)
	add(d, 3.4, 100, 600, 100, 1, false)
	add(d, 3.4, 1, 12, 1, 1000, false)
	add(d, 4.6, 700, 2000, 100, 1, false)
	add(d, 4.6, 150, 350, 100, 1, false)
	add(d, 4.6, 2500, 10500, 500, 1, false)
	add(d, 4.6, 13, 42, 1, 1000, false)
	add(d, 5.0, 0.5, 1.5, 1, metresPerMile, true)
	add(d, 4.6, 4, 13, 1, metresPerMile, true)
	s.settle()
	return s
}

// endShelf holds what running before and after the reps is meant as: minutes,
// mostly in fives, or whole kilometres or, where they may be, miles.
func endShelf(inMiles bool) *shelf {
	s := new(shelf)
	add(&s.time, 1.9, 5, 20, 5, 60, false)
	add(&s.time, 2.8, 8, 8, 1, 60, false)
	add(&s.time, 3.4, 12, 12, 1, 60, false)
	add(&s.time, 3.2, 25, 180, 5, 60, false)
	add(&s.time, 5.2, 1, 180, 1, 60, false)
	add(&s.distance, 2.0, 1, 3, 1, 1000, false)
	add(&s.distance, 3.6, 4, 40, 1, 1000, false)
	if inMiles {
		add(&s.distance, 3.6, 1, 3, 1, metresPerMile, true)
		add(&s.distance, 4.4, 4, 20, 1, metresPerMile, true)
	}
	add(&s.distance, 4.6, 0.5, 5, 1, 1000, false)
	add(&s.distance, 4.6, 400, 1200, 400, 1, false)
	s.settle()
	return s
}

var (
	roadShelf  = sync.OnceValue(func() *shelf { return repShelf(false) })
	trackShelf = sync.OnceValue(func() *shelf { return repShelf(true) })
	outerShelf = sync.OnceValue(func() *shelf { return endShelf(true) })
	metricEnds = sync.OnceValue(func() *shelf { return endShelf(false) })
)

// A habit is how one kind of stretch is usually meant: the amounts on the
// shelf, what it costs to mean it in time or in distance, and how exactly it is
// kept to.
type habit struct {
	shelf          *shelf
	time, distance float64 // nats
	believes       float64 // probability that the runner goes by what this device shows
	free           float64 // nats for nothing round
	scale          float64 // else how far its odometer is off as a whole, sd as a share
	laxity
	exact laxity // a closer way to keep to it, tried as well when not zero

	memo map[uint64]fits // of what was fitted before, by hash of the stretches; may be nil
}

const metresPerMile = recording.MetresPerMile

// A sight is one stretch as seen: how long and how far, with what error.
type sight struct {
	seconds, metres float64
	shown           float64 // m, by the device's display; 0 when it is the same
	se              float64 // s, error of the duration from both edges
	halted          float64 // s of standing inside it
	told            Amount  // what the device led the runner through; zero when it did not
	noise           float64 // sd of metres from the odometer's own noise
}

// display is the distance that the device showed for it, m.
func (s sight) display() float64 {
	if s.shown == 0 {
		return s.metres
	}
	return s.shown
}

// laxity says how exactly a kind of stretch is kept to its amount.
type laxity struct {
	seconds float64 // sd of a single stretch, s
	share   float64 // the same as a share of the amount
	common  float64 // sd of what all stretches of a session have in common, s
	late    float64 // sd of running on beyond an amount of time, s; nobody stops early. 0 for an even error
	lateM   float64 // the same for an amount of distance, m
	outlier float64 // probability that a stretch has nothing to do with the amount
}

var (
	strict = laxity{seconds: 1.2, share: 0.002, common: 0.4, outlier: 0.01}
	loose  = laxity{seconds: 2, share: 0.04, common: 2.5, outlier: 0.006}
	closer = laxity{seconds: 1, share: 0.005, common: 1, outlier: 0.006}
	atEnds = laxity{seconds: 1, share: 0.001, common: 0.1, late: 6, lateM: 3, outlier: 0.02}
)

// scaleSD is how far a device's odometer is off as a whole (sd as a share);
// Johansson et al. 2020 report median errors of 0.6 to 1.9 %.
const scaleSD = 0.016

// Other scales: a treadmill with its sensors is off by more (from memory: 2 to 3 %),
// a track whose reps have measured the odometer by little.
const (
	treadmillScaleSD = 0.022
	trackScaleSD     = 0.005
)

// plainDensity is the density of the logarithm of a duration that follows no
// plan, from 8 s to 2 h.
var plainDensity = 1 / math.Log(7200/8.0)

// An amountFit is the best amount for some stretches.
type amountFit struct {
	amount Amount
	cost   float64 // nats, prior and misfit, against stretches without any plan
	next   float64 // cost of the next best amount, nats; +Inf when there is none
	second Amount  // that amount
	none   bool    // there is nothing to measure: reps that touch
}

// sure is the probability of the amount against the next best; 0 for an amount
// that nobody meant.
func (f *amountFit) sure() float64 {
	if f.amount == (Amount{}) {
		return 0
	}
	return 1 / (1 + math.Exp(f.cost-f.next))
}

// offer takes note of an amount that costs so many nats.
func (f *amountFit) offer(a Amount, cost float64) {
	if math.IsInf(cost, 1) {
		return
	}
	if a == f.amount && f.cost < math.Inf(1) {
		f.cost = min(f.cost, cost)
	} else if cost < f.cost {
		f.next, f.second = f.cost, f.amount
		f.amount, f.cost = a, cost
	} else if cost < f.next {
		f.next, f.second = cost, a
	}
}

// fitAmount finds the amount that explains the stretches best. Densities are
// over the logarithm of the amount, in which time and distance compare at
// given speeds.
func fitAmount(obs []sight, h habit) amountFit {
	if len(obs) == 0 {
		return amountFit{}
	}
	if obs[0].seconds == 0 { // a change of pace without a recovery
		return amountFit{none: true}
	}
	var f fits
	if h.memo == nil {
		f = fitBoth(obs, h)
	} else {
		key := hashOf(obs)
		var known bool
		if f, known = h.memo[key]; !known {
			f = fitBoth(obs, h)
			h.memo[key] = f
		}
	}
	best := amountFit{cost: math.Inf(1), next: math.Inf(1)}
	told := toldOf(obs, f)
	offer := func(a Amount, cost float64) {
		if told != (Amount{}) && a != told {
			cost += untold
		}
		best.offer(a, cost)
	}
	offer(f.free.amount, f.free.cost)
	for i, k := range []amountFit{f.time, f.distance} {
		unit := [...]float64{h.time, h.distance}[i]
		offer(k.amount, k.cost+unit)
		offer(k.second, k.next+unit)
	}
	return best
}

// untold is what it costs to read another amount than the device led the runner
// through, nats: such steps are seldom wrong, but can be left over from another day.
const untold = 5

// toldOf is the amount that fits and that the device led the runner through in
// all of the stretches; zero when there is none.
func toldOf(obs []sight, f fits) Amount {
	for _, a := range []Amount{f.time.amount, f.distance.amount, f.time.second, f.distance.second} {
		if a != (Amount{}) && !slices.ContainsFunc(obs, func(o sight) bool { return !a.near(o.told) }) {
			return a
		}
	}
	return Amount{}
}

// near reports whether two amounts are the same but for rounding.
func (a Amount) near(b Amount) bool {
	return math.Abs(a.Seconds-b.Seconds) <= 1e-3*a.Seconds && math.Abs(a.Metres-b.Metres) <= 1e-3*a.Metres
}

// fits are the best amounts in time, in distance and as nothing round, without
// the cost of the unit.
type fits struct{ time, distance, free amountFit }

// hashOf identifies stretches by what was seen.
func hashOf(obs []sight) uint64 {
	h := hashBase
	for _, o := range obs {
		for _, v := range [...]float64{o.seconds, o.metres, o.shown, o.se, o.halted, o.noise} {
			h = hashOn(h, math.Float64bits(v))
		}
	}
	return h
}

func fitBoth(obs []sight, h habit) fits {
	unread := amountFit{cost: math.Inf(1), next: math.Inf(1)}
	f := fits{time: unread, distance: unread, free: unread}
	medT, whole, medD := medianSight(obs)
	speed := medD / max(medT, 1)
	se := 0.0
	for _, o := range obs {
		se = max(se, o.se)
	}
	var logBuf [24]logs
	seen := logBuf[:0]
	for _, o := range obs {
		seen = append(seen, logs{math.Log(o.seconds), math.Log(max(o.seconds-o.halted, 1)), math.Log(max(o.metres, 1)), math.Log(max(o.display(), 1))})
	}
	// Some keep to an amount exactly, some by and large: both are tried.
	manners, choice := [2]laxity{h.laxity}, 0.0
	tried := manners[:1]
	if h.exact != (laxity{}) {
		manners[1], choice = h.exact, math.Ln2
		tried = manners[:]
	}
	// Amounts farther off cannot win: standard deviations, and a share of the amount
	// since outliers draw the median away.
	const far, drawn = 4.5, 0.015
	apartS, apartM := 0.0, 0.0 // either of two may be the outlier
	if len(obs) == 2 {
		apartS, apartM = math.Abs(obs[0].seconds-obs[1].seconds)/2, math.Abs(obs[0].metres-obs[1].metres)/2
	}
	var devBuf, noisyBuf [24]deviation
	for _, lax := range tried {
		reach := far*math.Sqrt(sq(lax.seconds)+sq(se)+sq(lax.common)+sq(lax.share*whole)) + drawn*whole + apartS
		for _, c := range h.shelf.time[atLeast(h.shelf.time, medT-reach-far*lax.late):] {
			if c.size > whole+reach {
				break
			}
			devs := devBuf[:0]
			size := math.Log(c.size)
			for i, o := range obs {
				x := seen[i].seconds - size
				if m := seen[i].moving - size; o.halted > 0 && math.Abs(m) < math.Abs(x) {
					x = m
				}
				devs = append(devs, newDeviation(x, sq(lax.seconds)+sq(o.se)+sq(lax.share*c.size), lax.late, c.size))
			}
			f.time.offer(Amount{Seconds: c.size}, choice+c.cost+misfit(devs, lax, lax.common/c.size))
		}
	}
	for _, lax := range tried {
		reach := far*math.Sqrt(sq(speed)*(sq(lax.seconds)+sq(se))+sq(2)+sq(obs[0].noise)+sq(medD)*(sq(lax.share)+sq(scaleSD))) + drawn*medD + apartM
		for _, c := range h.shelf.distance[atLeast(h.shelf.distance, medD-reach-far*lax.lateM):] {
			if c.size > medD+reach {
				break
			}
			exact, noisy := devBuf[:0], noisyBuf[:0]
			size := math.Log(c.size)
			for i, o := range obs {
				x, v := seen[i].metres-size, o.metres/max(o.seconds-o.halted, 1)
				own := sq(v)*(sq(lax.seconds)+sq(o.se)) + sq(lax.share*c.size) + sq(2)
				exact = append(exact, newDeviation(seen[i].shown-size, own, lax.lateM, c.size))
				noisy = append(noisy, newDeviation(x, own+sq(o.noise), lax.lateM, c.size))
			}
			// Either the runner went by what this device shows, or by a truth that it misses.
			cost := -logSumExp([]float64{math.Log(h.believes) - misfit(exact, lax, 0.001), math.Log1p(-h.believes) - misfit(noisy, lax, h.scale)})
			f.distance.offer(Amount{Metres: c.size, Mile: c.mile}, choice+c.cost+cost)
		}
	}
	// Nothing round: the stretches agree with each other, or not even that.
	cost := h.free
	if len(obs) > 1 {
		devs := devBuf[:0]
		typical := math.Log(medT)
		for i, o := range obs {
			devs = append(devs, newDeviation(seen[i].seconds-typical, sq(h.seconds)+sq(o.se)+sq((h.share+0.02)*medT), 0, medT))
		}
		cost += misfit(devs, h.laxity, 2)
	}
	step := 1.0
	switch {
	case h.late > 0: // before and after the reps only minutes make sense
		step = 60
		cost += 1.2
	case medT >= 600:
		step = 60
	case medT >= 180:
		step = 15
	case medT >= 20:
		step = 5
	}
	f.free.offer(Amount{Seconds: math.Max(step, math.Round(medT/step)*step)}, cost)
	return f
}

// atLeast is the index of the first amount of that size or more.
func atLeast(list []meant, size float64) int {
	i, _ := slices.BinarySearchFunc(list, size, func(m meant, s float64) int { return cmp.Compare(m.size, s) })
	return i
}

// logs are the logarithms of a sight.
type logs struct{ seconds, moving, metres, shown float64 }

// A deviation is that of a stretch from an amount, as the logarithm of the ratio,
// with its standard deviations where the stretch is too short and too long.
type deviation struct{ x, sd, late float64 }

// newDeviation takes a variance and how late a stretch may end, both in the unit
// of the amount.
func newDeviation(x, variance, late, size float64) deviation {
	d := deviation{x: x, sd: math.Sqrt(variance) / size}
	d.late = d.sd
	if late > 0 {
		d.late = math.Sqrt(variance+sq(late)) / size
	}
	return d
}

// misfit is the description length, in nats, of the deviations of stretches from
// an amount, against stretches that follow no plan. What they have in common has
// standard deviation common and is integrated out; each is an outlier with the
// probability that lax says.
func misfit(devs []deviation, lax laxity, common float64) float64 {
	var sum, w float64
	for _, d := range devs {
		sd := d.sd
		if d.x > 0 && lax.late > 0 {
			sd = d.late
		}
		if sq(d.x) < 16*(sq(sd)+sq(common)) {
			sum, w = sum+d.x/sq(sd), w+1/sq(sd)
		}
	}
	if len(devs) < 5 {
		lax.outlier /= 20 // one odd stretch among few is no oddity, it is a plan
	}
	offset := sum / (w + 1/sq(common))
	cost := sq(offset/common)/2 + math.Log1p(w*sq(common))/2
	// The product of the likelihoods, so that one logarithm does.
	product := 1.0
	for _, d := range devs {
		x := d.x - offset
		sd := d.sd
		if lax.late > 0 { // two halves of different width
			sd = (d.sd + d.late) / 2
			if x > 0 {
				x *= sd / d.late
			} else {
				x *= sd / d.sd
			}
		}
		p := lax.outlier * plainDensity
		if math.Abs(x) < 7*sd {
			p += (1 - lax.outlier) * normal(x, sd)
		}
		product *= p / plainDensity
		if product < 1e-200 || product > 1e200 {
			cost -= math.Log(product)
			product = 1
		}
	}
	return cost - math.Log(product)
}

// medianSight is the median time spent moving (s), the median whole time (s) and
// the median distance (m) of some stretches.
func medianSight(obs []sight) (moving, whole, metres float64) {
	var buf [64]float64
	of := func(value func(o sight) float64) float64 {
		x := buf[:0]
		for _, o := range obs {
			x = append(x, value(o))
		}
		return median(x)
	}
	moving = of(func(o sight) float64 { return o.seconds - o.halted })
	whole = moving
	if slices.ContainsFunc(obs, func(o sight) bool { return o.halted > 0 }) {
		whole = of(func(o sight) float64 { return o.seconds })
	}
	return moving, whole, of(func(o sight) float64 { return o.metres })
}

// median sorts x and returns its middle value.
func median(x []float64) float64 {
	if len(x) > 24 {
		slices.Sort(x)
	}
	for i := 1; i < len(x); i++ { // most lists are short
		for j := i; j > 0 && x[j] < x[j-1]; j-- {
			x[j], x[j-1] = x[j-1], x[j]
		}
	}
	if len(x) == 0 {
		return math.NaN()
	}
	if len(x)%2 == 1 {
		return x[len(x)/2]
	}
	return (x[len(x)/2-1] + x[len(x)/2]) / 2
}

const rootTwoPi = 2.5066282746310002

func sq(x float64) float64 { return x * x }

// normal is the normal density at x for a standard deviation sd about zero.
func normal(x, sd float64) float64 {
	return math.Exp(-sq(x/sd)/2) / (sd * rootTwoPi)
}
