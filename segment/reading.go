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
	paces    []float64 // of the reps, levels
	easy     float64   // m/s, ordinary running before and after the reps; 0 when unknown
	offset   float64   // logarithm of distance seen over distance meant, from reps in metres; 0 when unknown
	offsetSE float64   // its standard error
	wait     float64   // s stood right before the first rep, as before a race
	tail     bool      // the last rep is followed by one more recovery like the others
	tailEnd  edge      // where that ends
	starts   []edge    // of the reps, once refined
	ends     []edge
	warm     amountFit
	cool     amountFit
	features evidence
	tailTo   int     // cell to which one more recovery follows the last rep
	light    float64 // the same of the features that are quickly read
	odds     float64 // logarithm of the odds against running without a plan
	evidence float64 // the same of all readings with reps together
	sure     float64 // probability of this reading
	by       *judge  // that made it
}

// A judge reads labellings of one recording.
type judge struct {
	tr      *signal.Trace
	speed   []float64
	pieces  []piece   // finest split
	levels  []float64 // level of each piece
	bySpeed []int     // their indexes, the slowest first
	cum     []float64
	moved   []float64 // s that were not stood, cumulative

	belt                bool        // run on a treadmill
	track               bool        // run on a track, as the device says
	laps                func() bool // whether it was run in laps of a track
	presses             []float64   // s, lap presses
	steps               []ledStep
	ledWork             []recording.Span      // steps of work that the device led through
	climb               []float64             // grade, cumulative; nil when unknown
	other               []float64             // the same in another account of slopes; nil when there is none
	lengths             map[stretchOf]*length // of what was measured
	reps, rests, before []*length             // scratch
	hills               bool                  // the speeds are those of even cost
	noise               float64               // long-run, m/s * sqrt(s)
	survives            []float64             // by piece, the penalty its start survives
	pulse               *pulse
	precise             []likelihood           // by piece, 1 over the variance about a level
	plain               []float64              // logarithm of the density at one level, cumulative by piece
	spans               map[[2]int]*likelihood // by cells
	tried               map[uint64]bool        // rhythms, and stretches that were told apart
	slow                float64                // long-run noise as means over most of a minute show it, m/s * sqrt(s)

	work, rest, outer habit
}

func newJudge(tr *signal.Trace, speed []float64, pieces []piece, place recording.Place) *judge {
	j := &judge{tr: tr, speed: speed, pieces: pieces, cum: make([]float64, len(speed)+1), moved: make([]float64, len(speed)+1), pulse: newPulse(tr), lengths: map[stretchOf]*length{}}
	j.bySpeed = make([]int, len(pieces))
	for i := range j.bySpeed {
		j.bySpeed[i] = i
	}
	slices.SortStableFunc(j.bySpeed, func(a, b int) int { return cmp.Compare(pieces[a].mean, pieces[b].mean) })
	j.levels = make([]float64, len(pieces))
	for i, p := range pieces {
		j.levels[i] = level(p.mean)
	}
	if tr.Grade != nil {
		j.climb = make([]float64, len(speed)+1)
		for i, g := range tr.Grade {
			j.climb[i+1] = j.climb[i] + g
		}
	}
	j.noise = min(tr.Noise.LongRun, calmest(tr, speed))
	j.slow = max(tr.Noise.LongRun, signal.LongRunOver(40, speed, tr.Known))
	for i, v := range speed {
		j.cum[i+1] = j.cum[i] + v
		j.moved[i+1] = j.moved[i]
		if v > 0.7 {
			j.moved[i+1]++
		}
	}
	j.wandering()
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
	j.laps = func() bool { return j.track } // until positions are known
	j.work = habit{shelf: s, time: inTime, distance: inMetres, believes: believes, scale: scaleSD, free: freeRep, laxity: strict, memo: map[uint64]fits{}}
	j.rest = habit{shelf: s, time: inTime, distance: inMetres, believes: believes, scale: scaleSD, free: freeRest, laxity: loose, exact: closer, memo: map[uint64]fits{}}
	j.outer = habit{shelf: outerShelf(), time: 0.7, distance: 0.7, believes: believes, scale: scaleSD, free: freeRep, laxity: atEnds}
	return j
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
		return min(math.Hypot(max(1, edgeError(j.noise, w.mean-r.mean)), (j.tr.Step-1)/2), 0.15*w.seconds()+2)
	}
	sides := l.sides(i)
	return math.Hypot(one(sides[0].piece), one(sides[1].piece))
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
	case rest.stood():
		return "stand"
	case rest.moving < 1.75:
		return "walk"
	case r.easy == 0:
		return "jog"
	}
	long, quicker := rest.metres >= 750 || rest.seconds >= 220, 1.05
	if long {
		quicker = 1.14
	}
	switch c := rest.moving / r.easy; {
	case rest.moving < 0.72*rep: // too slow against the reps for anything else
		return "jog"
	case c > max(quicker, 0.78*rep/r.easy): // and hardly slower than the reps
		return "float"
	case long && c > 0.95:
		return "easy"
	}
	return "jog"
}

// stretches measures the reps and the recoveries of a reading between rough edges.
func (j *judge) stretches(r *reading) {
	r.reps, r.rests = nil, nil
	for i, w := range r.works {
		s := j.stretch(w)
		if r.bridged != nil && r.bridged[i] {
			for c := w.lo; c < w.hi; c++ {
				if j.tr.Speed[c] < 0.7 {
					s.halted++
				}
			}
			s.speed = s.metres / max(s.seconds-s.halted, 1)
		}
		r.reps = append(r.reps, s)
	}
	for _, b := range r.between {
		r.rests = append(r.rests, j.stretch(b))
	}
	for i := range r.reps {
		r.reps[i].se = j.edgeSE(r.labelling, i)
	}
	for i := range r.rests {
		r.rests[i].se = (r.reps[i].se + r.reps[i+1].se) / 2
	}
}

// against sets the speeds that the same run shows in another account of slopes.
func (j *judge) against(speed []float64) {
	j.other = make([]float64, len(speed)+1)
	for i, v := range speed {
		j.other[i+1] = j.other[i] + v
	}
}

// rescale multiplies the distances and speeds of reps and recoveries by a factor.
func (r *reading) rescale(factor float64) {
	for _, list := range [][]stretch{r.reps, r.rests} {
		for i := range list {
			list[i].metres *= factor
			list[i].speed *= factor
			list[i].moving *= factor
		}
	}
	r.easy *= factor
}

// had reports whether it was called with a key before.
func (j *judge) had(key uint64) bool {
	if j.tried == nil {
		j.tried = map[uint64]bool{}
	}
	was := j.tried[key]
	j.tried[key] = true
	return was
}
