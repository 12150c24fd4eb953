package signal

import (
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment/recording"
)

// TestCalmOdometer: an odometer as calm as a belt's own is a belt's where a belt may be; outdoors, where it is calm because
// it counts steps or is smoothed, its scale wanders.
func TestCalmOdometer(t *testing.T) {
	run := func(place recording.Place) *Trace {
		const n = 1800
		rng := rand.New(rand.NewPCG(4, 4))
		r := &recording.Recording{T: make([]float64, n), Distance: recording.MakeStream(n), Place: place, Sport: recording.Running}
		at := 0.0
		for i := range n {
			r.T[i], r.Distance.Value[i], r.Distance.Valid[i] = float64(i), at, true
			at += 3
			if i/200%2 == 1 {
				at++
			}
			at += 0.01 * rng.NormFloat64()
		}
		return Build(r)
	}
	for place, want := range map[recording.Place]float64{recording.Treadmill: leastWander, recording.Outdoors: stepWander, recording.Trail: stepWander, "": leastWander} {
		tr := run(place)
		if tr.Noise.LongRun > beltNoise {
			t.Fatalf("long-run noise %.3f, no belt's", tr.Noise.LongRun)
		}
		if tr.Noise.Wander != want {
			t.Errorf("in %q the scale wanders by %g, want %g", place, tr.Noise.Wander, want)
		}
	}
}
