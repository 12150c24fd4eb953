package segment_test

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// restlessness is how real speed varies about its median over a minute and a half,
// as ratios, one for each second of running; stops and walks are left out.
func restlessness(r *recording.Recording, speed func(i int) (float64, bool)) []float64 {
	var even []float64
	k := 0
	for s := 0.0; s < r.Duration(); s++ {
		for k+1 < r.Len()-1 && r.T[k+1] <= s {
			k++
		}
		if v, ok := speed(k + 1); ok {
			even = append(even, v)
		}
	}
	var out []float64
	for i, v := range even {
		near := slices.Sorted(slices.Values(even[max(0, i-45):min(len(even), i+46)]))
		if m := near[len(near)/2]; m > 1.8 && v > 1.2 {
			out = append(out, min(max(v/m, 0.5), 1.6))
		}
	}
	return out
}

// borrow makes each second of a simulated run as much faster or slower than its
// neighbours as a real one was. Ways is for the odometer, shown for device speed; an
// empty one takes device speed away.
func borrow(r *recording.Recording, ways, shown []float64, from int) {
	was, sum := 0.0, 0.0
	for i := range r.T {
		d, _ := r.Distance.At(i)
		at := int(r.T[i]) + from
		sum += (d - was) * ways[at%len(ways)]
		was, r.Distance.Value[i] = d, sum
		if v, ok := r.Speed.At(i); ok && len(shown) > 0 {
			r.Speed.Value[i] = v * shown[at%len(shown)]
		}
	}
	if len(shown) == 0 {
		r.Speed = recording.Stream{}
	}
}

// TestBorrowedNoise splits simulated sessions that vary in speed as recordings from
// elsewhere do, with device speed where these have it and without. That is more than a
// device's noise: corners, crossings, slopes and company are in it.
func TestBorrowedNoise(t *testing.T) {
	device, ok := simulate.DeviceNamed("good watch, open sky")
	if !ok {
		t.Fatal("no such device")
	}
	seeds := uint64(1)
	if *full {
		seeds = 4
	}
	var all, steady score
	for _, name := range []string{"real-6x800", "real-track-400-800", "real-hilly-race", "real-10k-zero-speed", "real-slow-walkbreak"} {
		list, err := recording.Open(dataFile(t, name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		lender := list[0]
		ways := restlessness(lender, func(i int) (float64, bool) {
			a, ok1 := lender.Distance.At(i - 1)
			b, ok2 := lender.Distance.At(i)
			dt := lender.T[i] - lender.T[i-1]
			return (b - a) / dt, ok1 && ok2 && dt < 16
		})
		shown := restlessness(lender, func(i int) (float64, bool) {
			v, ok := lender.Speed.At(i)
			return v, ok && v > 0
		})
		for k, kind := range simulate.Kinds() {
			for seed := range seeds {
				own := ownSeed(seed, kind, simulate.Device{Name: name})
				session := kind.Make(own)
				if session.Place == recording.Treadmill {
					continue
				}
				for _, lent := range [][]float64{shown, nil} {
					if lent != nil && len(lent) < 600 {
						continue
					}
					r, truth := simulate.Run(session, device, own)
					borrow(r, ways, lent, 977*k+331*int(seed))
					sc := judgeRun(r, truth)
					if kind.Structured {
						all.add(sc)
					} else {
						if sc.steadyWrong > 0 {
							t.Logf("%s lent by %s: %d reps", kind.Name, name, sc.falseReps)
						}
						steady.add(sc)
					}
				}
			}
		}
	}
	t.Logf("%d structured: exact %.1f %%, recall %.1f %%, precision %.1f %%, starts off by %.1f s, ends by %.1f s; reps in %d of %d unstructured",
		all.structured, 100*all.exactShare(), 100*all.recall(), 100*all.precision(), medianOf(all.start), medianOf(all.end), steady.steadyWrong, steady.steady)
	if all.exactShare() < 0.79 || all.recall() < 0.93 || all.precision() < 0.96 || share(steady.steadyWrong, steady.steady) > 0.03 || math.IsNaN(medianOf(all.start)) {
		t.Error("want 79 % exact, 93 % recall, 96 % precision, and reps in no more than 3 % of unstructured runs")
	}
}
