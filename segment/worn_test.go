package segment_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// A wear is what another device, or a worse day, would have made of a recording.
type wear struct {
	name  string
	apply func(r *recording.Recording) // r is a copy
}

// wears are losses and errors as devices have them.
func wears() []wear {
	out := []wear{
		{"as it is", func(r *recording.Recording) {}},
		{"no device speed", func(r *recording.Recording) { r.Speed = recording.Stream{} }},
		{"device speed zero", func(r *recording.Recording) { clear(r.Speed.Value) }},
		{"no heart rate", func(r *recording.Recording) { r.HeartRate = recording.Stream{} }},
		{"no altitude", func(r *recording.Recording) { r.Altitude = recording.Stream{} }},
		{"no laps", func(r *recording.Recording) { r.Laps = nil }},
		{"whole metres", func(r *recording.Recording) { eachMetre(r, math.Round) }},
		{"odometer 3 % long", func(r *recording.Recording) { eachMetre(r, func(d float64) float64 { return 1.03 * d }) }},
		{"odometer 3 % short", func(r *recording.Recording) { eachMetre(r, func(d float64) float64 { return 0.97 * d }) }},
		{"last four minutes missing", func(r *recording.Recording) {
			end := r.Duration() - 240
			keep(r, func(i int) bool { return r.T[i] <= end })
		}},
	}
	for _, every := range []float64{2, 3, 5, 8} {
		out = append(out, wear{fmt.Sprintf("a record every %g s", every), func(r *recording.Recording) {
			last := math.Inf(-1)
			keep(r, func(i int) bool {
				if r.T[i] < last+every {
					return false
				}
				last = r.T[i]
				return true
			})
		}})
	}
	for seed := range uint64(3) {
		out = append(out,
			wear{fmt.Sprintf("odometer noise %d", seed), func(r *recording.Recording) {
				rng, e := rand.New(rand.NewPCG(seed, 1)), 0.0
				eachMetre(r, func(d float64) float64 {
					e = 0.8*e + 0.8*rng.NormFloat64()
					return d + e
				})
			}},
			wear{fmt.Sprintf("records lost %d", seed), func(r *recording.Recording) {
				rng, until := rand.New(rand.NewPCG(seed, 3)), 0.0
				keep(r, func(i int) bool {
					if i > 0 && rng.Float64() < 0.004 {
						until = r.T[i] + 5 + 20*rng.Float64()
					}
					return r.T[i] >= until
				})
			}})
	}
	return out
}

func eachMetre(r *recording.Recording, f func(float64) float64) {
	for i, d := range r.Distance.Value {
		r.Distance.Value[i] = f(d)
	}
}

// keep drops records; use is asked once for each, in order, before any is dropped.
func keep(r *recording.Recording, use func(i int) bool) {
	var kept []int
	for i := range r.T {
		if use(i) {
			kept = append(kept, i)
		}
	}
	list := func(s recording.Stream) recording.Stream {
		if len(s.Value) == 0 {
			return s
		}
		out := recording.MakeStream(len(kept))
		for k, i := range kept {
			if v, ok := s.At(i); ok {
				out.Set(k, v)
			}
		}
		return out
	}
	t := make([]float64, len(kept))
	for k, i := range kept {
		t[k] = r.T[i] - r.T[kept[0]]
	}
	r.T, r.Stage = t, nil
	for _, s := range []*recording.Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude, &r.Longitude} {
		*s = list(*s)
	}
}

// TestWornSessions splits open recordings as other devices would have made them:
// reps stay the same but in a few, and runs without any stay so. The track session has reps only
// where it has device speed: its odometer lags and wobbles by more than they last.
func TestWornSessions(t *testing.T) {
	const most = 3 // recordings with reps that are read otherwise
	otherwise := 0
	for _, tt := range []struct {
		name  string
		needs string // stream without which nothing can be seen
		reps  bool
	}{
		{"real-6x800", "", true},
		{"real-track-400-800", "speed", true},
		{"real-hilly-race", "", false},
		{"real-10k-zero-speed", "", false},
		{"real-slow-walkbreak", "", false},
	} {
		path := dataFile(t, tt.name+".csv")
		var truth []trueRep
		if tt.reps {
			truth = readTruth(t, dataFile(t, tt.name+".truth.tsv"))
		}
		for _, w := range wears() {
			list, err := recording.Open(path)
			if err != nil {
				t.Fatal(err)
			}
			r := list[0]
			w.apply(r)
			if tt.needs == "speed" && (r.Speed.Count() == 0 || r.Speed.Value[r.Len()/2] == 0) {
				continue
			}
			s, err := segment.Split(r)
			if err != nil {
				t.Fatalf("%s, %s: %v", tt.name, w.name, err)
			}
			var seen []trueRep
			for _, rep := range truth {
				if rep.end <= r.Duration()+1 {
					seen = append(seen, rep)
				}
			}
			if sc := judgeReps(s, seen); sc.matched != sc.truth || sc.found != sc.truth {
				told := fmt.Sprintf("%s, %s: %d of %d reps matched, %d found: %s", tt.name, w.name, sc.matched, sc.truth, sc.found, writtenWithoutTargets(s))
				if !tt.reps {
					t.Error(told)
				}
				otherwise++
				t.Log(told)
			}
		}
	}
	if otherwise > most {
		t.Errorf("%d recordings are read otherwise, at most %d", otherwise, most)
	}
}
