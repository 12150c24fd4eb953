package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
)

// The limit is the men's world records and 3 %: 43.03 s for 400 m, 26:11.00 for 10,000 m; between two of
// them it is between their speeds, and it never rises with time.
func TestRunnable(t *testing.T) {
	near(t, "over 43.03 s", runnable(43.03), 1.03*400/43.03, 0.002)
	near(t, "over 1571 s", runnable(1571), 1.03*10000/1571, 0.002)
	near(t, "over 5 s", runnable(5), 1.03*100/9.58, 0.001)
	near(t, "over 5 hours", runnable(18000), 1.03*42195/7235, 0.001)
	for s := 1.0; s < 20000; s *= 1.1 {
		if runnable(s*1.1) > runnable(s) {
			t.Fatalf("%.3f m/s over %.0f s is more than over less", runnable(s*1.1), s*1.1)
		}
	}
}

// A ride of six minutes at 8 m/s after a run is no running: it is told of once, with the distance that it
// would have added, and not counted. What was run before and after stays.
func TestRideIsNotRun(t *testing.T) {
	c := course{{1800, 3}, {360, 8}, {600, 1.3}}
	r := ticks(int(c.seconds()))
	r.Distance = stream(r, c.metres)
	for _, withSpeed := range []bool{false, true} {
		if withSpeed {
			r.Speed = stream(r, func(t float64) float64 { return c.shown(t, 3, 5) })
		}
		tr := Build(r)
		if len(tr.Faults) != 1 || tr.Faults[0].Code != beyondRunning {
			t.Fatalf("device speed %v: faults %+v", withSpeed, tr.Faults)
		}
		f := tr.Faults[0]
		near(t, "the start of the fault", f.StartS, 1800, 25)
		near(t, "the end of the fault", f.EndS, 2160, 25)
		near(t, "what was run before", tr.DistanceAt(1770), 3*1770, 5)
		near(t, "what was walked after", tr.DistanceAt(2760)-tr.DistanceAt(2200), 1.3*560, 5)
		near(t, "what was told and what was left out", tr.DistanceAt(2760)+f.ExcessM, c.metres(2760), 60)
		if tr.Known[2000] || tr.DistanceAt(2760) > 1800*3+360*3+600*1.3 {
			t.Errorf("known %v in the ride, %.0f m in all", tr.Known[2000], tr.DistanceAt(2760))
		}
	}
	r.Sport = recording.Cycling
	if tr := Build(r); len(tr.Faults) > 0 || math.Abs(tr.DistanceAt(2760)-c.metres(2760)) > 1 {
		t.Errorf("a ride that is one has faults %+v and %.0f m", tr.Faults, tr.DistanceAt(2760))
	}
}

// A session of a quick runner, at the edge of the records, has no faults.
func TestQuickRunnersHaveNoFaults(t *testing.T) {
	for _, c := range []course{
		{{600, 3}, {43, 9.2}, {300, 0}, {43, 9.2}, {300, 2}},
		{{600, 3}, {100, 7.8}, {300, 0}, {206, 7.2}, {300, 2}},
		{{60, 2}, {1571, 6.36}, {300, 2}},
	} {
		r := ticks(int(c.seconds()))
		r.Distance = stream(r, c.metres)
		if tr := Build(r); len(tr.Faults) > 0 {
			t.Errorf("%v: %+v", c, tr.Faults)
		}
	}
}
