package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// The error of an edge by theory is corrected by how large errors turn out to be: a margin of
// 95 % is a power of it and of what else is known beforehand, the traits. What each counts is
// fitted (margin_fitted.go) by quantile regression, so that 95 % of errors lie within. So are the
// margins of paces; and edges are moved by what they err in the mean.

// A trait is something that the error of an edge of a rep may hang on.
type trait int

const (
	always         trait = iota // 1
	ofTheory                    // logarithm of the standard error by theory, s
	ofStep                      // logarithm of the step, that of the ratio of the speeds that meet
	ofLength                    // logarithm of the length of the rep, s
	ofBeside                    // logarithm of the length of what lies beside it, s
	ofNoise                     // logarithm of the noise over the speed, sqrt(s)
	ofSlowNoise                 // the same of means over most of a minute
	ofRecords                   // logarithm of the time between records, s
	toStop                      // 1 beside a stretch that is stood or walked
	onDevice                    // 1 where device speed places edges
	onPositions                 // 1 where positions do
	onHeart                     // 1 where nothing but heart rate does
	ofBelt                      // 1 on a treadmill
	stepUnheard                 // ofStep where device speed does not place edges
	lengthUnheard               // ofLength there
	noiseUnheard                // ofSlowNoise there
	recordsUnheard              // ofRecords there
	traitCount
)

// traits are the values of the traits, or what each counts in the logarithm of a margin.
type traits [traitCount]float64

// z95 is the quantile of the normal distribution that bounds its middle 95 %.
const z95 = 1.959964

// edgeTraits are those of the edge between a rep and what lies beside it; se is its error by
// theory, s.
func (j *judge) edgeTraits(w, beside piece, se float64) traits {
	v := max(w.mean, 0.5)
	t := traits{
		always: 1, ofTheory: math.Log(max(se, 0.01)), ofLength: math.Log(max(w.seconds(), 1)), ofBeside: math.Log(max(beside.seconds(), 1)),
		ofStep:  math.Log(max(math.Abs(level(w.mean)-level(beside.mean)), 0.02)),
		ofNoise: math.Log(max(j.noise, 0.01) / v), ofSlowNoise: math.Log(max(j.slow, 0.01) / v),
		ofRecords: math.Log(max(j.tr.Step, 1)),
	}
	switch {
	case j.tr.Source == signal.Nothing:
		t[onHeart] = 1
	case j.tr.Source == signal.Positions:
		t[onPositions] = 1
	case j.tr.Device:
		t[onDevice] = 1
	}
	if j.belt {
		t[ofBelt] = 1
	}
	if stopped(beside.mean, w.mean) {
		t[toStop] = 1
	}
	if !j.tr.Device {
		t[stepUnheard], t[lengthUnheard], t[noiseUnheard], t[recordsUnheard] = t[ofStep], t[ofLength], t[ofSlowNoise], t[ofRecords]
	}
	return t
}

// leastBeside is how long what lies beside a rep is at least for the edge to be placed, s.
const leastBeside = 4

// biasTraits are those that the mean error of an edge may hang on: which way a runner begins and ends a change, and
// which way records draw it out, beside what the responses allow for.
var biasTraits = [...]trait{always, toStop, onDevice, onPositions, onHeart, ofBelt, ofRecords, recordsUnheard}

// bias is by how much an edge of these traits is late in the mean, s: at most its standard error by theory, as an edge
// that is seen sharply is where it is seen.
func (t *traits) bias(fitted *[len(biasTraits)]float64) float64 {
	sum := 0.0
	for i, k := range biasTraits {
		sum += t[k] * fitted[i]
	}
	most := math.Exp(t[ofTheory])
	return min(max(sum, -most), most)
}

// unbias takes out of the edges of a reading what such edges are late by in the mean.
func (j *judge) unbias(r *reading, refs []met, placed []edge) {
	for i, w := range r.works {
		sides := r.sides(i)
		if k := refs[i].start; k >= 0 && !sides[0].joined {
			t := j.edgeTraits(w, sides[0].piece, placed[k].se)
			placed[k].at -= t.bias(&startBias)
		}
		if k := refs[i].end; k >= 0 {
			t := j.edgeTraits(w, sides[1].piece, placed[k].se)
			placed[k].at -= t.bias(&endBias)
		}
	}
}

// margins gives the edges of a reading the errors that they turn out to have, so that 1.96 of
// them are a margin of 95 %. Those at an end of the recording keep theirs.
func (j *judge) margins(r *reading) {
	honest := func(w, beside piece, se float64, fitted *traits) float64 {
		if beside.seconds() < leastBeside {
			return se
		}
		t := j.edgeTraits(w, beside, se)
		return min(math.Exp(dot(t[:], fitted[:]))/z95, longestError)
	}
	for i, w := range r.works {
		sides := r.sides(i)
		if sides[0].joined {
			r.starts[i].se = r.ends[i-1].se
		} else {
			r.starts[i].se = honest(w, sides[0].piece, r.starts[i].se, &startMargins)
		}
		r.ends[i].se = honest(w, sides[1].piece, r.ends[i].se, &endMargins)
	}
}

// A paceTrait is something that the error of a pace may hang on.
type paceTrait int

const (
	paceAlways    paceTrait = iota // 1
	paceTheory                     // logarithm of the error by theory, as a share of the pace
	paceLean                       // share of its variance that comes from speed that leans towards the mean,
	paceWander                     // from a scale that wanders,
	paceSingle                     // and from where one stream is not believed
	paceRecords                    // logarithm of the time between records, s
	paceUnsteady                   // by how much more two streams differ than where they are calm, logarithm
	paceFused                      // 1 where the odometer and device speed tell together
	pacePositions                  // 1 where positions do
	paceBelt                       // 1 on a treadmill
	paceFaults                     // 1 where a stream was not believed at some time
	paceTraitCount
)

// A paceError is what theory says of the error of a pace: of the distance between two edges, m.
type paceError struct {
	seconds, metres float64
	by              signal.DistanceError
	edges           float64 // m
}

// theory is the standard error by theory, m.
func (p paceError) theory() float64 { return math.Hypot(p.by.SE(), p.edges) }

// traits are those of an error that is not zero.
func (p paceError) traits(s *Session) (t [paceTraitCount]float64) {
	tr, total := s.Trace, p.theory()
	t[paceAlways], t[paceTheory] = 1, math.Log(total/p.metres)
	t[paceLean], t[paceWander], t[paceSingle] = sq(p.by.Lean/total), sq(p.by.Wander/total), sq(p.by.Alone/total)
	t[paceRecords], t[paceUnsteady] = math.Log(max(tr.Step, 1)), math.Log(tr.Unsteady())
	switch {
	case tr.Fused && tr.Source == signal.Odometer:
		t[paceFused] = 1
	case tr.Source == signal.Positions:
		t[pacePositions] = 1
	}
	if s.Recording != nil && s.Indoors() {
		t[paceBelt] = 1
	}
	if len(tr.Faults) > 0 {
		t[paceFaults] = 1
	}
	return t
}
