package session

import (
	"math"
	"strings"
	"testing"

	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/chart"
)

// Heart rate over speed of 155 beats/min at 3.0 m/s against 150 at 3.1: (155/3.0)/(150/3.1)
// = 1.067778, computed by hand from the definition of Smyth and others 2022. The
// stretches of a half are alike, so there is no scatter.
func TestDrift(t *testing.T) {
	run := []chart.Stretch{{To: 1, Pace: 300, Heart: 100, Seconds: 300}} // the first does not count
	for k := 1; k <= 8; k++ {
		x := chart.Stretch{From: float64(k), To: float64(k + 1), Pace: 1000 / 3.1, Heart: 150, Seconds: 1000 / 3.1}
		if k > 4 {
			x.Pace, x.Heart = 1000/3.0, 155
		}
		run = append(run, x)
	}
	d := driftOf(run)
	if math.Abs(d.share-0.067778) > 1e-6 || d.margin > 1e-9 {
		t.Errorf("a drift of %.6f ±%.6f", d.share, d.margin)
	}
	if said := driftSaid(d); !strings.Contains(said[0].Text, "rose by 6.8 ±0.1 % from the first half") {
		t.Errorf("%v", said)
	}
	// Heart rates that differ by e^±0.01 within each half: variance 8 x 0.01^2 / 6, margin
	// 1.96 x sqrt(2 x that / 4) = 1.6 %.
	for k := 1; k <= 8; k++ {
		run[k].Heart *= math.Exp(0.01 * float64(1-2*(k%2)))
	}
	if d = driftOf(run); math.Abs(d.share-0.067778) > 1e-6 || math.Abs(d.margin-1.95996*math.Sqrt(2*8e-4/6/4)) > 1e-5 {
		t.Errorf("a drift of %.6f ±%.6f", d.share, d.margin)
	}
	// Without heart rate for half of it nothing is told, and nothing of five stretches.
	if d = driftOf(run[:6]); !math.IsNaN(d.share) || driftSaid(d) != nil {
		t.Errorf("%v of six stretches", d)
	}
}

// The rows of a run are its kilometres: as long as it in all, their times too.
func TestStretchTable(t *testing.T) {
	s := steadyDemo()
	r := Split(s, Options{})
	if len(r.Further) != 1 || len(r.Further[0].Rows) != 5 || r.Further[0].Rows[3][0].Text != "4" || r.Further[0].Rows[4][0].Text != "4.43" {
		t.Fatalf("%+v", r.Further)
	}
	sum := 0.0
	for _, x := range stretches(s, 0, s.Recording.Duration(), figures.Kilometre) {
		sum += x.Seconds
	}
	if math.Abs(sum-1380) > 1e-6 { // 23:00, of which the demo is
		t.Errorf("%.3f s in all", sum)
	}
	if r = Split(demoSession(), Options{}); len(r.Further) != 0 || len(r.Said) != 0 {
		t.Errorf("a session of reps has kilometres")
	}
}
