package segment

import "math"

// spreads reads how much speed varies inside the labels.
func (j *judge) spreads(r *reading) {
	e := &r.features
	k := 0
	within := func(p piece) (sum float64) {
		own := level(p.mean)
		for k < len(j.pieces) && j.pieces[k].lo+j.pieces[k].hi <= 2*p.hi {
			q, lv := j.pieces[k], j.levels[k]
			k++
			if q.lo+q.hi < 2*p.lo || q.w < 1 || q.mean < 1.2 {
				continue
			}
			// A runner's own pace varies by some 3 % from one stretch to the next.
			z := sq(lv-own) / (sq(j.noise/q.mean)/q.w + sq(0.03))
			if z > 1 {
				sum += math.Log1p((z - 1) / 2)
			}
		}
		return sum
	}
	for i, w := range r.works {
		e[spreadInWork] += within(w)
		if i < len(r.between) && r.between[i].hi > r.between[i].lo && !stopped(r.between[i].mean, w.mean) {
			e[spreadInRest] += within(r.between[i])
		}
	}
	j.apartness(r)
}

// apartness compares the step between work and what lies beside it with how much speed
// varies inside stretches of one label, over blocks that are short against a rep. A
// wandering speed cut at a threshold shows steps of about four such standard deviations.
func (j *judge) apartness(r *reading) {
	n := float64(len(r.works))
	seconds, parts := 0.0, 0.0
	for i, w := range r.works {
		seconds += w.seconds() / n
		parts += r.share(i)
	}
	block := int(min(60, max(8, seconds/6)))
	var sum, k float64
	scatter := func(p piece, trim int, about float64) {
		for lo := p.lo + trim; lo+block <= p.hi-trim; lo += block {
			if m := mean(j.cum, lo, lo+block); m >= 0.7*p.mean && m >= 1 {
				sum, k = sum+math.Abs(m-about), k+1
			}
		}
	}
	for _, w := range r.works {
		if lo, hi := w.lo+4, w.hi-4; hi-lo > block {
			scatter(w, 4, mean(j.cum, lo, hi))
		}
	}
	for _, b := range r.between {
		if b.mean > 0.7*r.works[0].mean {
			scatter(b, 4, b.mean)
		}
	}
	if o := j.outerSpeed(r.labelling); o > 0 {
		scatter(r.before, 15, o)
		scatter(piece{lo: r.tailTo, hi: r.after.hi, mean: r.after.mean}, 15, o)
	}
	typical := r.stepOut()
	if k < 4 || math.IsNaN(typical) {
		return
	}
	scattered := max(math.Sqrt(math.Pi/2)*sum/k, 0.02) // a surge or a dip elsewhere counts less than in a root of squares
	step := typical / (1 + typical) * r.works[0].mean
	d := math.Log(max(step, 0.01) / scattered / 4)
	r.features[apartMean] = min(max(d, -2), 1.5)
	r.features[apartSum] = parts * min(max(d, -2), 0.5)
}
