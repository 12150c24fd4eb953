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

// Reps that are but 4 to 8 % quicker than the running beside them are found where the split, which knows no plan,
// sees the planned ones or nearly does; so is their pace.
func TestFaintRepsAsSplitSeesThem(t *testing.T) {
	found := 0
	for _, mps := range []float64{3.12, 3.15, 3.2, 3.25} {
		r := &recording.Recording{Sport: recording.Running}
		at := 0.0
		for _, leg := range [][2]float64{{660, 3}, {600, mps}, {120, 2.6}, {600, mps}, {500, 2.9}} {
			for range int(leg[0]) {
				r.T = append(r.T, float64(len(r.T)))
				r.Distance.Value, r.Distance.Valid = append(r.Distance.Value, at), append(r.Distance.Valid, true)
				at += leg[1]
			}
		}
		s, err := segment.Split(r)
		if err != nil {
			t.Fatal(err)
		}
		if !s.MayBe(segment.Known{Reps: []segment.Amount{{Seconds: 600}, {Seconds: 600}}, Rests: []segment.Amount{{Seconds: 120}}}) {
			continue
		}
		found++
		got := check(t, "11:00 warm + 2 x 10:00 off 2:00 jog + 8:20 cool", s)
		if got.Verdict != AsPlanned {
			t.Errorf("at %v m/s: %s, %+v", mps, got.Verdict, got.Deviations)
		}
		for i, rep := range got.Reps {
			if start := 660 + 720*float64(i); rep.Outcome != Done || math.Abs(rep.StartS-start) > 4 || math.Abs(rep.Pace-1000/mps) > 1 {
				t.Errorf("at %v m/s: rep %d is %s, from %.0f s on, at %.1f s/km", mps, i+1, rep.Outcome, rep.StartS, rep.Pace)
			}
		}
		if s.MayBe(segment.Known{Reps: []segment.Amount{{Seconds: 600}, {Seconds: 600}}}) || s.MayBe(segment.Known{Reps: []segment.Amount{{Metres: 5000}}}) {
			t.Errorf("at %v m/s: a workout that was not run, or is none, may be it", mps)
		}
		told := s.WithReps([]recording.Span{{StartS: 660, EndS: 960}})
		if told.MayBe(segment.Known{Reps: []segment.Amount{{Seconds: 600}, {Seconds: 600}}, Rests: []segment.Amount{{Seconds: 120}}}) {
			t.Errorf("at %v m/s: what someone told may be something else", mps)
		}
	}
	if found < 3 {
		t.Errorf("the split sees the reps at %d of 4 speeds", found)
	}
}
