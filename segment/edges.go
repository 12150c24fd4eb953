package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// Delays between what a runner does and what a device shows, s. A runner needs
// time to change speed, so the change seems to begin settleS after the intent
// and to be half done halfS after it. The trace knows how far its distances lag.
const (
	settleS = 1.0
	halfS   = 1.3
	beltS   = 0.8 // more on a treadmill, whose belt changes speed slowly
)

// An edge is a moment of changing intent, in seconds from the first record, and
// its standard error, s.
type edge struct{ at, se float64 }

// placeEdges refines rough edges, given as the pieces that meet there. Device
// speed is the sharper witness where there is one, the odometer elsewhere; lap
// presses near by are taken as further witnesses.
func (j *judge) placeEdges(meets [][2]piece, presses []float64) []edge {
	out := make([]edge, len(meets))
	if j.tr.Source == signal.Nothing {
		for i, m := range meets {
			out[i] = j.onCost(m[0], m[1])
			out[i].se = 6
		}
		return pressed(out, presses)
	}
	for i, m := range meets {
		out[i] = onOdometer(j.tr, m[0], m[1])
	}
	if j.tr.Device {
		for i, e := range onDevice(j.tr.DeviceSpeed, meets) {
			switch {
			case e.se == 0:
			case j.tr.Fused: // its distances tell the same tale
				out[i] = e
			default:
				out[i] = blend(e, out[i])
			}
		}
	}
	if j.belt {
		for i := range out {
			out[i].at -= beltS
		}
	}
	for i, m := range meets {
		a, b := nearLevel(j.tr, m[0], false), nearLevel(j.tr, m[1], true)
		out[i].se = math.Min(math.Hypot(out[i].se, edgeError(wander*math.Max(a, b), b-a)), 0.1*math.Min(m[0].seconds(), m[1].seconds())+2)
		// On a slope the cost of running may change where speed hardly does.
		flat := b - a
		cost := j.nearCost(m[1], true) - j.nearCost(m[0], false)
		if math.Abs(cost) > 2*math.Abs(flat) || cost*flat < 0 {
			out[i] = j.onCost(m[0], m[1])
		}
	}
	return pressed(out, presses)
}

// wander is the long-run standard deviation of a runner's own pace as a share of
// it, sqrt(s): 2 % that hang together for 20 s (from memory, no source).
const wander = 0.126

// edgeError is the standard error, s, of the place of a step (m/s) in noise of a
// long-run standard deviation, m/s * sqrt(s) (after Bai 1997, Rev. Econ. Stat.
// 79(4):551-563).
func edgeError(longRun, step float64) float64 {
	return 1.7 * sq(longRun/math.Max(math.Abs(step), 0.1))
}

// blend weighs two estimates of one edge by their precision.
func blend(a, b edge) edge {
	wa, wb := 1/sq(a.se), 1/sq(b.se)
	if math.Abs(a.at-b.at) > 3*math.Hypot(a.se, b.se) { // they see different things
		return edge{a.at, math.Hypot(a.se, 0.5*(a.at-b.at))}
	}
	return edge{(wa*a.at + wb*b.at) / (wa + wb), 1 / math.Sqrt(wa+wb)}
}

// onOdometer places the edge between two pieces on the odometer: the moment at
// which the distance covered leaves the one line and joins the other. That is
// the least squares position of a step (the extreme of distance minus mean
// level times time), then moved within a few seconds to where the areas
// balance, which is finer than the sampling.
func onOdometer(tr *signal.Trace, before, after piece) edge {
	at := float64(after.lo)
	reach := func(p piece) float64 { return math.Min(20, 0.45*p.seconds()) }
	wl, wr := reach(before), reach(after)
	a, b := nearLevel(tr, before, false), nearLevel(tr, after, true)
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
	w := math.Max(5, 1.5*tr.Step)
	s, e := math.Max(bestAt-w, float64(before.lo)), math.Min(bestAt+w, float64(after.hi))
	area := (b*e - a*s - (tr.DistanceAt(e) - tr.DistanceAt(s))) / step
	if math.Abs(area-bestAt) < w {
		bestAt = area
	}
	noise := tr.Noise.Odometer / math.Abs(step)
	se := math.Sqrt(sq(0.7) + sq(noise)*2*w/2 + sq(tr.Step-1)/12)
	return edge{bestAt - halfS - tr.DelayS, math.Min(se, 10)}
}

// onCost places an edge in the series that was searched, whose slopes are
// smoothed evenly to both sides and so lag behind nothing.
func (j *judge) onCost(before, after piece) edge {
	m := (before.mean + after.mean) / 2
	sign := 1.0
	if after.mean < before.mean {
		sign = -1
	}
	w := int(min(20, 0.45*before.seconds(), 0.45*after.seconds()))
	best, at := math.Inf(1), after.lo
	for t := after.lo - w; t <= after.lo+w; t++ {
		if v := sign * (j.cum[t] - m*float64(t)); v < best {
			best, at = v, t
		}
	}
	return edge{float64(at), 2.5}
}

