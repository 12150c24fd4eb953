package segment_test

import (
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// manyReps is a recording, a record a second, of so many reps of work and rest in seconds at
// 4.5 and 2.6 m/s, between ten minutes of easy running; an odometer with noise.
func manyReps(reps, work, rest int, seed uint64) *recording.Recording {
	rng := rand.New(rand.NewPCG(seed, 1))
	r := &recording.Recording{Name: "many", Sport: recording.Running, Place: recording.Outdoors}
	total := 1200 + reps*(work+rest)
	r.Distance = recording.MakeStream(total)
	metres, unrest := 0.0, 0.0
	for i := range total {
		r.T = append(r.T, float64(i))
		v := 3.0
		if at := i - 600; at >= 0 && at < reps*(work+rest) {
			if v = 2.6; at%(work+rest) < work {
				v = 4.5
			}
		}
		unrest = 0.9*unrest + 0.04*rng.NormFloat64()
		metres += max(0, v+unrest+0.1*rng.NormFloat64())
		r.Distance.Set(i, metres)
	}
	return r
}

// TestManyReps: any number of reps is read.
func TestManyReps(t *testing.T) {
	for _, n := range []struct{ reps, work, rest int }{{120, 60, 60}, {100, 60, 30}, {256, 240, 90}, {400, 30, 30}} {
		if n.reps == 256 && testing.Short() {
			continue
		}
		s, err := segment.Split(manyReps(n.reps, n.work, n.rest, 3))
		if err != nil {
			t.Fatal(err)
		}
		if got := len(foundReps(s)); got != n.reps {
			t.Errorf("%d x %d/%d s: %d reps found: %.80s", n.reps, n.work, n.rest, got, writtenWithoutTargets(s))
		}
	}
}

// BenchmarkManyReps is the time of a split of many reps.
func BenchmarkManyReps(b *testing.B) {
	for _, n := range []struct {
		name             string
		reps, work, rest int
	}{{"30x60,60", 30, 60, 60}, {"120x60,60", 120, 60, 60}, {"400x30,30", 400, 30, 30}} {
		r := manyReps(n.reps, n.work, n.rest, 3)
		b.Run(n.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := segment.Split(r); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/(r.Duration()/3600), "ms/hour")
		})
	}
}
