package segment

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/simulate"
)

// Where edges come from the odometer alone, its delay is taken out: against the
// simulated truth starts and ends together are neither early nor late by half a
// second, the grain of records a second apart.
func TestOdometerEdgesAreNotLate(t *testing.T) {
	d, ok := simulate.DeviceNamed("phone, distance only")
	if !ok {
		t.Fatal("no such device")
	}
	var starts, ends []float64
	for _, k := range simulate.Kinds() {
		for seed := range uint64(3) {
			if !k.Structured {
				continue
			}
			r, truth := simulate.Run(k.Make(900+seed), d, 900+seed)
			s, err := Split(r)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range truth.Legs {
				for _, g := range s.Segments {
					both := math.Min(g.EndS, l.EndS) - math.Max(g.StartS, l.StartS)
					either := math.Max(g.EndS, l.EndS) - math.Min(g.StartS, l.StartS)
					if l.Role == string(Work) && g.Role == Work && both > 0.75*either {
						starts, ends = append(starts, g.StartS-l.StartS), append(ends, g.EndS-l.EndS)
					}
				}
			}
		}
	}
	if len(starts) < 400 {
		t.Fatalf("%d reps were found, which cannot be all", len(starts))
	}
	slices.Sort(starts)
	slices.Sort(ends)
	start, end := starts[len(starts)/2], ends[len(ends)/2]
	t.Logf("medians over %d reps: starts %+.2f s, ends %+.2f s", len(starts), start, end)
	if off := (start + end) / 2; math.Abs(off) > 0.5 {
		t.Errorf("edges are off by %+.2f s: starts %+.2f s, ends %+.2f s", off, start, end)
	}
}
