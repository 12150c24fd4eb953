package match

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/trend"
)

// A rep whose edges are those that the split found has the pace and the margin that the split
// tells, to the last digit that either prints and far beyond: for every plan of the demo.
func TestRepsAsSplitTellsThem(t *testing.T) {
	plans, err := filepath.Glob("../../testdata/demo/*.plan")
	if err != nil || len(plans) == 0 {
		t.Fatalf("no plans: %v", err)
	}
	same, reps := 0, 0
	for _, name := range plans {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		recordings, err := recording.Open(strings.TrimSuffix(name, ".plan") + ".fit")
		if err != nil {
			t.Fatal(err)
		}
		for _, rec := range recordings {
			s, err := segment.Split(rec)
			if err != nil {
				t.Fatal(err)
			}
			for _, rep := range check(t, string(text), s).Reps {
				if rep.Outcome == Missed || len(rep.Interruptions) > 0 {
					continue // the time stood counts for split, not for check
				}
				reps++
				for _, g := range s.Segments {
					if g.Role != segment.Work || g.StartS != rep.StartS || g.EndS != rep.EndS {
						continue
					}
					same++
					if math.Abs(g.Pace-rep.Pace) > 1e-6 || math.Abs(g.WithinSE-rep.PaceSE) > 1e-6 {
						t.Errorf("%s, rep %d: check has %.3f ±%.3f s/km, split %.3f ±%.3f", filepath.Base(name), rep.Rep, rep.Pace, trend.Z95*rep.PaceSE, g.Pace, trend.Z95*g.WithinSE)
					}
				}
			}
		}
	}
	t.Logf("%d of %d reps have the edges of the split", same, reps)
	if same < 20 {
		t.Errorf("only %d reps have the edges of the split", same)
	}
}
