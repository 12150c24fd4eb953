package library

import (
	"math"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
)

// Two runs of 3 x 1 km, of which the second lacks the second rep. The first rep is 240 s/km
// against 244, each ±2 (one standard error), the odometer off by nothing: -4 with an
// error of sqrt(8) = 2.83, no difference that can be known. The third is 230 against 244:
// -14, which is known.
func TestBeside(t *testing.T) {
	w, err := notation.Parse("w", "1km + 1km + 1km")
	if err != nil {
		t.Fatal(err)
	}
	run := func(day int, paces ...float64) Run {
		r := Run{Place: recording.Track, Start: time.Date(2026, 9, day, 17, 0, 0, 0, time.UTC), Result: &match.Result{}}
		for i, p := range paces {
			x := match.Rep{Step: i, Span: match.Span{Pace: p, PaceSE: 2, DistanceM: 1000}}
			if math.IsNaN(p) {
				x.Outcome = match.Missed
			}
			r.Result.Reps = append(r.Result.Reps, x)
		}
		return r
	}
	h := History{Entry: Entry{Name: "w", Workout: w}, Runs: []Run{run(1, 244, 242, 244), run(8, 240, math.NaN(), 230)}}
	h.Runs[1].Versus = &Versus{With: 0}
	runs, rows := h.Beside(4)
	if len(runs) != 2 || len(rows) != 3 {
		t.Fatalf("%v, %d rows", runs, len(rows))
	}
	for i, want := range []struct {
		delta, se float64
		call      match.Call
	}{{-4, math.Sqrt(8), match.Level}, {math.NaN(), math.NaN(), match.NoCall}, {-14, math.Sqrt(8), match.Quicker}} {
		x := rows[i]
		near := func(a, b float64) bool { return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9 }
		if !near(x.DeltaSPerKm, want.delta) || !near(x.SE, want.se) || x.Call != want.call || x.Planned.Role != segment.Work {
			t.Errorf("row %d: %+v, want %+v", i, x, want)
		}
	}
	// Of three runs any two can be laid side by side, the second against the first.
	three := History{Entry: h.Entry, Runs: []Run{h.Runs[0], run(4, 250, 250, 250), h.Runs[1]}}
	if two := three.Pair(0, 2); len(two.Runs) != 2 || two.Runs[1].Versus == nil || two.Runs[1].Versus.Reps != 2 || two.Runs[0].Versus != nil {
		t.Errorf("a pair: %+v", two.Runs)
	} else if _, again := two.Beside(4); len(again) != 3 || again[2].DeltaSPerKm != -14 {
		t.Errorf("a pair side by side: %+v", again)
	}
	three.Runs[2].Place = recording.Treadmill
	if two := three.Pair(0, 2); two.Runs[1].Versus != nil {
		t.Errorf("a run on a treadmill is held against one on a track: %+v", two.Runs[1].Versus)
	}
	if runs, _ = h.Beside(1); len(runs) != 1 || runs[0] != 1 {
		t.Errorf("the last run is %v", runs)
	}
	if runs, rows = (History{}).Beside(4); runs != nil || rows != nil {
		t.Errorf("of nothing: %v %v", runs, rows)
	}
}
