package segment_test

import (
	"math/rand/v2"
	"strconv"
	"strings"
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
	for _, n := range []struct {
		reps, work, rest int
		told             string
	}{{120, 60, 60, "120 x 1:00 off 1:00"}, {100, 60, 30, "100 x 1:00 off 30s"}, {256, 240, 90, "256 x 4:00 off 1:30"}, {400, 30, 30, "400 x 30s off"}} {
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
		if got := writtenWithoutTargets(s); !strings.Contains(got, n.told) {
			t.Errorf("%d x %d/%d s are told as %.80s", n.reps, n.work, n.rest, got)
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

// chaos is an hour or more of running that changes its speed at random every 8 to 16 s: the
// most restless that the split can be asked to read, since shorter pieces are not looked for.
func chaos(hours int) *recording.Recording {
	rng := rand.New(rand.NewPCG(9, 1))
	n := 3600 * hours
	r := &recording.Recording{Name: "chaos", Sport: recording.Running, Place: recording.Outdoors}
	r.Distance = recording.MakeStream(n)
	metres, v, left := 0.0, 3.0, 0
	for i := range n {
		if left--; left <= 0 {
			left, v = 8+rng.IntN(9), 5.5*rng.Float64()
		}
		metres += v
		r.T = append(r.T, float64(i))
		r.Distance.Set(i, metres)
	}
	return r
}

// TestChaos: hours of changes at random are read without trouble, and if reps are told, their
// amounts are nobody's intent.
func TestChaos(t *testing.T) {
	s, err := segment.Split(chaos(4))
	if err != nil {
		t.Fatal(err)
	}
	at := 0.0
	for _, g := range s.Segments {
		if g.StartS != at || g.EndS <= g.StartS {
			t.Fatalf("a part from %g to %g after %g", g.StartS, g.EndS, at)
		}
		at = g.EndS
	}
	for _, b := range s.Structure {
		for _, x := range b.Body {
			if b.Count > 80 && x.Amount != (segment.Amount{}) {
				t.Errorf("%d reps of %+v were meant", b.Count, x.Amount)
			}
		}
	}
}

// BenchmarkChaos is the time of a split of the worst.
func BenchmarkChaos(b *testing.B) {
	for _, hours := range []int{1, 4, 12} {
		r := chaos(hours)
		b.Run(strconv.Itoa(hours)+"h", func(b *testing.B) {
			for b.Loop() {
				if _, err := segment.Split(r); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/float64(hours), "ms/hour")
		})
	}
}
