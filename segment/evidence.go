package segment

import (
	"math"
)

// contrastOf weighs how much faster the reps are than what lies beside them and
// than the running before and after, as the logarithm of the odds between a
// rep and a stretch that is quicker by chance.
func (j *judge) contrastOf(r reading) float64 {
	outer := j.ordinary(r.labelling)
	total := 0.0
	if outer == 0 {
		// Not three minutes of slower running: then the "reps" are all the
		// running there is, and stops and walks cut it up.
		total -= 12
	}
	var seconds float64
	for _, w := range r.reps {
		seconds += w.seconds / float64(len(r.reps))
	}
	// Wind on a lap, slopes and a breathing pace make small regular contrasts;
	// people plan larger ones, the larger the shorter the rep.
	least := max(0.05, 0.115*math.Pow(75/max(75, seconds), 0.4))
	if _, typical := r.contrast(); typical < least {
		total -= 20 * float64(len(r.works)) * (1 - typical/least)
	}
	for i, w := range r.works {
		sum, k := 0.0, 0.0
		for n, side := range r.sides(i) {
			if side.seconds() < 5 || (n == 0 && i == 0 || n == 1 && i == len(r.works)-1) && side.seconds() < 30 {
				continue
			}
			if !side.joined && (side.mean < 0.62*w.mean || side.mean < 1.5) {
				k++ // a stop or a walk, which needs no plan
				continue
			}
			odds := 1.5 // a change of pace has been tested as such
			if !side.joined {
				odds = oddsOfContrast(side.step(w), w.seconds())
			}
			sum, k = sum+odds, k+1
		}
		if outer > 0 {
			sum, k = sum+2*oddsOfContrast(w.mean/outer-1, w.seconds()), k+2
		}
		if k > 0 {
			total += r.share(i) * max(-4, min(3, sum/k))
		}
	}
	return total
}

// oddsOfContrast is the logarithm of the odds of a relative contrast c between
// reps, spread wide above about 5 %, and chance, which makes large contrasts
// rarely and the more rarely the longer the stretch.
func oddsOfContrast(c, seconds float64) float64 {
	chance := 0.04 * math.Sqrt(240/(120+seconds))
	if seconds > 600 {
		chance *= 0.75
	}
	short := min(1, 240/(120+seconds))
	meant := 0.05 + 1.7/(1+math.Exp(-(c-0.04-0.03*short)/0.012*math.Sqrt(short)))
	odds := math.Log(meant) + max(c, 0)/chance + math.Log(chance)
	if c < 0 {
		odds += c / chance
	}
	return max(-5, min(3, odds))
}

// apart compares the step between work and what lies beside it with how much
// speed varies inside stretches of one label, over blocks that are short
// against a rep. A wandering speed cut at a threshold shows steps of about four
// such standard deviations; meant reps show more.
func (j *judge) apart(r reading) float64 {
	var seconds float64
	for _, w := range r.reps {
		seconds += w.seconds / float64(len(r.reps))
	}
	block := int(min(120, max(8, seconds/6, seconds/4-150)))
	if seconds < 840 {
		block = min(block, 60)
	}
	var ss, k float64
	spread := func(p piece, trim int, level float64) {
		for lo := p.lo + trim; lo+block <= p.hi-trim; lo += block {
			m := mean(j.cum, lo, lo+block)
			if m < 0.7*p.mean || m < 1 {
				continue
			}
			ss += sq(m - level)
			k++
		}
	}
	for _, w := range r.works {
		lo, hi := w.lo+4, w.hi-4
		if hi-lo > block {
			spread(w, 4, mean(j.cum, lo, hi))
		}
	}
	for _, b := range r.between {
		if b.mean > 0.7*r.works[0].mean {
			spread(b, 4, b.mean)
		}
	}
	if o := j.outerSpeed(r.labelling); o > 0 {
		for _, p := range []piece{r.before, r.after} {
			spread(p, 15, o)
		}
	}
	if k < 4 {
		return 0
	}
	_, typical := r.contrast()
	sd := math.Sqrt(ss / k)
	step := typical / (1 + typical) * r.works[0].mean
	d := step / max(sd, 0.01)
	reps := 0.0
	for i := range r.works {
		reps += r.share(i)
	}
	return reps * max(-3, min(0.5, 0.6*(d-5)))
}

// misfit counts, in nats, what changes inside reps beyond noise and wander.
func (j *judge) misfit(l labelling) float64 {
	total := 0.0
	k := 0
	for n, w := range l.works {
		rep := 0.0
		step := math.Inf(1)
		for _, side := range l.sides(n) {
			if side.seconds() >= 5 {
				step = min(step, math.Abs(w.mean-side.mean))
			}
		}
		if math.IsInf(step, 1) {
			step = 0
		}
		for k < len(j.pieces) && j.pieces[k].hi <= w.lo {
			k++
		}
		for i := k; i < len(j.pieces) && j.pieces[i].lo < w.hi; i++ {
			p := j.pieces[i]
			if p.w < 1 || l.bridged != nil && l.bridged[n] && (halt(p) || p.seconds() < 20) {
				continue
			}
			z := sq(p.mean-w.mean) / (sq(j.slow)/p.w + sq(max(0.035*w.mean, 0.25*step)))
			rep += max(0, z/2-1)
		}
		total += min(rep, 6)
	}
	return total
}

