package signal

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
)

// holding is what an odometer shows at t that counts on every hold seconds.
func holding(c course, hold float64) func(t float64) float64 {
	return func(t float64) float64 { return c.metres(hold * math.Floor(t/hold)) }
}

// A device that holds its count for 2 to 4 s and then adds 10 to 14 m at once is never
// read as standing, and what was run in each leg is what its counts say: within one
// count. True distances are those of the course.
func TestHoldingOdometer(t *testing.T) {
	c := intervals(8, 180, 4.4, 90, 2.6)
	for _, hold := range []float64{2, 3, 4} {
		for _, withSpeed := range []bool{true, false} {
			t.Run(fmt.Sprintf("%g s, device speed %v", hold, withSpeed), func(t *testing.T) {
				r := ticks(int(c.seconds()))
				r.Distance = stream(r, holding(c, hold))
				if withSpeed {
					r.Speed = stream(r, func(t float64) float64 { return c.shown(t, 2, 4) })
				}
				tr := Build(r)
				for i, v := range tr.Speed[:tr.Len()-5] { // the last hold has no count to end it
					if v < 2 {
						t.Fatalf("%.2f m/s at %d s: nobody stood or walked", v, i)
					}
				}
				c.reps(func(start, end, metres float64) {
					near(t, "a rep", tr.RunBy(end)-tr.RunBy(start), metres, 4.4*hold)
				})
			})
		}
	}
}

// Where the runner does stand, a holding odometer says so too: a stop of a minute is seen
// but for the habit at both ends, and a walk is not taken for one.
func TestHoldingOdometerOfAStop(t *testing.T) {
	c := course{{600, 3.2}, {60, 0}, {300, 3.2}, {120, 1.3}, {300, 3.2}}
	r := ticks(int(c.seconds()))
	r.Distance = stream(r, holding(c, 3))
	tr := Build(r)
	stood, lo, hi := 0, tr.Len(), 0
	for i, v := range tr.Speed {
		if v < 0.5 {
			stood, lo, hi = stood+1, min(lo, i), max(hi, i)
		}
	}
	if stood < 48 || lo < 595 || hi > 665 {
		t.Errorf("stood for %d s from %d to %d s, want nearly all of 600 to 660", stood, lo, hi)
	}
	for i := 985; i < 1070; i++ {
		near(t, "the speed of the walk", tr.Speed[i], 1.3, 0.2)
	}
}

// A count with every record, with stops and with smart recording, is left as it is.
func TestHeldLeavesOthersAlone(t *testing.T) {
	stops := course{}
	for range 20 {
		stops = append(stops, leg{60, 3}, leg{8, 0})
	}
	rng := seeded(11)
	var smart []float64
	for x := 0.0; x < stops.seconds(); x += 1 + float64(rng.IntN(8)) {
		smart = append(smart, x)
	}
	for name, r := range map[string]*recording.Recording{"each second": ticks(int(stops.seconds())), "smart": blank(smart...)} {
		d := make([]float64, r.Len())
		for i, x := range r.T {
			d[i] = stops.metres(x)
		}
		if ts, ds, _ := held(r.T, d); !slices.Equal(ts, r.T) || !slices.Equal(ds, d) {
			t.Errorf("%s: %d of %d records left", name, len(ts), len(d))
		}
	}
}
