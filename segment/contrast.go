package segment

import (
	"math"
	"slices"
)

// contrasts reads how the reps stand out from ordinary running and from what lies beside
// each.
func (j *judge) contrasts(r *reading) {
	e := &r.features
	n := float64(len(r.works))
	ordinary := j.ordinary(r.labelling)
	if ordinary == 0 {
		e[unframed] = 1
	}
	weakest := 4.0
	for i, w := range r.works {
		share := r.share(i)
		if ordinary > 0 {
			// What a shorter rep is quicker by anyhow does not count.
			c := 10 * (r.paces[i] - level(ordinary) - exponent*math.Log(w.seconds()/60))
			d := j.doubt(w, exactly) // noise may hide as much
			e[contrastLacking] += share * short(1-c, d)
			weakest = min(weakest, c+d)
		}
		for k, s := range r.sides(i) {
			outer := k == 0 && i == 0 || k == 1 && i == len(r.works)-1
			if s.joined {
				e[joins] += 0.5
				continue
			}
			if s.seconds() < 5 || outer && s.seconds() < outermost || stopped(s.mean, w.mean) {
				continue
			}
			beside := s.mean
			if outer {
				beside = j.nearby(s.piece, k == 1)
			}
			e[fallenShort] += share * short(0.8-10*(r.paces[i]-level(beside)), j.doubt(w, s.piece))
		}
		if j.other != nil && w.hi > w.lo {
			lo, hi := w.lo, w.hi
			beside := piece{lo: max(0, lo-60), hi: min(len(j.speed), hi+60)}
			inside := level(mean(j.cum, lo, hi)) - level(mean(j.other, lo, hi))
			around := level(mean(j.cum, beside.lo, beside.hi)) - level(mean(j.other, beside.lo, beside.hi))
			e[slopeMade] += 10 / n * (inside - around)
		}
	}
	e[slopeMade] = max(0, e[slopeMade])
	if ordinary > 0 {
		e[contrastWeakest] = weakest
	}
	j.changes(r)
}

// unlike reads how far reps are from being run alike: as quick as the others for their
// length, or, as on hills, as much quicker than the running beside them. A coach varies
// paces within a session by 5 % (common practice, no source).
func (j *judge) unlike(r *reading) {
	var buf [2][64]float64
	paces, steps := buf[0][:0], buf[1][:0]
	for i, w := range r.works {
		atOnce := r.paces[i] - exponent*math.Log(w.seconds())
		beside, k := 0.0, 0.0
		for _, s := range r.sides(i) {
			if !s.joined && s.seconds() >= 5 && !stopped(s.mean, w.mean) {
				beside, k = beside+level(s.mean), k+1
			}
		}
		step := atOnce // where nothing is run beside it
		if k > 0 {
			step = r.paces[i] - beside/k
		}
		paces, steps = append(paces, atOnce), append(steps, step)
	}
	usualPace, usualStep := median(slices.Clone(paces)), median(slices.Clone(steps))
	for i, w := range r.works {
		off := min(math.Abs(paces[i]-usualPace), math.Abs(steps[i]-usualStep))
		r.features[unlike] += r.share(i) * math.Log1p(sq(off)/(2*(sq(0.05)+sq(j.doubt(w, exactly)/10))))
	}
}

// lapped reads whether rep and recovery alternate with the laps of a track, as speed in the
// wind does.
func (j *judge) lapped(r *reading) {
	const slack = 0.04
	var buf [2][64]float64
	ways, steps := buf[0][:0], buf[1][:0]
	for i, b := range r.between {
		if w := r.works[i]; b.hi > b.lo && !stopped(b.mean, w.mean) {
			ways, steps = append(ways, j.tr.Dist[b.hi]-j.tr.Dist[w.lo]), append(steps, r.paces[i]-level(b.mean))
		}
	}
	if len(ways) < 3 || math.Abs(median(ways)/lapM-1) > slack || !j.laps() {
		return
	}
	for _, step := range steps {
		r.features[everyLap] += max(0, 1.5-10*step)
	}
}

// exactly is a level that is known without noise.
var exactly = piece{w: math.Inf(1)}

// doubt is the standard error of the contrast of two stretches that noise makes.
func (j *judge) doubt(a, b piece) float64 {
	return 10 * j.noise / max(a.mean, running) * math.Sqrt(1/max(a.w, 1)+1/max(b.w, 1))
}

// changes reads changes of pace without a recovery: whether each of several reps has the
// same, and how clear they are in one block.
func (j *judge) changes(r *reading) {
	e := &r.features
	if e[joins] == 0 {
		return
	}
	signs, parts, groups, alike := 0, 1, 0, true
	var first, pattern int
	clear := 0.0
	end := func() { // of a rep
		if groups == 0 {
			first, pattern = parts, signs
		}
		alike = alike && parts == first && signs == pattern && parts > 1
		groups, parts, signs = groups+1, 1, 0
	}
	for i := 1; i < len(r.works); i++ {
		a, b := r.works[i-1], r.works[i]
		if r.between[i-1].hi > r.between[i-1].lo {
			end()
			continue
		}
		d := level(b.mean) - level(a.mean)
		parts, signs = parts+1, 2*signs
		if d > 0 {
			signs++
		}
		short := min(a.seconds(), b.seconds())
		wander := sq(0.02) * 120 / (60 + short) // of a mean over so long: sd 2 % over a minute
		noise := sq(j.noise/a.mean) * (1/max(a.w, 1) + 1/max(b.w, 1))
		clear += math.Log1p(sq(d) / (2 * (2*wander + noise)))
	}
	end()
	switch {
	case r.continuous():
		e[joinClear] = clear
	case alike && groups > 1:
		e[joinAlike] = math.Sqrt(clear) * e[contrastWeakest]
	}
}

// nearby is the speed in the minute and a half of a stretch next to a rep, standing left
// out; atStart says which end.
func (j *judge) nearby(p piece, atStart bool) float64 {
	const reach = 90
	lo, hi := max(p.lo, p.hi-reach), p.hi
	if atStart {
		lo, hi = p.lo, min(p.hi, p.lo+reach)
	}
	var sum, k float64
	for c := lo; c < hi; c++ {
		if v := j.speed[c]; j.tr.Known[c] && v > 1.2 {
			sum, k = sum+v, k+1
		}
	}
	if k < 15 {
		return p.mean
	}
	return sum / k
}

// short is what a contrast lacks, in doubt by a standard error.
func short(lacks, doubt float64) float64 {
	if lacks <= 0 {
		return 0
	}
	return lacks * lacks / (lacks + doubt)
}
