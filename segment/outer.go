package segment

import "math"

// readOuter reads what lies before the first and after the last rep: amounts, a
// wait on the start line, and a last recovery that belongs to the pattern.
func (j *judge) readOuter(r *reading) {
	n := len(r.works)
	outer := j.outer
	factor := 1.0
	if off, ok := odometerOffset(r.reps, r.shape); ok {
		// The reps have told how far the odometer is off.
		factor, outer.believes = math.Exp(-off), 0.9
		r.offset = off
	}
	if p := r.shape[0]; p.passes == 0 && p.work.amount.Metres >= 2000 {
		outer.time += 2 // who plans long reps in kilometres plans the rest so too
	}
	vague := max(0.5, j.tr.Step/2) // the first and the last record come within a step of the press, s
	fit := func(a, b edge) amountFit {
		s := j.between(a, b).sight
		s.metres *= factor
		return fitAmount([]sight{s}, outer)
	}
	begin := r.starts[0]
	if r.before.seconds() >= 60 {
		if w := j.standingBefore(begin.at); w >= 90 {
			r.wait = w
			begin = edge{begin.at - w, 2}
		}
		r.warm = fit(edge{0, vague}, begin)
	}
	if r.after.seconds() < 60 {
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
	end := edge{last.at + p.rest.amount.Seconds, last.se}
	if d := p.rest.amount.Metres; d > 0 {
		end.at = j.timeAt(j.tr.RunBy(last.at)+d) - j.tr.DelayS
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

// timeAt is when the odometer reached d metres.
func (j *judge) timeAt(d float64) float64 {
	lo, hi := 0.0, float64(j.tr.Len())
	for hi-lo > 0.01 {
		if m := (lo + hi) / 2; j.tr.DistanceAt(m) < d {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}

// odometerOffset is the median logarithm of the distance seen over the distance
// meant, from reps meant in metres, those in sets included; ok is false for fewer
// than three of them.
func odometerOffset(reps []stretch, shape []part) (offset float64, ok bool) {
	var all []float64
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
					all = append(all, math.Log(max(reps[base+pass*stride+i].metres, 1)/p.work.amount.Metres))
				}
			}
		}
	}
	walk(shape, 0, 1, 0)
	if len(all) < 3 {
		return 0, false
	}
	return median(all), true
}
