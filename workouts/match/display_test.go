package match

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
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
	demo := filepath.Join("..", "..", "testdata", "demo", "sunday-long")
	list, err := recording.Open(demo + ".fit")
	if err != nil {
		t.Fatal(err)
	}
	session, err := segment.Split(list[0])
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(demo + ".plan")
	if err != nil {
		t.Fatal(err)
	}
	plan, err := notation.Parse("plan", string(text))
	if err != nil {
		t.Fatal(err)
	}
	r, err := Check(plan, session, Options{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(demo + ".truth.tsv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table := csv.NewReader(f)
	table.Comma, table.Comment = '\t', '#'
	rows, err := table.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rep := 0
	for _, row := range rows[1:] {
		if row[0] != "work" {
			continue
		}
		for c, got := range map[string]float64{row[4]: r.Reps[rep].StartS, row[5]: r.Reps[rep].EndS} {
			want, err := strconv.ParseFloat(c, 64)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got-want) > 5 {
				t.Errorf("rep %d: an edge at %.1f s, truly at %.1f s", rep+1, got, want)
			}
		}
		rep++
	}
	if rep != 3 || len(r.Reps) != 3 {
		t.Errorf("%d reps, %d in the truth", len(r.Reps), rep)
	}
}
