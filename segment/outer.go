package segment

import "math"

// readOuter reads what lies before the first and after the last rep: amounts, a
// wait on the start line, and a last recovery that belongs to the pattern. The runner
// stood for waited seconds until shortly before the first rep.
func (j *judge) readOuter(r *reading, waited float64) {
	n := len(r.works)
	outer := j.outer
	factor := 1.0
	if o, ok := odometerOffset(r.reps, r.shape); ok {
		// The reps have told what the runner goes by, or how far the odometer is off.
		known := sq(scaleSD) / (sq(scaleSD) + sq(o.seenSE))
		r.offset, r.offsetSE = o.seen*known, o.seenSE*math.Sqrt(known)
		factor, outer.scale = math.Exp(-r.offset), r.offsetSE
		outer.believes = o.byDisplay(outer.believes)
	}
	vague := max(0.5, j.tr.Step/2) // the first and the last record come within a step of the press, s
	fit := func(a, b edge) amountFit {
		s := j.between(a, b).sight
		s.metres *= factor
		return fitAmount([]sight{s}, outer)
	}
	if mile, _ := units(r.shape); !mile {
		outer.shelf = metricEnds()
	}
	begin := r.starts[0]
	if p := r.shape[0]; p.passes == 0 && p.work.amount.Metres >= 2000 && waited < longWait {
		outer.time += 2 // who plans long reps in kilometres plans the rest so too; a race is none's plan
	}
	if r.before.seconds() >= leastEnd {
		if waited >= longWait {
			// Device speed dies away slowly: the runner had stopped when the odometer did.
			stood := j.timeAt(j.tr.RunBy, j.tr.RunBy(begin.at-waited+10)-1.5)
			r.wait = begin.at - max(stood, begin.at-waited-20)
			begin = edge{begin.at - r.wait, 2}
		}
		r.warm = fit(edge{0, vague}, begin)
	}
	if r.after.seconds() < leastEnd {
		return
	}
	total := edge{float64(j.tr.Len()), vague}
	last := r.ends[n-1]
	r.cool = fit(last, total)
	p := r.shape[len(r.shape)-1]
	if p.passes > 0 || p.from == p.to || p.rest == nil || p.rest.amount != p.work.amount || p.rest.amount == (Amount{}) {
		return
	}
	// Work and recovery of one length, run without slowing to a jog: "on and
	// off". Then the last off is run too, if what is left makes sense without it.
	if m := r.manner(p.from); m != "easy" && m != "float" {
		return
	}
	end := edge{last.at + p.rest.amount.Seconds, math.Hypot(last.se, 0.03*p.rest.amount.Seconds)}
	if d := p.rest.amount.Metres; d > 0 {
		ran := j.tr.ShownAt
		if j.track {
			ran = j.tr.RunBy
		}
		end.at = j.timeAt(ran, ran(last.at)+d)
		end.se = math.Hypot(last.se, 0.01*(end.at-last.at))
	}
	if !(end.at < total.at) {
		return
	}
	if total.at-end.at < 30 {
		r.tail, r.tailEnd, r.cool, r.after = true, total, amountFit{}, piece{}
		return
	}
	if f := fit(end, total); f.cost < r.cool.cost+4 {
		r.tail, r.tailEnd, r.cool = true, end, f
	}
}

// longWait is how long nobody stands before a rep but before a race, s (common practice,
// no source).
const longWait = 90

// standingBefore is how long the runner stood until shortly before t, both in s.
func (j *judge) standingBefore(t float64) float64 {
	end := int(t)
	c := end - 1
	for slack := 0; c >= 0 && slack < 15; c-- {
		if j.tr.Speed[c] < 0.6 {
			slack = 0
		} else {
			slack++
		}
	}
	for c++; c < end && !(j.tr.Speed[c] < 0.6); c++ {
	}
	return math.Max(0, float64(end-c))
}

// timeAt is when a distance that grows with time, m, reached d.
func (j *judge) timeAt(ran func(t float64) float64, d float64) float64 {
	lo, hi := 0.0, float64(j.tr.Len())
	for hi-lo > 0.01 {
		if m := (lo + hi) / 2; ran(m) < d {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// An offset is how far the odometer is off, as the logarithm of a distance over the
// distance meant.
type offset struct {
	seen, shown     float64 // of the distance measured and of the one displayed; medians
	seenSE, shownSE float64 // standard errors, from how much the reps scatter and edges may be off
}

// byDisplay is the probability that the runner goes by what the device shows, from that
// before the reps were seen. Reps by the display are off by their error alone, others by
// the odometer's scale as well. Nothing is ever quite sure.
func (o offset) byDisplay(before float64) float64 {
	display := before * normal(o.shown, o.shownSE)
	truth := (1 - before) * normal(o.shown, math.Hypot(o.shownSE, scaleSD))
	return min(max(display/(display+truth), 0.03), 0.97)
}

// odometerOffset reads the offset from reps meant in metres, those in sets included; ok
// is false for fewer than three of them.
func odometerOffset(reps []stretch, shape []part) (o offset, ok bool) {
	const edges = 2.5 // m, half a second or so, by which all reps may be too long or too short
	var seen, shown, meant []float64
	var walk func(parts []part, base, passes, stride int)
	walk = func(parts []part, base, passes, stride int) {
		for _, p := range parts {
			if p.passes > 0 {
				walk(p.inner, base+p.from, p.passes, (p.to-p.from+1)/p.passes)
				continue
			}
			if p.open || p.work.amount.Metres == 0 {
				continue
			}
			for pass := range passes {
				for i := p.from; i <= p.to; i++ {
					rep := reps[base+pass*stride+i]
					meant = append(meant, p.work.amount.Metres)
					seen = append(seen, math.Log(max(rep.metres, 1)/p.work.amount.Metres))
					shown = append(shown, math.Log(max(rep.display(), 1)/p.work.amount.Metres))
				}
			}
		}
	}
	walk(shape, 0, 1, 0)
	if len(seen) < 3 {
		return offset{}, false
	}
	// From the median absolute deviation, for normal errors: 1.4826 and the square root
	// of pi/2 (Huber and Ronchetti 2009, Robust Statistics; from memory).
	common := edges / median(meant)
	typical := func(x []float64) (middle, se float64) {
		middle = median(x)
		for i := range x {
			x[i] = math.Abs(x[i] - middle)
		}
		return middle, math.Hypot(1.4826*median(x)*math.Sqrt(math.Pi/2/float64(len(x))), common)
	}
	o.seen, o.seenSE = typical(seen)
	o.shown, o.shownSE = typical(shown)
	return o, true
}
