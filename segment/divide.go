package segment

import "math"

// ownCuts finds the steps inside each rep by itself: for each rep the cells at
// which a further part begins.
func (j *judge) ownCuts(works []piece) [][]int {
	cuts := make([][]int, len(works))
	for i, w := range works {
		for _, at := range j.stepsInside([]piece{w}) {
			cuts[i] = append(cuts[i], w.lo+at)
		}
	}
	return cuts
}

// commonCuts finds steps common to all reps of about the longest length, the
// same time after their starts.
func (j *judge) commonCuts(works []piece) [][]int {
	cuts := make([][]int, len(works))
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
	if len(same) < 2 {
		return cuts
	}
	steps := j.stepsInside(same)
	for i, w := range works {
		if w.seconds() > 0.9*longest-5 {
			for _, at := range steps {
				cuts[i] = append(cuts[i], w.lo+at)
			}
		}
	}
	return cuts
}

// pressedCuts finds the lap presses inside reps at which the pace changed. A
// press asks for less proof: it says where, so chance has had one try only.
func (j *judge) pressedCuts(works []piece) [][]int {
	cuts := make([][]int, len(works))
	for i, w := range works {
		lo := w.lo
		for k, m := range j.presses {
			at := int(math.Round(m))
			hi := w.hi
			if k+1 < len(j.presses) {
				hi = min(hi, int(math.Round(j.presses[k+1])))
			}
			if at < lo+25 || at > hi-25 {
				continue
			}
			const edge = 8
			x, y := mean(j.cum, lo+edge, at-2), mean(j.cum, at+edge, hi-2)
			wander := 0.02 * x * math.Sqrt(40/(40+float64(min(at-lo, hi-at))))
			noise := sq(j.noise)*(1/float64(at-lo)+1/float64(hi-at)) + 2*sq(wander)
			if math.Abs(math.Log(y/x)) > 0.02 && sq(y-x)/noise > 5 {
				cuts[i] = append(cuts[i], at)
				lo = at
			}
		}
		if len(cuts[i]) > 3 {
			cuts[i] = nil // that many changes to and fro are reps and recoveries
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

// stepsInside finds one or two changes of speed at the same times after the
// starts of all given reps, and returns those times (s) if they are changes of
// pace: each a few per cent, clear of noise and wander, at least half a minute
// apart, and together a better account than a steady drift.
func (j *judge) stepsInside(reps []piece) []int {
	const least, edge, fine = 36, 10, 4 // the first and last seconds still change from and to the recovery
	length := reps[0].hi - reps[0].lo
	for _, w := range reps {
		length = min(length, w.hi-w.lo)
	}
	if length < 2*least+2*edge {
		return nil
	}
	n := float64(len(reps))
	sum := make([]float64, length+1) // of the mean speed of the reps, from the start
	var line float64
	middle, span := float64(length-1)/2, float64(length-2*edge)
	for t := range length {
		v := 0.0
		for _, w := range reps {
			v += j.speed[w.lo+t] / n
		}
		sum[t+1] = sum[t] + v
		if t >= edge && t < length-edge {
			line += (float64(t) - middle) * v
		}
	}
	line = line * line / (span * (span*span - 1) / 12)
	level := func(a, b int) float64 { return (sum[b] - sum[a]) / float64(b-a) }
	all := level(edge, length-edge)
	part := func(a, b int) float64 { return float64(b-a) * sq(level(a, b)-all) }
	var one, two float64
	var at1, at2a, at2b int
	// Every grid seconds from lo to hi, for the first change and for the second.
	try := func(grid, aLo, aHi, bLo, bHi int) {
		for a := max(aLo, edge+least); a <= min(aHi, length-edge-least); a += grid {
			first := part(edge, a)
			if g := first + part(a, length-edge); g > one {
				one, at1 = g, a
			}
			for b := max(a+least, bLo); b <= min(bHi, length-edge-least); b += grid {
				if g := first + part(a, b) + part(b, length-edge); g > two {
					two, at2a, at2b = g, a, b
				}
			}
		}
	}
	coarse := max(fine, length/100)
	try(coarse, 0, length, 0, length)
	if coarse > fine {
		try(fine, at1-coarse, at1+coarse, length, length)
		try(fine, at2a-coarse, at2a+coarse, at2b-coarse, at2b+coarse)
	}
	clear := func(a, at, b int) bool {
		x, y := level(a, at), level(at, b)
		short := float64(min(at-a, b-at))
		wander := 0.02 * x * math.Sqrt(40/(40+short))
		noise := (sq(j.slow)*(1/float64(at-a)+1/float64(b-at)) + 2*sq(wander)) / n
		return math.Abs(math.Log(y/x)) >= 0.025+0.03*math.Sqrt(60/max(60, short)) && sq(y-x)/noise >= 14
	}
	if two > 1.15*one && two > 1.08*line && at2a > 0 && clear(edge, at2a, at2b) && clear(at2a, at2b, length-edge) {
		return []int{at2a, at2b}
	}
	if one > line && at1 > 0 && clear(edge, at1, length-edge) {
		return []int{at1}
	}
	return nil
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
