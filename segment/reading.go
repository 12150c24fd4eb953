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
	offsetSE float64 // its standard error
	wait     float64 // s stood right before the first rep, as before a race
	tail     bool    // the last rep is followed by one more recovery like the others
	tailEnd  edge    // where that ends
	starts   []edge  // of the reps, once refined
	ends     []edge
	warm     amountFit
	cool     amountFit
	evidence float64 // nats in favour of a structure; the larger the better
	most     float64 // the same at best, as far as a glance can tell
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
	tr      *signal.Trace
	speed   []float64
	pieces  []piece // finest split, for misfit
	bySpeed []int   // their indexes, the slowest first
	cum     []float64

	belt     bool      // run on a treadmill
	track    bool      // run on a track
	presses  []float64 // s, lap presses
	steps    []ledStep
	cursory  bool      // leave sets out while reading many reps
	survives []float64 // by piece, the penalty its start survives
	pulse    *pulse
	slow     float64 // long-run noise as means over most of a minute show it, m/s * sqrt(s)

	work, rest, outer habit
}

func newJudge(tr *signal.Trace, speed []float64, pieces []piece, place recording.Place) *judge {
	j := &judge{tr: tr, speed: speed, pieces: pieces, cum: make([]float64, len(speed)+1), pulse: newPulse(tr)}
	j.bySpeed = make([]int, len(pieces))
	for i := range j.bySpeed {
		j.bySpeed[i] = i
	}
	slices.SortStableFunc(j.bySpeed, func(a, b int) int { return cmp.Compare(pieces[a].mean, pieces[b].mean) })
	j.slow = max(tr.Noise.LongRun, signal.LongRunOver(40, speed, tr.Known))
	for i, v := range speed {
		j.cum[i+1] = j.cum[i] + v
	}
	s, believes := roadShelf(), 0.4
	switch place {
	case recording.Outdoors: // there is nothing else to go by
		believes = 0.85
	case recording.Track: // the track itself is the measure
		s, believes = trackShelf(), 0.15
	}
	inTime, inMetres := 0.8, 0.7
	if place == recording.Track {
		inTime, inMetres = 2.2, 0.12
	}
	j.belt, j.track = place == recording.Treadmill, place == recording.Track
	j.work = habit{shelf: s, time: inTime, distance: inMetres, believes: believes, scale: scaleSD, laxity: strict, memo: map[uint64]fits{}}
	j.rest = habit{shelf: s, time: inTime, distance: inMetres, believes: believes, scale: scaleSD, laxity: loose, exact: closer, memo: map[uint64]fits{}}
	j.outer = habit{shelf: outerShelf(), time: 0.7, distance: 0.7, believes: believes, scale: scaleSD, laxity: atEnds}
	return j
}

// manyReps is the number of reps from which looking for sets takes time.
const manyReps = 8

// The evidence, in nats, from which a structure is believed: reps with recoveries,
// work in one block, as which a slow start and a slow end look too, and reps by feel,
// as which a run with many stops looks.
const (
	needed       = 7.5
	neededAlone  = 9.5
	neededByFeel = 11
)

// glance judges what is quickly judged of a labelling, and gives the most evidence
// that there can be.
func (j *judge) glance(l labelling) reading {
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
	r.most = t.contrast + t.misfit + t.left + t.apart + t.block + j.mostRest(r)
	return r
}

// mostRest is the most evidence, in nats, that weighing can add to a glance: each rep
// and recovery exactly as meant, at one speed, between round ends, the heart along.
func (j *judge) mostRest(r reading) float64 {
	const ends, heart = 2, 4.5
	const amount = 2.2 // the least cost of an amount and its unit
	most := ends - amount - costStep
	if j.pulse != nil {
		most += heart
	}
	exact := func(s stretch, lax laxity) {
		if s.seconds > 0 {
			most += max(0, -math.Log(plainDensity*rootTwoPi*math.Sqrt(sq(lax.seconds)+sq(s.se)+sq(lax.share*s.seconds))/s.seconds))
		}
	}
	for _, s := range r.reps {
		exact(s, j.work.laxity)
	}
	for _, s := range r.rests {
		exact(s, j.rest.exact)
	}
	if n := float64(len(r.works)); n > 1 {
		most += mostCohesion*n + mostPaired - amount - (costRepeat - costStep)
	}
	return most
}

// weigh judges the rest: shape, ends and heart.
func (j *judge) weigh(r reading) reading {
	l, n, t := r.labelling, float64(len(r.works)), &r.terms
	t.heart = j.heartFollows(r)
	t.ends = j.outerAmounts(&r)
	cost := 0.0
	r.shape, cost = shapeWith(r.reps, r.rests, j.work, j.rest, !j.cursory || len(l.works) < manyReps)
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
	s := stretch{sight: sight{seconds: p.seconds(), metres: d, shown: j.tr.Shown[p.hi] - j.tr.Shown[p.lo], se: 1}}
	s.speed = d / max(s.seconds, 1)
	s.noise = j.tr.Noise.Odometer * math.Sqrt(max(s.seconds, 1))
	return s
}

// edgeSE is a first guess at the error of a rep's duration: that of both edges, each
// never better than a second.
func (j *judge) edgeSE(l labelling, i int) float64 {
	w := l.works[i]
	one := func(r piece) float64 {
		if r.hi <= r.lo {
			return 0
		}
		return min(math.Hypot(max(1, edgeError(j.tr.Noise.LongRun, w.mean-r.mean)), (j.tr.Step-1)/2), 0.15*w.seconds()+2)
	}
	sides := l.sides(i)
	return math.Hypot(one(sides[0].piece), one(sides[1].piece))
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

// mannerOf is manner, but a single jog or float is called what most of the session's are.
func (r *reading) mannerOf(reps ...int) string {
	m := r.manner(reps...)
	if len(reps) > 1 || m != "jog" && m != "float" {
		return m
	}
	jogs, floats := 0, 0
	for i := range r.rests {
		switch r.manner(i) {
		case "jog":
			jogs++
		case "float":
			floats++
		}
	}
	if floats > jogs {
		return "float"
	}
	return "jog"
}

// manner names how the recoveries after some reps were meant to be spent, by the speed
// while moving in the first three of them (later ones may fade) against the easy running
// before and after the reps, which is mostly a little slower than easy running fresh.
func (r *reading) manner(reps ...int) string {
	reps = reps[:min(3, len(reps))]
	middle := func(of func(i int) float64) float64 {
		var buf [24]float64
		all := buf[:0]
		for _, i := range reps {
			all = append(all, of(i))
		}
		return median(all)
	}
	rest := r.rests[reps[0]]
	if len(reps) > 1 {
		rest.seconds = middle(func(i int) float64 { return r.rests[i].seconds })
		rest.metres = middle(func(i int) float64 { return r.rests[i].metres })
		rest.speed = middle(func(i int) float64 { return r.rests[i].speed })
		rest.moving = middle(func(i int) float64 { return r.rests[i].moving })
	}
	rep := middle(func(i int) float64 { return r.reps[i].speed })
	switch {
	case rest.metres == 0 && rep == 0:
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
	case rest.moving < 0.72*rep: // too slow against the reps for anything else
		return "jog"
	case long && c > 1.14, !long && c > 1.05:
		return "float"
	case long && c > 0.95:
		return "easy"
	}
	return "jog"
}
