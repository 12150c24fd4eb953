package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
)

// heartAndFeet is a heart at 150 and feet at 172 a minute for n seconds, the
// heart equal to the feet in the given spans.
func heartAndFeet(n int, locked ...recording.Span) (hr, cadence []float64) {
	hr, cadence = make([]float64, n), make([]float64, n)
	for i := range n {
		hr[i], cadence[i] = 150+3*math.Sin(float64(i)/30), 172+2*math.Sin(float64(i)/7)
		for _, s := range locked {
			if float64(i) >= s.StartS && float64(i) < s.EndS {
				hr[i] = cadence[i] + math.Mod(float64(i), 5) - 2
			}
		}
	}
	return hr, cadence
}

// TestLockedShare: what is locked is what the recording's detector finds, as a share of the
// run (the detector's own tests are beside it).
func TestLockedShare(t *testing.T) {
	r := ticks(1800)
	hr, cadence := heartAndFeet(1801, recording.Span{StartS: 600, EndS: 1200})
	r.HeartRate, r.Cadence = filled(hr...), filled(cadence...)
	tr := Build(r)
	total := 0.0
	for _, s := range recording.Locked(r.T, r.HeartRate, r.Cadence) {
		total += s.Seconds()
	}
	if total < 400 || total > 700 {
		t.Fatalf("%.0f s of 600 s are found locked", total)
	}
	near(t, "the share", tr.LockedShare(), total/1800, 1e-9)
	r.HeartRate = recording.Stream{}
	if tr := Build(r); tr.LockedShare() != 0 {
		t.Errorf("%g of a run without heart rate is locked", tr.LockedShare())
	}
}