// leftOver counts, in nats, stretches outside the reps that are as long and as
// fast as reps and so ought to be some.
func (j *judge) leftOver(r reading) float64 {
	outer := j.ordinary(r.labelling)
	if outer == 0 {
		return 0
	}
	shortest, slowest := math.Inf(1), math.Inf(1)
	for i, w := range r.works {
		shortest = min(shortest, r.reps[i].seconds)
		slowest = min(slowest, w.mean)
	}
	total := 0.0
	weigh := func(run float64) {
		switch {
		case run > 0.75*shortest:
			total += 5
		case run > 0.45*shortest && run > 40:
			total += 3
		}
	}
	try := func(p piece) {
		run := 0.0
		for _, q := range j.pieces {
			if q.lo < p.lo || q.hi > p.hi {
				continue
			}
			if q.mean > slowest-0.3*(slowest-outer) {
				run += q.seconds()
				continue
			}
			weigh(run)
			run = 0
		}
		weigh(run)
	}
	try(r.before)
	for _, b := range r.between {
		try(b)
	}
	try(r.after)
	return min(total, 15)
}

// block weighs a single stretch of work, with or without changes of pace inside,
// which has no repetition to speak for it: it must be long, stand out on both
// sides, begin and end sharply.
func (j *judge) block(l labelling) float64 {
	w := piece{lo: l.works[0].lo, hi: l.works[len(l.works)-1].hi}
	score := 0.0
	if w.seconds() < 480 {
		score -= 12 * (1 - w.seconds()/480)
	}
	slowest := math.Inf(1)
	for _, p := range l.works {
		slowest = min(slowest, p.mean)
	}
	// Standing and walking say nothing of the running before and after.
	level := func(lo, hi, from, to int) float64 {
		var sum, k float64
		for c := max(lo, from); c < min(hi, to); c++ {
			if j.tr.Known[c] && j.speed[c] > max(1.7, 0.55*slowest) {
				sum, k = sum+j.speed[c], k+1
			}
		}
		if k < 20 {
			return math.NaN()
		}
		return sum / k
	}
	sides := 0
	weigh := func(o piece, near, nearIn, far, farIn float64) {
		if o.seconds() < 150 {
			return
		}
		if math.IsNaN(far) { // a long wait: take what was run before it
			far = level(o.lo, o.hi, o.lo, o.hi)
		}
		if math.IsNaN(near) {
			near = far
		}
		if math.IsNaN(near) || math.IsNaN(nearIn) {
			return
		}
		sides++
		c := nearIn/near - 1
		score += 7 * (min(max(c, -0.1), 0.14)/0.07 - 1)
		if all := farIn/far - 1; c < 0.7*all {
			score -= 7 * (0.7 - c/all)
		}
	}
	b, a := l.before, l.after
	weigh(b, level(b.lo, b.hi, w.lo-75, w.lo-15), level(w.lo, w.hi, w.lo+15, w.lo+60),
		level(b.lo, b.hi, w.lo-240, w.lo-60), level(w.lo, w.hi, w.lo+60, w.lo+180))
	weigh(a, level(a.lo, a.hi, w.hi+15, w.hi+75), level(w.lo, w.hi, w.hi-60, w.hi-15),
		level(a.lo, a.hi, w.hi+60, w.hi+240), level(w.lo, w.hi, w.hi-180, w.hi-60))
	score = min(score, 7)
	switch sides {
	case 0:
		return -20
	case 1:
		// Half as much to go by; a run that is mostly "work" had a slow start.
		score -= 4
		if w.seconds() > b.seconds()+a.seconds() {
			score -= 6
		}
	}
	return score
}

// sharpness weighs the edges of long reps: a meant change is complete within a
// minute, a drift over slopes or a fading is not.
func (j *judge) sharpness(l labelling) float64 {
	score := 0.0
	edge := func(out, in piece, at, way int) { // way is +1 when the rep begins at the edge, -1 when it ends
		if out.seconds() < 150 || in.seconds() < 480 {
			return
		}
		m := func(p piece, from, to int) float64 {
			lo, hi := at+from, at+to
			if lo > hi {
				lo, hi = hi, lo
			}
			return mean(j.cum, max(p.lo, lo), min(p.hi, hi))
		}
		near := m(in, way*12, way*75)/max(m(out, -way*12, -way*75), 0.5) - 1
		far := in.mean/max(out.mean, 0.5) - 1
		switch {
		case near > 0.65*far && near > 0.03:
			score += 0.8
		case near < 0.35*far:
			score--
		}
	}
	for i, w := range l.works {
		sides := l.sides(i)
		edge(sides[0].piece, w, w.lo, 1)
		edge(sides[1].piece, w, w.hi, -1)
	}
	return max(-5, min(5, score))
}
