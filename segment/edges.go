package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// How runners and belts change their speed, s and m/s in a second.
const (
	legsS      = 1.8 // time constant of a runner (simulated runners have 1.2 to 2.6)
	shownLegsS = 2.0 // the same on device speed, whose smoothing is not quite any that is tried (simulated devices)
	haltS      = 0.8 // the same to a standstill
	// A belt's rates (from memory, no source).
	beltUp, beltDown = 0.3, 0.4
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
			out[i].at -= j.following(m).rampS / 2
			out[i].se = math.Min(longestError, math.Hypot(heartSE, 3*edgeError(wander*math.Max(m[0].mean, m[1].mean), m[1].mean-m[0].mean)))
		}
		return pressed(out, presses)
	}
	out = j.onStream(meets)
	for i, m := range meets {
		a, b := nearLevel(j.tr, m[0], false), nearLevel(j.tr, m[1], true)
		out[i].se = math.Min(out[i].se, 0.1*math.Min(m[0].seconds(), m[1].seconds())+2)
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

// edgeError is a first guess at the standard error, s, of the place of a step (m/s) in
// noise of a long-run standard deviation, m/s * sqrt(s). By Bai 1997 (Rev. Econ. Stat.
// 79(4):551-563) the error of the place is (noise/step)^2 times a variable whose middle half
// lies within 1.5 of zero, and whose long tails give it a standard deviation of the root of
// 26. The factor 1.7 is near the middle half; callers correct it by what they measure.
func edgeError(longRun, step float64) float64 {
	return 1.7 * sq(longRun/math.Max(math.Abs(step), 0.1))
}

// evenSE is the standard error of edges that a rhythm tells of, s: that of lengths which is
// allowed for there.
const evenSE = 3

// heartSE is the standard error of edges that only heart rate tells of, s (simulated devices).
const heartSE = 3

// blend weighs two estimates of one edge by their precision.
func blend(a, b edge) edge {
	wa, wb := 1/sq(a.se), 1/sq(b.se)
	if math.Abs(a.at-b.at) > 3*math.Hypot(a.se, b.se) { // they see different things
		return edge{a.at, math.Hypot(a.se, 0.5*(a.at-b.at))}
	}
	return edge{(wa*a.at + wb*b.at) / (wa + wb), 1 / math.Sqrt(wa+wb)}
}

// onCost places an edge in the series that was searched, whose slopes are
// smoothed evenly to both sides and so lag behind nothing.
func (j *judge) onCost(before, after piece) edge {
	at, _ := j.stepAt(before, after, before.mean, after.mean)
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

// sharpen refines all edges of a reading, refits the amounts to them, and gives the edges honest
// margins.
func (j *judge) sharpen(r reading, presses []float64) reading {
	r = j.placed(r, presses)
	j.margins(&r)
	return r
}

// A met is which pieces meet at the start and at the end of a rep, -1 at an end of the recording.
type met struct{ start, end int }

// placed refines all edges of a reading, with their errors by theory, and refits the amounts to
// them.
//
// Branches: ends of the recording, touching reps and rhythms are each a case.
func (j *judge) placed(r reading, presses []float64) reading {
	j.stretches(&r)
	n := len(r.works)
	var meets [][2]piece
	refs := make([]met, n)
	meet := func(a, b piece) int {
		meets = append(meets, [2]piece{a, b})
		return len(meets) - 1
	}
	for i, w := range r.works {
		sides := r.sides(i)
		refs[i] = met{-1, -1}
		switch {
		case sides[0].joined:
			refs[i].start = refs[i-1].end
		case sides[0].seconds() >= leastBeside:
			refs[i].start = meet(sides[0].piece, w)
		}
		if sides[1].seconds() >= leastBeside {
			refs[i].end = meet(w, sides[1].piece)
		}
	}
	placed := j.placeEdges(meets, presses)
	j.unbias(&r, refs, placed)
	r.starts, r.ends = make([]edge, n), make([]edge, n)
	last := 0.0
	for i, w := range r.works {
		at := func(k int, rough, limit float64) edge {
			switch {
			case k >= 0 && r.even && math.Abs(placed[k].at-rough) > 2*evenSE:
				return edge{rough, evenSE} // noise has drawn it away from where the rhythm has it
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
	return j.refit(r)
}

// refit measures the reps and the recoveries of a reading between its edges, and fits the amounts to them.
func (j *judge) refit(r reading) reading {
	n := len(r.works)
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
	r.shape = consistentShape(r.reps, r.rests, r.easy, work, j.rest, j.byFeel(&r))
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
