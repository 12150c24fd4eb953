package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// The error of an edge by theory is corrected by how large errors turn out to be: a margin of
// 95 % is a power of it and of what else is known beforehand, the traits. What each counts is
// fitted (margin_fitted.go) by quantile regression, so that 95 % of errors lie within.

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
