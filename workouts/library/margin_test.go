package library

import (
	"math"
	"testing"

	"example.org/rungs/workouts/match"
)

// A run is called quicker or slower than the last when the difference passes 1.96
// standard errors (two-sided 5 %, any table of the normal distribution), in which
// the odometer counts for both runs.
func TestVersusAtItsMargin(t *testing.T) {
	run := func(pace, se float64) Run {
		return Run{Result: &match.Result{Reps: []match.Rep{{Step: 0, Rep: 1, Outcome: match.Done,
			Span: match.Span{StartS: 0, EndS: 4 * pace, DistanceM: 4000, Pace: pace, PaceSE: se}}}}}
	}
	const pace, se, odometer = 250.0, 2.0, 0.015
	for _, c := range []struct {
		share float64 // of the margin
		want  match.Call
	}{{0.97, match.Level}, {1.03, match.Slower}, {-0.97, match.Level}, {-1.03, match.Quicker}} {
		margin := 1.96 * math.Sqrt(2*(se*se+odometer*odometer*pace*pace))
		v, ok := versus(run(pace+c.share*margin, se), run(pace, se), odometer)
		if !ok || v.Call != c.want || v.Reps != 1 {
			t.Errorf("%v of the margin: %+v, %v", c.share, v, ok)
		}
	}
	if _, ok := versus(run(250, 2), Run{Result: &match.Result{}}, odometer); ok {
		t.Error("compared with a run that has no rep in common")
	}
}
