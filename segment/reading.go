package segment

import (
	"cmp"
	"math"
	"slices"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// A reading is a labelling with its shape, judged.
type reading struct {
	labelling
	shape    []part
	reps     []stretch
	rests    []stretch
	easy     float64 // m/s, ordinary running before and after the reps; 0 when unknown
	offset   float64 // logarithm of distance seen over distance meant, from reps in metres; 0 when unknown
	wait     float64 // s stood right before the first rep, as before a race
	tail     bool    // the last rep is followed by one more recovery like the others
	tailEnd  edge    // where that ends
	starts   []edge  // of the reps, once refined
	ends     []edge
	warm     amountFit
	cool     amountFit
	evidence float64 // nats in favour of a structure; the larger the better
	terms    terms
}

// terms are the parts of a reading's evidence, kept for explanation.
type terms struct {
	shape    float64 // what the shape saves in description
	contrast float64 // faster than the running before and after; slow contrasts count against
	misfit   float64 // changes of speed inside reps that the reading leaves unexplained
	ends     float64 // round amounts before and after
	block    float64 // sharpness of the edges of a single block
	frame    float64 // neither regular nor between easy running
	left     float64 // work-like running that the reading leaves outside the reps
	apart    float64 // how far work stands apart from how much speed varies inside a label
	heart    float64 // whether the heart followed
}

// A judge reads labellings of one recording.
type judge struct {
	tr     *signal.Trace
	speed  []float64
	pieces []piece // finest split, for misfit
	cum    []float64

	belt     bool      // run on a treadmill
	survives []float64 // by piece, the penalty its start survives

	work, rest, outer habit
}

func newJudge(tr *signal.Trace, speed []float64, pieces []piece, place recording.Place) *judge {
	j := &judge{tr: tr, speed: speed, pieces: pieces, cum: make([]float64, len(speed)+1)}
	for i, v := range speed {
		j.cum[i+1] = j.cum[i] + v
	}
	s, believes := roadShelf(), 0.4
	switch place {
	case recording.Outdoors: // there is nothing else to go by
		believes = 0.75
	case recording.Track: // the track itself is the measure
		s, believes = trackShelf(), 0.15
	}
	inTime, inMetres := 0.8, 0.7
	if place == recording.Track {
		inTime, inMetres = 2.2, 0.12
	}
	j.belt = place == recording.Treadmill
	j.work = habit{shelf: s, time: inTime, distance: inMetres, believes: believes, laxity: strict, memo: map[uint64]fits{}}
	j.rest = habit{shelf: s, time: inTime, distance: inMetres, believes: believes, laxity: loose, exact: closer, memo: map[uint64]fits{}}
	j.outer = habit{shelf: outerShelf(), time: 0.6, distance: 1.0, believes: believes, laxity: atEnds}
	return j
}

// needed is the evidence, in nats, from which a structure is believed.
const needed = 8.5

// read judges a labelling; one that cannot reach the least evidence is given up
// early, with evidence -Inf.
func (j *judge) read(l labelling, least float64) reading {
	r := reading{labelling: l}
	for i, w := range l.works {
		s := j.stretch(w)
		if l.bridged != nil && l.bridged[i] {
			for c := w.lo; c < w.hi; c++ {
				if j.tr.Speed[c] < 0.7 {
					s.halted++
				}
			}
			s.speed = s.metres / max(s.seconds-s.halted, 1)
		}
		r.reps = append(r.reps, s)
	}
	for _, b := range l.between {
		r.rests = append(r.rests, j.stretch(b))
	}
	for i := range r.reps {
		r.reps[i].se = j.edgeSE(l, i)
	}
	for i := range r.rests {
		r.rests[i].se = (r.reps[i].se + r.reps[i+1].se) / 2
	}
	n := float64(len(l.works))
	t := &r.terms
	t.contrast = j.contrastOf(r)
	t.misfit = -j.misfit(l)
	t.left = -j.leftOver(r)
	t.apart = j.apart(r)
	if l.continuous() {
		t.block = j.block(l)
	} else {
		t.block = j.sharpness(l)
	}
	// A shape saves at most about so much; the rest is not worth reading then.
	if t.contrast+t.misfit+t.left+t.apart+t.block+11*n+8 < least {
		r.evidence = math.Inf(-1)
		return r
	}
	t.heart = j.heartFollows(r)
	t.ends = j.outerAmounts(&r)
	cost := 0.0
	r.shape, cost = shapeOf(r.reps, r.rests, j.work, j.rest)
	t.shape = -cost
	if n > 1 && l.before.seconds() < 120 && l.after.seconds() < 120 {
		// A session without warm-up or cool-down is believed for its regularity.
		t.frame = -min(12, max(0, 2.5*n-t.shape))
	}
	r.evidence = t.shape + t.contrast + t.misfit + t.ends + t.block + t.frame + t.left + t.apart + t.heart
	return r
}

func (j *judge) stretch(p piece) stretch {
	d := j.tr.Dist[p.hi] - j.tr.Dist[p.lo]
	s := stretch{sight: sight{seconds: p.seconds(), metres: d, se: 1}}
	s.speed = d / max(s.seconds, 1)
	s.noise = j.tr.Noise.Odometer * math.Sqrt(max(s.seconds, 1))
	return s
}

// edgeSE is a first guess at the error of a rep's duration: an edge of height
// delta in noise of long-run variance s^2 is known to about 1.7 s^2/delta^2
// (Bai 1997), never better than a second.
func (j *judge) edgeSE(l labelling, i int) float64 {
	w := l.works[i]
	one := func(r piece) float64 {
		if r.hi <= r.lo {
			return 0
		}
		d := max(math.Abs(w.mean-r.mean), 0.1)
		return min(math.Hypot(max(1, 1.7*sq(j.tr.Noise.LongRun/d)), (j.tr.Step-1)/2), 0.15*w.seconds()+2)
	}
	sides := l.sides(i)
	return math.Hypot(one(sides[0].piece), one(sides[1].piece))
}

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

// heartFollows asks whether heart rate went with the labels. The labelled speed
// is passed through the first-order response of Hunt et al. 2015 (doi
// 10.1186/s12938-015-0112-7: 24.2 bpm per m/s, time constant 57.6 s) and heart
// rate is regressed on it beside a linear drift. A heart that stays level while
// the labels call for a clear swing speaks against them.
func (j *judge) heartFollows(r reading) float64 {
	hr := j.tr.HeartRate
	if hr == nil || j.tr.Source == signal.Nothing || len(j.tr.Locked) > 0 && j.tr.LockedShare() > 0.2 {
		return 0
	}
	n := len(hr)
	level := make([]float64, n)
	const every = 4 // s
	fill := func(p piece) {
		for i := p.lo; i < p.hi; i++ {
			level[i] = p.mean
		}
	}
	fill(r.before)
	fill(r.after)
	for _, w := range r.works {
		fill(w)
	}
	for _, b := range r.between {
		fill(b)
	}
	const tau, gain = signal.HeartTauS, signal.HeartGain
	follow := 1 - math.Exp(-every/tau)
	x := level[0]
	// Normal equations of hr = a + b t + c x, every fourth second after the
	// first two minutes, in which every heart climbs.
	var m [3][4]float64
	var k, sx, sxx, sy, syy float64
	for i := 0; i < n; i += every {
		x += (level[i] - x) * follow
		if i < 120 || math.IsNaN(hr[i]) {
			continue
		}
		row := [4]float64{1, float64(i) / 1000, x, hr[i]}
		for a := range 3 {
			for b := range 4 {
				m[a][b] += row[a] * row[b]
			}
		}
		k, sx, sxx, sy, syy = k+1, sx+x, sxx+x*x, sy+hr[i], syy+hr[i]*hr[i]
	}
	if k < 60 || k*4 < 0.5*float64(n-120) {
		return 0
	}
	swing := gain * math.Sqrt(max(0, sxx/k-sq(sx/k)))
	if swing < 2.5 {
		return 0
	}
	c, ok := solveLast(m)
	if !ok {
		return 0
	}
	weight := min(1, (swing-2.5)/2)
	if c < 9 {
		return -weight * min(12, (9-c)*1.2)
	}
	bonus := min(1.5, (c-9)/6)
	if r.runningRests() {
		// Stops and walks lower heart rate whether meant or not; running slower by
		// a little, with the heart going along, is meant.
		if spread := syy/k - sq(sy/k); spread > 0 {
			bonus += 3 * min(1, sq(c)*(sxx/k-sq(sx/k))/spread)
		}
	}
	return weight * bonus
}

// runningRests reports whether all recoveries are running.
func (l labelling) runningRests() bool {
	for _, b := range l.between {
		if b.hi > b.lo && (b.mean < 0.65*l.works[0].mean || b.mean < 1.8) {
			return false
		}
	}
	return true
}

// solveLast solves three equations by elimination for the last unknown.
func solveLast(m [3][4]float64) (float64, bool) {
	for p := range 2 {
		if m[p][p] == 0 {
			return 0, false
		}
		for r := p + 1; r < 3; r++ {
			f := m[r][p] / m[p][p]
			for c := p; c < 4; c++ {
				m[r][c] -= f * m[p][c]
			}
		}
	}
	if math.Abs(m[2][2]) < 1e-6 {
		return 0, false
	}
	return m[2][3] / m[2][2], true
}

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
			z := sq(p.mean-w.mean) / (sq(j.tr.Noise.LongRun)/p.w + sq(max(0.035*w.mean, 0.25*step)))
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

// outerAmounts fits amounts to the running before and after.
func (j *judge) outerAmounts(r *reading) float64 {
	score := 0.0
	one := func(p piece) amountFit {
		if p.seconds() < 60 {
			return amountFit{}
		}
		s := j.stretch(p)
		s.se = 3
		f := fitAmount([]sight{s.sight}, j.outer)
		score += max(-1, min(2, -f.cost)) / 2
		return f
	}
	r.warm, r.cool = one(r.before), one(r.after)
	return score
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

// mean over cells [lo, hi) from cumulative sums.
func mean(cum []float64, lo, hi int) float64 {
	if hi <= lo {
		return math.NaN()
	}
	return (cum[hi] - cum[lo]) / float64(hi-lo)
}

// quickMedian is the median by selection; it reorders x.
func quickMedian(x []float64) float64 {
	lo, hi, k := 0, len(x)-1, len(x)/2
	for lo < hi {
		p := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			break
		}
	}
	return x[k]
}

// manner names how the recovery after rep i was spent, by the speed while
// moving against the easy running before and after the reps, which is mostly a
// little slower than easy running fresh.
func (r *reading) manner(i int) string {
	rest := r.rests[i]
	switch {
	case rest.metres == 0 && r.reps[i].metres == 0:
		return "jog" // nothing but heart rate is known
	case rest.speed < 0.5:
		return "stand"
	case rest.moving < 1.75:
		return "walk"
	case r.easy == 0:
		return "jog"
	}
	long := rest.metres >= 750 || rest.seconds >= 220
	switch c := rest.moving / r.easy; {
	case rest.moving < 0.72*r.reps[i].speed: // too slow against the reps for anything else
		return "jog"
	case long && c > 1.14, !long && c > 1.07:
		return "float"
	case long && c > 0.95:
		return "easy"
	}
	return "jog"
}
