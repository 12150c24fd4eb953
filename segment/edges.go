package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// Delays between what a runner does and what a device shows, taken out of edges
// (s). A runner needs time to change speed, so the middle of the change comes
// about settleS after the intent; the odometer lags behind by odometerS, device
// speed by Trace.LagS (measured against the odometer where possible).
const (
	settleS   = 1.3
	odometerS = 0.9
)

// A refined edge is a moment and its standard error, s.
type edge struct{ at, se float64 }

// refine places the edge between two pieces of levels before and after on the
// odometer, which is less smoothed than device speed: the moment at which the
// distance covered leaves the one line and joins the other. That is the least
// squares position of the step (the extreme of distance minus mean level times
// time), then moved within a few seconds to where the areas balance, which is
// finer than the sampling.
func refine(tr *signal.Trace, before, after piece) edge {
	at := float64(after.lo)
	reach := func(p piece) float64 { return math.Min(20, 0.45*p.seconds()) }
	wl, wr := reach(before), reach(after)
	inner := func(p piece, fromStart bool) float64 {
		// The level near the edge, not over the whole piece: reps fade and jogs
		// begin with a walk.
		guard := math.Min(6, 0.2*p.seconds())
		lo, hi := float64(p.lo)+guard, float64(p.hi)-guard
		if fromStart {
			hi = math.Min(hi, lo+60)
		} else {
			lo = math.Max(lo, hi-60)
		}
		if hi-lo < 3 {
			return p.mean
		}
		return (tr.DistanceAt(hi) - tr.DistanceAt(lo)) / (hi - lo)
	}
	a, b := inner(before, false), inner(after, true)
	step := b - a
	if math.Abs(step) < 0.15 || wl < 2 || wr < 2 {
		return edge{at, 8}
	}
	m := (a + b) / 2
	best, bestAt := math.Inf(1), at
	sign := 1.0
	if step < 0 {
		sign = -1
	}
	for t := math.Ceil(at - wl); t <= at+wr; t++ {
		if v := sign * (tr.DistanceAt(t) - m*t); v < best {
			best, bestAt = v, t
		}
	}
	// Balance of areas close by.
	w := math.Max(5, 1.5*tr.Step)
	s, e := math.Max(bestAt-w, float64(before.lo)), math.Min(bestAt+w, float64(after.hi))
	area := (b*e - a*s - (tr.DistanceAt(e) - tr.DistanceAt(s))) / step
	if math.Abs(area-bestAt) < w {
		bestAt = area
	}
	noise := tr.Noise.LongRun / math.Abs(step)
	se := math.Sqrt(sq(0.9) + sq(noise)*2*w/3 + sq(tr.Step-1)/12)
	return edge{bestAt - settleS - odometerS, math.Min(se, 10)}
}

// sharpen refines all edges of a reading and refits the amounts to them.
func (j *judge) sharpen(r reading) reading {
	n := len(r.works)
	starts, ends := make([]edge, n), make([]edge, n)
	for i, w := range r.works {
		sides := r.sides(i)
		starts[i], ends[i] = edge{float64(w.lo), 2}, edge{float64(w.hi), 2}
		if sides[0].seconds() >= 4 {
			starts[i] = refine(j.tr, sides[0], w)
		} else if w.lo <= 3 {
			starts[i] = edge{0, 0.5}
		}
		if sides[1].seconds() >= 4 {
			ends[i] = refine(j.tr, w, sides[1])
		} else if w.hi >= j.tr.Len()-3 {
			ends[i] = edge{float64(j.tr.Len()), 0.5}
		}
	}
	last := 0.0
	for i := range n {
		if starts[i].at < last {
			starts[i].at = last
		}
		if ends[i].at < starts[i].at+2 {
			ends[i].at = starts[i].at + 2
		}
		last = ends[i].at
	}
	r.starts, r.ends = starts, ends
	for i := range r.reps {
		halted := r.reps[i].halted
		r.reps[i] = j.between(starts[i], ends[i])
		r.reps[i].halted = halted
		if i > 0 {
			r.rests[i-1] = j.between(ends[i-1], starts[i])
		}
	}
	r.easy = j.outerSpeed(r.labelling)
	r.shape = consistentShape(r.reps, r.rests, j.work, j.rest)
	if r.before.seconds() >= 60 {
		s := j.between(edge{0, 0.5}, starts[0])
		r.warm = fitAmount([]sight{s.sight}, j.outer)
	}
	if r.after.seconds() >= 60 {
		s := j.between(ends[n-1], edge{float64(j.tr.Len()), 0.5})
		r.cool = fitAmount([]sight{s.sight}, j.outer)
	}
	return r
}

// between is the stretch between two edges. Distances are read where the
// odometer has caught up.
func (j *judge) between(a, b edge) stretch {
	shift := odometerS
	d := j.tr.DistanceAt(b.at+shift) - j.tr.DistanceAt(a.at+shift)
	s := stretch{sight: sight{seconds: b.at - a.at, metres: d, se: math.Hypot(a.se, b.se)}}
	s.speed = d / max(s.seconds, 1)
	s.moving = s.speed
	var v []float64
	for c := max(0, int(a.at)+4); c < min(len(j.tr.Speed), int(b.at)-2); c++ {
		if j.tr.Speed[c] > 0.8 {
			v = append(v, j.tr.Speed[c])
		}
	}
	if len(v) > 5 {
		s.moving = quickMedian(v)
	}
	return s
}
