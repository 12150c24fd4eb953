package segment

import (
	"math"
	"sync"
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

const costFree = 3.0 // nats for "meant as nothing round"

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

// repShelf holds what reps and recoveries are meant as. On a track 1600 m is
// four laps; elsewhere who runs about that far means a mile.
func repShelf(track bool) *shelf {
	s := new(shelf)
	t, d := &s.time, &s.distance
	add(t, 2.0, 60, 360, 60, 1, false)
	add(t, 2.4, 15, 45, 15, 1, false)
	add(t, 2.4, 90, 90, 1, 1, false)
	add(t, 2.4, 300, 3600, 300, 1, false)
	add(t, 2.8, 20, 40, 20, 1, false)
	add(t, 3.2, 30, 240, 30, 1, false)
	add(t, 3.2, 420, 900, 60, 1, false)
	add(t, 3.8, 75, 75, 1, 1, false)
	add(t, 4.2, 10, 120, 5, 1, false)
	add(t, 4.2, 270, 600, 30, 1, false)
	add(t, 4.0, 600, 7200, 60, 1, false)
	add(t, 3.6, 3600, 10800, 300, 1, false)
	add(t, 5.0, 120, 300, 15, 1, false)
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
	return s
}

// endShelf holds what running before and after the reps is meant as: minutes,
// mostly in fives, or whole kilometres or miles.
func endShelf() *shelf {
	s := new(shelf)
	add(&s.time, 1.9, 5, 20, 5, 60, false)
	add(&s.time, 2.8, 8, 12, 2, 60, false)
	add(&s.time, 3.2, 25, 180, 5, 60, false)
	add(&s.time, 4.2, 1, 180, 1, 60, false)
	add(&s.distance, 2.6, 1, 3, 1, 1000, false)
	add(&s.distance, 3.6, 4, 40, 1, 1000, false)
	add(&s.distance, 3.6, 1, 3, 1, metresPerMile, true)
	add(&s.distance, 4.4, 4, 20, 1, metresPerMile, true)
	add(&s.distance, 4.6, 0.5, 5, 1, 1000, false)
	add(&s.distance, 4.6, 400, 1200, 400, 1, false)
	return s
}

var (
	roadShelf  = sync.OnceValue(func() *shelf { return repShelf(false) })
	trackShelf = sync.OnceValue(func() *shelf { return repShelf(true) })
	outerShelf = sync.OnceValue(endShelf)
)

// A habit is how one kind of stretch is usually meant: the amounts on the
// shelf, what it costs to mean it in time or in distance, and how exactly it is
// kept to.
type habit struct {
	shelf          *shelf
	time, distance float64 // nats
	laxity
}

const metresPerMile = 1609.344

// A sight is one stretch as seen: how long and how far, with what error.
type sight struct {
	seconds, metres float64
	se              float64 // s, error of the duration from both edges
	halted          float64 // s of standing inside it
}

// laxity says how exactly a kind of stretch is kept to its amount.
type laxity struct {
	seconds float64 // sd, s
	share   float64 // sd as a share of the amount
	outlier float64 // probability that a stretch has nothing to do with the amount
}

var (
	strict = laxity{seconds: 1.5, share: 0.004, outlier: 0.03}
	loose  = laxity{seconds: 3, share: 0.03, outlier: 0.06}
	atEnds = laxity{seconds: 5, share: 0.01, outlier: 0.02}
)

// scaleSD is how far a device's odometer is off as a whole (sd as a share);
// Johansson et al. 2020 report median errors of 0.6 to 1.9 %.
const scaleSD = 0.016

// plainDensity is the density of the logarithm of a duration that follows no
// plan, from 8 s to 2 h.
var plainDensity = 1 / math.Log(7200/8.0)

// An amountFit is the best amount for some stretches.
type amountFit struct {
	amount Amount
	cost   float64 // nats, prior and misfit, against stretches without any plan
	next   float64 // cost of the best reading of the other kind or size
	second Amount
	free   bool
	none   bool // there is nothing to measure: reps that touch
}

// fitAmount finds the amount that explains the stretches best. Densities are
// over the logarithm of the amount, in which time and distance compare at
// given speeds.
func fitAmount(obs []sight, h habit) amountFit {
	lax := h.laxity
	best := amountFit{cost: math.Inf(1), next: math.Inf(1)}
	offer := func(a Amount, cost float64, free bool) {
		if cost < best.cost {
			best.next, best.second = best.cost, best.amount
			best.amount, best.cost, best.free = a, cost, free
		} else if cost < best.next {
			best.next, best.second = cost, a
		}
	}
	n := float64(len(obs))
	if n == 0 {
		return amountFit{}
	}
	if obs[0].seconds == 0 { // a change of pace without a recovery
		return amountFit{none: true}
	}
	lpd := math.Log(plainDensity)
	// In time.
	medT, medD := medianSight(obs)
	for _, c := range h.shelf.time {
		if c.size < 0.85*medT-4 || c.size > 1.15*medT+4 {
			continue
		}
		cost := h.time + c.cost
		for _, o := range obs {
			sd := math.Sqrt(sq(lax.seconds)+sq(o.se)+sq(lax.share*c.size)) / c.size
			p := normal(math.Log(o.seconds/c.size), sd)
			if o.halted > 0 {
				p = max(p, normal(math.Log((o.seconds-o.halted)/c.size), sd))
			}
			cost += lpd - math.Log((1-lax.outlier)*p+lax.outlier*plainDensity)
		}
		offer(Amount{Seconds: c.size}, cost, false)
	}
	// In distance: the offset common to all is the odometer's, known up to
	// scaleSD, so the mean is taken apart from the spread.
	for _, c := range h.shelf.distance {
		if c.size < 0.85*medD-10 || c.size > 1.15*medD+10 {
			continue
		}
		cost := h.distance + c.cost
		offset := shrunkOffset(obs, c.size, lax)
		cost += sq(offset/scaleSD) / 2
		for _, o := range obs {
			v := o.metres / max(o.seconds-o.halted, 1)
			sd := math.Sqrt(sq(lax.seconds*0.8*v)+sq(o.se*v)+sq((lax.share+0.004)*c.size)+sq(scaleSD*c.size)/n) / c.size
			p := normal(math.Log(max(o.metres, 1)/c.size)-offset, sd)
			cost += lpd - math.Log((1-lax.outlier)*p+lax.outlier*plainDensity)
		}
		offer(Amount{Metres: c.size, Mile: c.mile}, cost, false)
	}
	// Nothing round: the stretches agree with each other, or not even that.
	cost := costFree
	for i, o := range obs {
		if i == 0 {
			continue
		}
		sd := math.Sqrt(sq(lax.seconds)+sq(o.se)+sq((lax.share+0.03)*medT)) / medT * math.Sqrt(1+1/n)
		p := normal(math.Log(o.seconds/medT), sd)
		cost += lpd - math.Log((1-lax.outlier)*p+lax.outlier*plainDensity)
	}
	step := 1.0
	switch {
	case medT >= 600:
		step = 60
	case medT >= 180:
		step = 15
	case medT >= 20:
		step = 5
	}
	offer(Amount{Seconds: math.Max(step, math.Round(medT/step)*step)}, cost, true)
	return best
}

// shrunkOffset estimates the odometer's offset from the nominal distance,
// shrunk towards none.
func shrunkOffset(obs []sight, size float64, lax laxity) float64 {
	var sum, w float64
	for _, o := range obs {
		v := o.metres / max(o.seconds, 1)
		x := math.Log(max(o.metres, 1) / size)
		variance := (sq(lax.seconds*v)+sq(o.se*v))/sq(size) + sq(lax.share+0.004)
		if math.Abs(x) < 4*math.Sqrt(variance+sq(scaleSD)) {
			sum, w = sum+x/variance, w+1/variance
		}
	}
	return sum / (w + 1/sq(scaleSD))
}

func medianSight(obs []sight) (seconds, metres float64) {
	var buf [64]float64
	t := buf[:0]
	for _, o := range obs {
		t = append(t, o.seconds-o.halted)
	}
	seconds = median(t)
	t = t[:0]
	for _, o := range obs {
		t = append(t, o.metres)
	}
	return seconds, median(t)
}

// median sorts x and returns its middle value.
func median(x []float64) float64 {
	// Insertion sort: these lists are short.
	for i := 1; i < len(x); i++ {
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

func sq(x float64) float64 { return x * x }

// normal is the normal density at x for a standard deviation sd about zero.
func normal(x, sd float64) float64 {
	return math.Exp(-sq(x/sd)/2) / (sd * math.Sqrt(2*math.Pi))
}
