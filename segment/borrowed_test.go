package segment_test

import (
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

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
		ways := segment.UnrestOf(lender, func(i int) (float64, bool) {
			a, ok1 := lender.Distance.At(i - 1)
			b, ok2 := lender.Distance.At(i)
			dt := lender.T[i] - lender.T[i-1]
			return (b - a) / dt, ok1 && ok2 && dt < 16
		})
		shown := segment.UnrestOf(lender, func(i int) (float64, bool) {
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
					segment.Borrow(r, ways, lent, 977*k+331*int(seed))
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
