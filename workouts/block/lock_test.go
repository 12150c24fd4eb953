package block

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// lockOn makes the heart rate follow the cadence from one time to another, as
// an optical sensor does that counts steps.
func lockOn(r *recording.Recording, from, to float64, rng *rand.Rand) {
	for i, t := range r.T {
		if t >= from && t < to && r.HeartRate.Valid[i] && r.Cadence.Valid[i] && r.Cadence.Value[i] > 0 {
			r.HeartRate.Value[i] = math.Round(r.Cadence.Value[i] + rng.NormFloat64())
		}
	}
}

// Over all kinds of simulated runs, a heart rate near the cadence is believed
// unless it jumped there, and most of a fault is found. Figures at the time of
// writing, over 744 runs: 0.1 % of work doubted without reason (5.6 % by
// nearness to the cadence alone), 93 % of the time at fault found.
func TestLockedHeartRate(t *testing.T) {
	var work, doubted, fault, found float64
	for i, k := range slices.Concat(simulate.Kinds(), simulate.Kinds(), simulate.Kinds()) {
		seed := uint64(i)
		s := k.Make(seed)
		for _, d := range simulate.DevicesFor(s.Place) {
			if d.Heart == simulate.NoHeart || !d.Cadence {
				continue
			}
			d.LockP = 0
			r, truth := simulate.Run(s, d, seed)
			tr := signal.Build(r)
			spans := lockedSpans(tr)
			for _, l := range truth.Legs {
				if l.Role == "work" {
					work += l.EndS - l.StartS
					doubted += covered(spans, l.StartS, l.EndS)
				}
			}
			if r.Duration() > 1200 {
				rng := rand.New(rand.NewPCG(seed, 9))
				from := 100 + rng.Float64()*(r.Duration()-900)
				to := min(from+180+rng.Float64()*600, r.Duration())
				lockOn(r, from, to, rng)
				fault += to - from
				found += covered(lockedSpans(signal.Build(r)), from, to)
			}
			break
		}
	}
	t.Logf("%.2f %% of %.0f s of work doubted; %.1f %% of %.0f s at fault found", 100*doubted/work, work, 100*found/fault, fault)
	if doubted > 0.01*work {
		t.Errorf("%.0f of %.0f s of work doubted without reason", doubted, work)
	}
	if found < 0.85*fault {
		t.Errorf("%.0f of %.0f s at fault found", found, fault)
	}
}
