package segment

import (
	"cmp"
	"math"
	"slices"
)

// ordinary is the median speed of the running that is not work, m/s, walks and
// stops left out; zero when there is less than two and a half minutes of it.
func (j *judge) ordinary(l labelling) float64 {
	var work float64
	for _, w := range l.works {
		work += w.mean / float64(len(l.works))
	}
	return j.typical(append(append([]piece{l.before}, l.between...), l.after), max(1.7, 0.5*work), 150)
}

// outerSpeed is the median moving speed before and after the reps, m/s; zero
// when there is less than three minutes of it.
func (j *judge) outerSpeed(l labelling) float64 {
	return j.typical([]piece{l.before, l.after}, 0.8, 180)
}

// typical is the median speed over spans, of what is above a speed, from the
// levels of the finest split; zero when that is less than some seconds.
func (j *judge) typical(spans []piece, above, seconds float64) float64 {
	type level struct{ speed, w float64 }
	var buf [256]level
	levels := buf[:0]
	total := 0.0
	k := 0
	for _, s := range spans {
		for k < len(j.pieces) && j.pieces[k].hi <= s.lo {
			k++
		}
		for i := k; i < len(j.pieces) && j.pieces[i].lo < s.hi; i++ {
			p := j.pieces[i]
			if p.mean <= above || p.w == 0 {
				continue
			}
			w := float64(min(p.hi, s.hi)-max(p.lo, s.lo)) * p.w / p.seconds()
			levels = append(levels, level{p.mean, w})
			total += w
		}
	}
	if total < seconds {
		return 0
	}
	slices.SortFunc(levels, func(a, b level) int { return cmp.Compare(a.speed, b.speed) })
	sum := 0.0
	for _, l := range levels {
		if sum += l.w; sum >= total/2 {
			return l.speed
		}
	}
	return levels[len(levels)-1].speed
}

// mean over cells [lo, hi) from cumulative sums.
func mean(cum []float64, lo, hi int) float64 {
	if hi <= lo {
		return math.NaN()
	}
	return (cum[hi] - cum[lo]) / float64(hi-lo)
}
