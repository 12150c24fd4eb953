package match

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/trend"
)

// Work that follows work without a rest, 5 % apart: a split without a plan
// cannot see where one step ends, and the plan must help to find it.
func TestContinuousWork(t *testing.T) {
	t.Parallel()
	plans := []string{
		"10:00 warm + 3 x ( 2km @ 4:30/km + 1km @ 4:45/km ) + 10:00 cool",
		"2km @ 4:45/km + 2km @ 4:35/km + 2km @ 4:25/km + 1km @ 4:10/km",
		"10:00 warm + 5 x ( 3:00 @ 4:00/km + 2:00 @ 4:20/km ) + 5:00 cool",
		"10:00 warm + 10:00 @ 4:20/km + 8:00 @ 4:10/km + 6:00 @ 4:00/km + 4:00 @ 3:50/km + 10:00 cool",
	}
	for _, c := range []struct {
		device     string
		mostMedian float64 // s off at the end of a rep
		recognised float64 // per cent
	}{
		{"good watch, open sky", 5, 97},
		{"watch leading through steps", 5, 97},
		{"foot sensor on the treadmill", 2.5, 97},
		{"wrist on the treadmill", 4, 90}, // one of 16, all of it work, does not stand out
	} {
		var off []float64
		var done, recognised tally
		for i, text := range plans {
			for seed := range uint64(4) {
				seed += 31000 + 10*uint64(i)
				sc := stage(t, text, 4, seed)
				s, truth := sc.run(device(t, c.device), seed, nil)
				s, err := segment.Split(s.Recording)
				if err != nil {
					t.Fatal(err)
				}
				r, err := Check(sc.plan, s, Options{})
				if err != nil {
					t.Fatal(err)
				}
				recognised.add(r.Verdict != Different)
				for _, rep := range r.Reps {
					if rep.Step < 0 {
						continue
					}
					done.add(rep.Outcome == Done)
					off = append(off, math.Abs(rep.EndS-truth.Legs[rep.Step].EndS))
				}
			}
		}
		slices.Sort(off)
		t.Logf("%-30s done %.1f %% of %d, recognised %.0f %% of %d, rep ends off by %.1f s (median), %.1f s (9 of 10)",
			c.device, done.pct(), done.of, recognised.pct(), recognised.of, trend.Median(off), off[len(off)*9/10])
		if done.pct() < 97 || recognised.pct() < c.recognised || !(trend.Median(off) <= c.mostMedian) {
			t.Errorf("%s: not good enough", c.device)
		}
	}
}