// near is the part of a piece near the edge at its start or end, s; reps fade, and
// jogs begin with a walk.
func near(p piece, atStart bool) (lo, hi float64) {
	guard := math.Min(6, 0.2*p.seconds())
	lo, hi = float64(p.lo)+guard, float64(p.hi)-guard
	if atStart {
		return lo, math.Min(hi, lo+60)
	}
	return math.Max(lo, hi-60), hi
}

// nearLevel is the speed of a piece near an edge.
func nearLevel(tr *signal.Trace, p piece, atStart bool) float64 {
	lo, hi := near(p, atStart)
	if hi-lo < 3 {
		return p.mean
	}
	return (tr.DistanceAt(hi) - tr.DistanceAt(lo)) / (hi - lo)
}

// nearCost is the same in the series that was searched.
func (j *judge) nearCost(p piece, atStart bool) float64 {
	lo, hi := near(p, atStart)
	if hi-lo < 3 {
		return p.mean
	}
	return mean(j.cum, int(lo), int(hi))
}

// onDevice fits to device speed at every edge what a smoothing device shows of
// a step: nothing before the onset, then an exponential approach. The time
// constant is common to all edges up and to all edges down, since devices
// smooth the two differently; the one with the least squares is taken. Edges
// that cannot be fitted have a zero standard error.
func onDevice(v []float64, meets [][2]piece) []edge {
	taus := [...]float64{0.6, 1.2, 2, 3, 4, 5.5, 7.5, 10}
	type fit struct{ at, rss, step, n float64 }
	fits := make([][len(taus)]fit, len(meets))
	var total [2][len(taus)]float64
	direction := func(m [2]piece) int {
		if m[1].mean > m[0].mean {
			return 0
		}
		return 1
	}
	for i, m := range meets {
		lo := max(m[0].lo, m[1].lo-18, m[1].lo-(m[1].lo-m[0].lo)*2/3)
		hi := min(m[1].hi, m[1].lo+24, len(v))
		if hi-lo < 10 {
			continue
		}
		y := v[lo:hi]
		for k, tau := range taus {
			f := fit{rss: math.Inf(1), n: float64(len(y))}
			f.at, f.rss, f.step = stepResponse(y, tau)
			f.at += float64(lo)
			fits[i][k] = f
			total[direction(m)][k] += f.rss
		}
	}
	out := make([]edge, len(meets))
	for i, m := range meets {
		d := direction(m)
		k := 0
		for c := range taus {
			if total[d][c] < total[d][k] {
				k = c
			}
		}
		f := fits[i][k]
		if f.n == 0 || math.IsInf(f.rss, 1) || (f.step > 0) != (d == 0) || math.Abs(f.step) < 0.15 {
			continue
		}
		noise := math.Sqrt(f.rss/f.n) / math.Abs(f.step)
		se := math.Min(8, math.Sqrt(sq(0.6)+sq(4*noise)*math.Max(1, taus[k]/2)))
		if d == 1 {
			se *= 1.25 // runners slow down less sharply than they set off
		}
		out[i] = edge{f.at - settleS, se}
	}
	return out
}

// stepResponse fits y = a + s*(1-exp(-(t-onset)/tau)) after the onset and y = a
// before it, with t, onset and tau in cells (s) from the start of y (m/s), to
// every half cell as the onset from the first to the fourth last, and returns
// the best onset, the sum of squares left and the step s (m/s).
//
// The sums that a fit needs follow from those of the onset a cell later: what is
// left of the step decays by the same factor in each cell. So the fits together
// take time linear in the length of y.
func stepResponse(y []float64, tau float64) (onset, rss, step float64) {
	n := float64(len(y))
	var sy, syy float64
	for _, x := range y {
		sy, syy = sy+x, syy+x*x
	}
	rss = math.Inf(1)
	decay := math.Exp(-1 / tau)
	half := math.Sqrt(decay)
	// Of the cells from the onset on: how many, the sums of y, of decay^i, of
	// decay^2i and of y decay^i, where i counts from the first of them.
	var m, after, left, left2, faded float64
	for b := len(y) - 1; b >= 1; b-- {
		m, after = m+1, after+y[b]
		left, left2, faded = 1+decay*left, 1+decay*decay*left2, y[b]+decay*faded
		// Cell b is centred half a second after its border: the onset is that border,
		// or half a second earlier.
		for k, first := range [...]float64{half, decay} {
			if b == 1 && k == 1 || int(m) < 4-k {
				continue
			}
			sg := m - first*left
			sgg := m - 2*first*left + first*first*left2
			vg := sgg - sg*sg/n
			if vg < 1e-9 {
				continue
			}
			c := after - first*faded - sg*sy/n
			if r := syy - sy*sy/n - c*c/vg; r < rss {
				onset, rss, step = float64(b)-float64(k)/2, r, c/vg
			}
		}
	}
	return onset, rss, step
}

