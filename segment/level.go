package segment

import "math"

// outermost is how long a stretch before or after all reps must be to say anything, s (common practice, no source).
const outermost = 30.0

// ordinary is the median speed of the running that is not work, m/s, walks and
// stops left out; zero when there is less than two and a half minutes of it. Where there
// is none, the slower beginning of the first rep or end of the last counts, and a rep at either end of the recording
// that is more than twice as long as any between: these may be a warm-up or cool-down that was taken for work.
func (j *judge) ordinary(l labelling) float64 {
	const least = 150
	if v := j.notWork(l, least, 0.5); v > 0 || l.continuous() {
		return v
	}
	n := len(l.works)
	longest := math.Inf(1) // of the reps between the first and the last
	if n >= 4 {
		longest = 0
		for _, w := range l.works[1 : n-1] {
			longest = max(longest, w.seconds())
		}
	}
	var ends []piece
	if a, b := l.works[0], l.works[1]; a.hi == b.lo && a.mean < b.mean || l.before.seconds() < outermost && a.seconds() > 2*longest {
		ends = append(ends, a)
	}
	if a, b := l.works[n-2], l.works[n-1]; a.hi == b.lo && b.mean < a.mean || l.after.seconds() < outermost && b.seconds() > 2*longest {
		ends = append(ends, b)
	}
	return j.share(ends, running, least, 0.5)
}

// outerSpeed is the median moving speed before and after the reps, m/s; zero
// when there is less than three minutes of it.
func (j *judge) outerSpeed(l labelling) float64 {
	return j.share([]piece{l.before, l.after}, 0.8, 180, 0.5)
}

// notWork is the speed that a part of the running outside the reps is slower than, m/s;
// zero when there is less than some seconds of it.
func (j *judge) notWork(l labelling, seconds, part float64) float64 {
	var work float64
	for _, w := range l.works {
		work += w.mean / float64(len(l.works))
	}
	return j.share(append(append([]piece{l.before}, l.between...), l.after), max(running, 0.5*work), seconds, part)
}

// share is the speed that a part of what is run over spans above a speed is slower than, from
// the levels of the finest split; zero when that is less than some seconds.
func (j *judge) share(spans []piece, above, seconds, part float64) float64 {
	var buf [mostPieces + 1]float64
	weights := buf[:0]
	if len(j.pieces) > len(buf) {
		weights = make([]float64, 0, len(j.pieces))
	}
	weights = weights[:len(j.pieces)]
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
			weights[i] += w
			total += w
		}
	}
	if total < seconds || total == 0 {
		return 0
	}
	sum := 0.0
	for _, i := range j.bySpeed {
		if sum += weights[i]; sum >= part*total {
			return j.pieces[i].mean
		}
	}
	return j.pieces[j.bySpeed[len(j.bySpeed)-1]].mean
}

// mean over cells [lo, hi) from cumulative sums.
func mean(cum []float64, lo, hi int) float64 {
	if hi <= lo {
		return math.NaN()
	}
	return (cum[hi] - cum[lo]) / float64(hi-lo)
}

// gathers is how long a runner who stood or walked takes to run at full speed, s: three time constants of 1.3 s, with
// which a sprinter gathers speed (Furusawa, Hill and Parkinson 1927; the figure from memory). slackens is the same for
// who comes to stand (no source).
const (
	gathers  = 4
	slackens = 2
)

// paces are the levels of the reps, without what a rep that begins or ends at a stop takes to gather speed or to lose
// it, at most a third of it.
func (j *judge) paces(l labelling) []float64 {
	out := make([]float64, len(l.works))
	spread := max(0, (j.tr.Step-1)/2)
	for i, w := range l.works {
		out[i] = level(w.mean)
		if l.bridged != nil && l.bridged[i] || w.w < w.seconds() {
			continue
		}
		lo, hi, third := w.lo, w.hi, w.seconds()/3
		sides := l.sides(i)
		if s := sides[0]; s.seconds() == 0 || !s.joined && stopped(s.mean, w.mean) {
			lo += int(min(gathers+spread, third))
		}
		if s := sides[1]; s.seconds() > 0 && !s.joined && stopped(s.mean, w.mean) {
			hi -= int(min(slackens+spread, third))
		}
		out[i] = level(mean(j.cum, lo, hi))
	}
	return out
}
