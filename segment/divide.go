package segment

import "math"

// divide looks for changes of pace inside the reps, without a recovery between:
// 3:00 steady and 1:00 fast, or kilometres each quicker than the last. Every
// rep that shows a clear step is cut there, and the cut reading is kept when it
// explains more.
func (j *judge) divide(best reading, watch func(reading)) reading {
	// A step that passed its test speaks for itself, whatever it does to amounts.
	const tested = 4
	for _, b := range best.bridged {
		if b {
			return best // a stop inside a rep is no change of pace
		}
	}
	for range 4 {
		next := best
		gain := 0.0
		for _, cuts := range [][]int{j.commonCuts(best.works), j.ownCuts(best.works)} {
			l := labelling{before: best.before, between: best.between, after: best.after}
			for i, w := range best.works {
				if at := cuts[i]; at > 0 {
					l.works = append(l.works, j.piece(w.lo, at), j.piece(at, w.hi))
				} else {
					l.works = append(l.works, w)
				}
			}
			if len(l.works) == len(best.works) || len(l.works) > mostReps {
				continue
			}
			l.between = interleave(l)
			r := j.read(l)
			if watch != nil {
				watch(r)
			}
			if g := r.evidence + tested - best.evidence; g > gain {
				next, gain = r, g
			}
		}
		if gain <= 0 {
			break
		}
		next.evidence = best.evidence + gain
		best = next
	}
	return best
}

// ownCuts finds the step inside each rep by itself; 0 marks a rep without one.
func (j *judge) ownCuts(works []piece) []int {
	cuts := make([]int, len(works))
	for i, w := range works {
		if at := j.stepInside([]piece{w}); at > 0 {
			cuts[i] = w.lo + at
		}
	}
	return cuts
}

// commonCuts finds one step for all reps of about the longest length, the same
// time after their starts.
func (j *judge) commonCuts(works []piece) []int {
	cuts := make([]int, len(works))
	longest := 0.0
	for _, w := range works {
		longest = max(longest, w.seconds())
	}
	var same []piece
	for _, w := range works {
		if w.seconds() > 0.9*longest-5 {
			same = append(same, w)
		}
	}
	at := j.stepInside(same)
	if at == 0 || len(same) < 2 {
		return cuts
	}
	for i, w := range works {
		if w.seconds() > 0.9*longest-5 {
			cuts[i] = w.lo + at
		}
	}
	return cuts
}

// interleave sorts out what lies between neighbouring works: nothing where they
// touch.
func interleave(l labelling) []piece {
	out := make([]piece, 0, len(l.works)-1)
	k := 0
	for i := 1; i < len(l.works); i++ {
		at := l.works[i-1].hi
		if l.works[i].lo == at {
			out = append(out, piece{lo: at, hi: at})
			continue
		}
		for l.between[k].hi == l.between[k].lo || l.between[k].lo < at {
			k++
		}
		out = append(out, l.between[k])
	}
	return out
}

// stepInside finds the best single change of speed at one time after the starts
// of all given reps, and returns that time (s) if it is a change of pace: a few
// per cent, clear of noise and wander, with half a minute on both sides. It
// returns 0 if not.
func (j *judge) stepInside(reps []piece) int {
	const least, edge = 36, 10 // the first and last seconds still change from and to the recovery
	length := reps[0].hi - reps[0].lo
	for _, w := range reps {
		length = min(length, w.hi-w.lo)
	}
	if length < 2*least+10 {
		return 0
	}
	span := float64(length - 2*edge)
	sums := func(w piece, t int) (before, all float64) {
		lo := w.lo + edge
		return j.cum[w.lo+t] - j.cum[lo], j.cum[w.lo+length-edge] - j.cum[lo]
	}
	best, at := 0.0, 0
	for t := least; t <= length-least; t++ {
		k := float64(t - edge)
		d := 0.0
		for _, w := range reps {
			a, all := sums(w, t)
			d += (all-a)/(span-k) - a/k
		}
		d /= float64(len(reps))
		if g := d * d * k * (span - k) / span; g > best {
			best, at = g, t
		}
	}
	if at == 0 {
		return 0
	}
	n := float64(len(reps))
	var a, b float64
	for _, w := range reps {
		x, all := sums(w, at)
		a += x / float64(at-edge) / n
		b += (all - x) / (span - float64(at-edge)) / n
	}
	short := float64(min(at, length-at))
	wander := 0.02 * a * math.Sqrt(40/(40+short))
	noise := (sq(j.tr.Noise.LongRun)*(1/float64(at)+1/float64(length-at)) + 2*sq(wander)) / n
	ratio := math.Abs(math.Log(b / a))
	if ratio < 0.03+0.03*math.Sqrt(60/max(60, short)) || sq(b-a)/noise < 14 {
		return 0
	}
	// A steady drift is no step: the step must explain more than a line does.
	var sxy float64
	middle := (span - 1) / 2
	for t := edge; t < length-edge; t++ {
		v := 0.0
		for _, w := range reps {
			v += j.speed[w.lo+t] / n
		}
		sxy += (float64(t-edge) - middle) * v
	}
	if line := sxy * sxy / (span * (span*span - 1) / 12); best < line {
		return 0
	}
	return at
}

// piece measures cells lo to hi afresh.
func (j *judge) piece(lo, hi int) piece {
	p := piece{lo: lo, hi: hi}
	sum := 0.0
	for i := lo; i < hi; i++ {
		if j.tr.Known[i] {
			p.w++
			sum += j.speed[i]
		}
	}
	if p.w > 0 {
		p.mean = sum / p.w
	}
	for i := lo; i < hi; i++ {
		if j.tr.Known[i] {
			p.ss += sq(j.speed[i] - p.mean)
		}
	}
	return p
}
