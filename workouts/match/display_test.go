package match

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/notation"
)

// TestGoesByTheDisplay: off the track a kilometre is what the device showed as one, so
// that the noise of an odometer makes no rep too long or too short; the distance told is
// the better estimate all the same.
func TestGoesByTheDisplay(t *testing.T) {
	kind, _ := simulate.KindNamed("1000s on the road")
	for _, name := range []string{"older watch, every second", "watch with smart recording"} {
		device, _ := simulate.DeviceNamed(name)
		var over, seen, ends []float64
		for seed := range uint64(8) {
			rec, truth := simulate.Run(kind.Make(seed), device, seed)
			session, err := segment.Split(rec)
			if err != nil {
				t.Fatal(err)
			}
			plan, err := notation.Parse("plan", truth.Notation)
			if err != nil {
				t.Fatal(err)
			}
			r, err := Check(plan, session, Options{})
			if err != nil {
				t.Fatal(err)
			}
			var work []simulate.TruthLeg
			for _, l := range truth.Legs {
				if l.Role == "work" {
					work = append(work, l)
				}
			}
			for i, rep := range r.Reps {
				if rep.Outcome != Done || i >= len(work) {
					t.Fatalf("%s, seed %d, rep %d: %s", name, seed, i+1, rep.Outcome)
				}
				over = append(over, math.Abs(rep.AmountDrift))
				seen = append(seen, math.Abs(rep.DistanceM-1000))
				ends = append(ends, math.Abs(rep.EndS-work[i].EndS))
			}
		}
		typical := func(x []float64) float64 { slices.Sort(x); return x[len(x)/2] }
		t.Logf("%s: over by %.1f m (%.1f at most), distances %.1f m off a kilometre, ends %.1f s off", name, typical(over), slices.Max(over), typical(seen), typical(ends))
		if typical(over) > 6 || slices.Max(over) > 30 || typical(ends) > 1.5 {
			t.Errorf("%s: over by %.1f m (%.1f at most), ends %.1f s off", name, typical(over), slices.Max(over), typical(ends))
		}
		if typical(seen) < 6 {
			t.Errorf("%s: distances are within %.1f m of a kilometre, so nothing was told apart", name, typical(seen))
		}
	}
}

// TestLongRepsEndWhereTheyWereShownTo: the last of three long reps fades until it is
// hardly faster than what follows; the display tells where it ended.
func TestLongRepsEndWhereTheyWereShownTo(t *testing.T) {
	runs := simulate.Demo()
	long := runs[slices.IndexFunc(runs, func(d simulate.DemoRun) bool { return d.Files[0] == "sunday-long" })]
	recordings, truth := long.Record()
	session, err := segment.Split(recordings[0])
	if err != nil {
		t.Fatal(err)
	}
	plan, err := notation.Parse("plan", long.Plan)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Check(plan, session, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rep := 0
	for _, l := range truth.Legs {
		if l.Role != "work" {
			continue
		}
		if got := r.Reps[rep]; math.Abs(got.StartS-l.StartS) > 5 || math.Abs(got.EndS-l.EndS) > 5 {
			t.Errorf("rep %d from %.1f to %.1f s, truly from %.1f to %.1f", rep+1, got.StartS, got.EndS, l.StartS, l.EndS)
		}
		rep++
	}
	if rep != 3 || len(r.Reps) != 3 {
		t.Errorf("%d reps, %d in the truth", len(r.Reps), rep)
	}
}
