package segment

import "math"

// How a runner's own pace wanders about a level: with some standard deviation, a share of
// speed, and a memory of wanderS seconds. The deviations stand for calm and restless
// runners and for rough ground; the likeliest counts.
var wanders = [...]float64{0.012, 0.025, 0.05, 0.1, 0.2}

const (
	wanderS = 40.0 // s, midst of what speeds of steady running show (Grammar)
	tails   = 4.0  // degrees of freedom of Student's t: some pieces hold a corner or a ramp
	// mostOuter bounds what running before and after may say: a long climb there would outweigh all else.
	mostOuter = 12.0 // nats
	levelSD   = 0.1  // of the logarithm of a segment's level about that of the run
)

// A likelihood is the logarithm of a density for each wander.
type likelihood [len(wanders)]float64

// wandering prepares the likelihoods of pieces: their variances for each wander, and that of
// a run at one level.
func (j *judge) wandering() {
	n := len(j.pieces)
	j.precise = make([]likelihood, n)
	for i, q := range j.pieces {
		x := max(q.seconds(), 1) / wanderS
		shrink := 2 / x * (1 - (1-math.Exp(-x))/x)
		for k, sd := range wanders {
			j.precise[i][k] = 1 / (sq(sd)*shrink + sq(j.noise/max(q.mean, 1))/max(q.w, 1))
		}
	}
	j.spans = map[[2]int]*likelihood{}
	all := piece{lo: 0, hi: len(j.speed)}
	all.mean = j.share([]piece{all}, running, 0, 0.5)
	l := j.likely(all)
	best := 0
	for k := range l {
		if l[k] > l[best] {
			best = k
		}
	}
	j.plain = make([]float64, n+1)
	own := level(all.mean)
	for i := range j.pieces {
		j.plain[i+1] = j.plain[i] + j.density(i, best, own)
	}
}

// density is the logarithm of the density of a piece about a level, 0 for one that is stood
// or walked.
func (j *judge) density(i, k int, own float64) float64 {
	if q := j.pieces[i]; q.mean < running || q.w < 1 {
		return 0
	}
	p := j.precise[i][k]
	return 0.5*math.Log(p) - (tails+1)/2*math.Log1p(sq(j.levels[i]-own)*p/tails)
}

// within are the indexes of the pieces whose middle lies in a stretch.
func (j *judge) within(p piece) (from, to int) {
	from = j.pieceAt(p.lo)
	if from < len(j.pieces) && j.pieces[from].lo+j.pieces[from].hi < 2*p.lo {
		from++
	}
	to = j.pieceAt(p.hi)
	if to < len(j.pieces) && j.pieces[to].lo+j.pieces[to].hi < 2*p.hi {
		to++
	}
	return from, max(from, to)
}

// pieceAt is the index of the piece that holds a cell.
func (j *judge) pieceAt(cell int) int {
	lo, hi := 0, len(j.pieces)
	for lo < hi {
		if m := (lo + hi) / 2; j.pieces[m].hi <= cell {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo
}

// likely is the likelihood of the pieces of a stretch about its own level, which costs what
// a level of its own may fit by chance.
func (j *judge) likely(p piece) *likelihood {
	key := [2]int{p.lo, p.hi}
	if l := j.spans[key]; l != nil {
		return l
	}
	l := &likelihood{}
	from, to := j.within(p)
	for k := range wanders {
		// The level by weights, as robust as the density: once anew with outliers weighed down.
		var own, total float64
		for round := range 2 {
			var s, w float64
			for i := from; i < to; i++ {
				if q := j.pieces[i]; q.mean >= running && q.w >= 1 {
					p := j.precise[i][k]
					if round > 0 {
						p *= (tails + 1) / (tails + sq(j.levels[i]-own)*p)
					}
					s, w = s+p*j.levels[i], w+p
				}
			}
			if w == 0 {
				break
			}
			own, total = s/w, w
		}
		if total == 0 {
			continue
		}
		for i := from; i < to; i++ {
			l[k] += j.density(i, k, own)
		}
		l[k] -= 0.5 * math.Log1p(sq(levelSD)*total)
	}
	j.spans[key] = l
	return l
}

// likelihoods reads how much more likely the pieces are about the levels of the labels than
// about one level, nats: in work, and before and after it, at the wander that suits all best.
func (j *judge) likelihoods(r *reading) {
	var work, rest, outer likelihood
	plainly := func(p piece) float64 {
		from, to := j.within(p)
		return j.plain[to] - j.plain[from]
	}
	add := func(l *likelihood, p piece) {
		if p.hi > p.lo {
			for k, v := range j.likely(p) {
				l[k] += v
			}
		}
	}
	add(&outer, r.before)
	add(&outer, r.after)
	plainWork := 0.0
	for i, w := range r.works {
		add(&work, w)
		plainWork += plainly(w)
		if i < len(r.between) {
			add(&rest, r.between[i])
		}
	}
	best, most := 0, math.Inf(-1)
	for k := range wanders {
		if v := work[k] + rest[k] + outer[k]; v > most {
			best, most = k, v
		}
	}
	e := &r.features
	e[likelyWork] = work[best] - plainWork
	e[likelyOuter] = max(-mostOuter, min(mostOuter, outer[best]-plainly(r.before)-plainly(r.after)))
}
