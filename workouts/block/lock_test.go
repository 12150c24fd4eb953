package block

import (
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

// Seconds in which heart rate is the cadence are in no zone: they are counted
// apart, and the rest is counted as of the same run with a free heart. The figures
// of the detector itself are beside it (recording.Locked).
func TestLockedSecondsAreInNoZone(t *testing.T) {
	d, ok := simulate.DeviceNamed("good watch, open sky")
	k, found := simulate.KindNamed("4 minute reps")
	if !ok || !found {
		t.Fatal("no such device or kind")
	}
	counted := func(x Run) (s float64) {
		for e := range efforts {
			s += x.Heart[e].Seconds(0, math.Inf(1))
		}
		return s
	}
	const from, to, runs = 900, 1500, 8
	sum := 0.0
	for seed := range uint64(runs) {
		r, _ := simulate.Run(k.Make(seed), d, seed)
		sums := func() Run {
			s, err := segment.Split(r)
			if err != nil {
				t.Fatal(err)
			}
			return Summarise(s)
		}
		free := sums()
		if free.LockedS != 0 {
			t.Errorf("seed %d: a free heart is locked for %.0f s", seed, free.LockedS)
		}
		for i, at := range r.T {
			if at >= from && at < to && r.Cadence.Valid[i] && r.HeartRate.Valid[i] {
				r.HeartRate.Value[i] = r.Cadence.Value[i]
			}
		}
		locked := sums()
		sum += locked.LockedS
		near(t, "in zones, locked and unknown, s", counted(locked)+locked.LockedS+locked.NoHeartS, counted(free)+free.NoHeartS, 1e-9)
	}
	// Each end is known to some ten seconds.
	near(t, "locked, s", sum, runs*(to-from), runs*25)
}
