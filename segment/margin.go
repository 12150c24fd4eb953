package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// Margins are what 95 % of errors lie within. What theory gives of an edge or a pace is
// corrected by how large errors turn out, which hangs on what is known beforehand: the traits.

// A trait is something that errors may hang on.
type trait int

const (
	even          trait = iota // 1
	ofTheory                   // logarithm of the standard error by theory, s for edges, a share for paces
	ofStep                     // logarithm of the step between the levels that meet, as a logarithm of a ratio of speeds
	ofLength                   // logarithm of the length of the rep, s
	ofBeside                   // logarithm of the length of what lies beside it, s
	ofNoise                    // logarithm of the noise over the speed, sqrt(s)
	ofSlowNoise                // the same of means over most of a minute
	ofRecords                  // logarithm of the time between records, s
	toStop                     // 1 beside a stretch that is stood or walked
	onDevice                   // 1 where device speed places edges
	onPositions                // 1 where positions do
	onHeart                    // 1 where nothing but heart rate does
	ofBelt                     // 1 on a treadmill
	lengthUnheard              // ofLength where device speed does not place edges
	stepUnheard                // ofStep there
	noiseUnheard
	recordsUnheard
	traitCount
)

// traits are the values of the traits, or what each counts in the logarithm of a margin.
type traits [traitCount]float64

func (t *traits) dot(w *traits) float64 {
	sum := 0.0
	for i, x := range t {
		sum += x * w[i]
	}
	return sum
}

// honest is the standard error that makes a margin of 95 % come true.
func honest(t, w *traits) float64 { return math.Exp(t.dot(w)) / z95 }

const z95 = 1.959964

// common are the traits that edges and paces of a rep share.
func (j *judge) common(w piece, se float64) traits {
	v := max(w.mean, 0.5)
	t := traits{
		even: 1, ofTheory: math.Log(max(se, 1e-6)), ofLength: math.Log(max(w.seconds(), 1)),
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
	return t
}

// edgeTraits are those of the edge between a rep and what lies beside it.
func (j *judge) edgeTraits(w, beside piece, se float64) traits {
	t := j.common(w, se)
	t[ofStep] = math.Log(max(math.Abs(level(w.mean)-level(beside.mean)), 0.02))
	t[ofBeside] = math.Log(max(beside.seconds(), 1))
	if stopped(beside.mean, w.mean) {
		t[toStop] = 1
	}
	if !j.tr.Device {
		t[lengthUnheard], t[stepUnheard], t[noiseUnheard], t[recordsUnheard] = t[ofLength], t[ofStep], t[ofSlowNoise], t[ofRecords]
	}
	return t
}

// margins gives the edges of a reading the errors that they turn out to have. The start and
// the end of the recording, which nothing lies beside, keep theirs.
func (j *judge) margins(r *reading) {
	for i, w := range r.works {
		sides := r.sides(i)
		if b := sides[0].piece; b.seconds() >= 4 {
			t := j.edgeTraits(w, b, r.starts[i].se)
			r.starts[i].se = honest(&t, &startMargins)
		}
		if b := sides[1].piece; b.seconds() >= 4 {
			t := j.edgeTraits(w, b, r.ends[i].se)
			r.ends[i].se = honest(&t, &endMargins)
		}
	}
}