// pressSE is how near to the change of intent a runner presses, s (common
// practice, no source).
const pressSE = 1.0

// pressed lets lap presses speak: marks by hand or by a step that lie close to
// at least half of the edges. Laps that a device made by itself do not count.
func pressed(edges []edge, marks []float64) []edge {
	near := make([]float64, len(edges))
	hits := 0
	for i, e := range edges {
		near[i] = math.NaN()
		for _, m := range marks {
			if math.Abs(m-e.at) <= 2.5+2*e.se && !(math.Abs(near[i]-e.at) < math.Abs(m-e.at)) {
				near[i] = m
			}
		}
		if !math.IsNaN(near[i]) {
			hits++
		}
	}
	if hits < 3 || 2*hits < len(edges) {
		return edges
	}
	for i, e := range edges {
		if !math.IsNaN(near[i]) {
			edges[i] = blend(edge{near[i], pressSE}, e)
		}
	}
	return edges
}

// sharpen refines all edges of a reading and refits the amounts to them.
func (j *judge) sharpen(r reading, presses []float64) reading {
	j.stretches(&r)
	n := len(r.works)
	var meets [][2]piece
	type ref struct{ start, end int } // indexes into meets, -1 for an end of the recording
	refs := make([]ref, n)
	meet := func(a, b piece) int {
		meets = append(meets, [2]piece{a, b})
		return len(meets) - 1
	}
	for i, w := range r.works {
		sides := r.sides(i)
		refs[i] = ref{-1, -1}
		switch {
		case sides[0].joined:
			refs[i].start = refs[i-1].end
		case sides[0].seconds() >= 4:
			refs[i].start = meet(sides[0].piece, w)
		}
		if sides[1].seconds() >= 4 {
			refs[i].end = meet(w, sides[1].piece)
		}
	}
	placed := j.placeEdges(meets, presses)
	r.starts, r.ends = make([]edge, n), make([]edge, n)
	last := 0.0
	for i, w := range r.works {
		at := func(k int, rough, limit float64) edge {
			switch {
			case k >= 0:
				return placed[k]
			case math.Abs(rough-limit) <= 3:
				return edge{limit, 0.5}
			}
			return edge{rough, 2}
		}
		r.starts[i] = at(refs[i].start, float64(w.lo), 0)
		r.ends[i] = at(refs[i].end, float64(w.hi), float64(j.tr.Len()))
		r.starts[i].at = max(r.starts[i].at, last)
		r.ends[i].at = max(r.ends[i].at, r.starts[i].at+2)
		last = r.ends[i].at
	}
	for i := range r.reps {
		halted := r.reps[i].halted
		r.reps[i] = j.between(r.starts[i], r.ends[i])
		r.reps[i].halted = halted
		if i > 0 {
			if r.works[i].lo == r.works[i-1].hi {
				r.rests[i-1] = stretch{}
				continue
			}
			r.rests[i-1] = j.between(r.ends[i-1], r.starts[i])
		}
	}
	r.easy = j.outerSpeed(r.labelling)
	work := j.work
	waited := j.standingBefore(r.starts[0].at)
	if n == 1 && waited >= longWait {
		work.time += 3 // a race, and races are so long
	}
	r.shape = consistentShape(r.reps, r.rests, r.easy, work, j.rest)
	j.readOuter(&r, waited)
	return r
}

// between is the stretch between two edges: s, m and m/s. Distances are read
// where the odometer has caught up.
func (j *judge) between(a, b edge) stretch {
	d := j.tr.RunBy(b.at) - j.tr.RunBy(a.at)
	s := stretch{sight: sight{seconds: b.at - a.at, metres: d, shown: j.tr.ShownAt(b.at) - j.tr.ShownAt(a.at), se: math.Hypot(a.se, b.se)}}
	s.speed = d / max(s.seconds, 1)
	s.noise = j.tr.Noise.Odometer * math.Sqrt(max(s.seconds, 1))
	s.told = j.told(a, b)
	s.moving = s.speed
	var v []float64
	for c := max(0, int(a.at)+4); c < min(len(j.tr.Speed), int(b.at)-2); c++ {
		if j.tr.Speed[c] > 0.8 {
			v = append(v, j.tr.Speed[c])
		}
	}
	if len(v) > 5 {
		s.moving = signal.Select(v, len(v)/2)
	}
	return s
}
