package signal

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// anyTrace draws a trace of up to 50 cells.
func anyTrace(t *rapid.T) *Trace {
	speed := rapid.SliceOfN(rapid.Float64Range(0, 12), 1, 50).Draw(t, "speed")
	tr := &Trace{Speed: speed, Dist: make([]float64, len(speed)+1), Noise: Noise{Sigma: 0.1, LongRun: 0.3, Quarter: 0.4, Odometer: 0.5}}
	for i, v := range speed {
		tr.Dist[i+1] = tr.Dist[i] + v
	}
	tr.Effort = tr.Speed
	if rapid.Bool().Draw(t, "hills") {
		tr.Effort = slices.Clone(tr.Speed)
	}
	if rapid.Bool().Draw(t, "device") {
		tr.DeviceSpeed = slices.Clone(tr.Speed)
	}
	return tr
}

func TestDistanceAtIsACumulativeDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr := anyTrace(t)
		n := float64(tr.Len())
		at := rapid.Float64Range(-5, n+5)
		a, b := at.Draw(t, "a"), at.Draw(t, "b")
		a, b = min(a, b), max(a, b)
		da, db := tr.DistanceAt(a), tr.DistanceAt(b)
		if da > db+1e-9 {
			t.Fatalf("falls from %g at %g to %g at %g", da, a, db, b)
		}
		if db-da > 12*(b-a)+1e-9 {
			t.Fatalf("leaps from %g at %g to %g at %g", da, a, db, b)
		}
		// Linear inside a cell: a sum over cells and their parts.
		sum := 0.0
		for i, v := range tr.Speed {
			sum += v * max(0, min(b, float64(i+1))-max(a, float64(i)))
		}
		if math.Abs(db-da-sum) > 1e-9 {
			t.Fatalf("%g from %g to %g, want %g", db-da, a, b, sum)
		}
		if tr.DistanceAt(-1) != 0 || tr.DistanceAt(n+100) != tr.Dist[tr.Len()] || tr.DistanceAt(math.NaN()) != 0 {
			t.Fatal("it is not constant outside")
		}
	})
}

func TestCoveredAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr := anyTrace(t)
		at := rapid.Float64Range(-5, float64(tr.Len())+5)
		p := []float64{at.Draw(t, "a"), at.Draw(t, "b"), at.Draw(t, "c")}
		slices.Sort(p)
		if p[0] == p[1] || p[1] == p[2] {
			t.Skip("an empty span")
		}
		ab, seAB := tr.Covered(p[0], p[1])
		bc, seBC := tr.Covered(p[1], p[2])
		ac, seAC := tr.Covered(p[0], p[2])
		if math.Abs(ab+bc-ac) > 1e-9 {
			t.Fatalf("%g and %g are not %g", ab, bc, ac)
		}
		if math.Abs(seAB*seAB+seBC*seBC-seAC*seAC) > 1e-9 { // variances of sums add up
			t.Fatalf("se %g and %g against %g", seAB, seBC, seAC)
		}
		if want := tr.Noise.Odometer * math.Sqrt(p[2]-p[0]); math.Abs(seAC-want) > 1e-12 {
			t.Fatalf("se %g, want %g", seAC, want)
		}
	})
}

func TestCoveredOfNothing(t *testing.T) {
	tr := &Trace{Speed: []float64{3, 3}, Dist: []float64{0, 3, 6}}
	for _, s := range [][2]float64{{1, 1}, {2, 1}, {math.NaN(), 1}, {0, math.NaN()}} {
		if m, se := tr.Covered(s[0], s[1]); !math.IsNaN(m) || !math.IsNaN(se) {
			t.Errorf("from %g to %g: %g m, se %g", s[0], s[1], m, se)
		}
	}
	none := &Trace{Dist: []float64{0}}
	if m, se := none.Covered(0, 1); !math.IsNaN(m) || !math.IsNaN(se) || none.DistanceAt(1) != 0 {
		t.Errorf("of no cells: %g m, se %g", m, se)
	}
}

// A factor scales each distance, speed and error once, whatever shares memory,
// and its inverse takes it back.
func TestRescale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr := anyTrace(t)
		n := float64(tr.Len())
		was := *tr
		was.Speed, was.Dist, was.Effort = slices.Clone(tr.Speed), slices.Clone(tr.Dist), slices.Clone(tr.Effort)
		f := rapid.Float64Range(0.9, 1.1).Draw(t, "factor")
		same := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-12*(1+math.Abs(want)) {
				t.Fatalf("%s is %g, want %g", what, got, want)
			}
		}
		m, se := tr.Covered(0, n)
		tr.Rescale(f)
		m2, se2 := tr.Covered(0, n)
		same("the distance", m2, f*m)
		same("its error", se2, f*se)
		same("the noise", tr.Noise.LongRun, f*was.Noise.LongRun)
		same("the noise over a quarter of a minute", tr.Noise.Quarter, f*was.Noise.Quarter)
		same("sigma", tr.Noise.Sigma, f*was.Noise.Sigma)
		for i := range tr.Speed {
			same("speed", tr.Speed[i], f*was.Speed[i])
			same("effort", tr.Effort[i], f*was.Effort[i])
			same("a border", tr.Dist[i+1], f*was.Dist[i+1])
			if tr.DeviceSpeed != nil {
				same("device speed", tr.DeviceSpeed[i], f*was.Speed[i])
			}
		}
		tr.Rescale(1 / f)
		same("the distance back again", tr.DistanceAt(n), was.Dist[len(was.Dist)-1])
	})
	none := &Trace{Dist: []float64{0}, Effort: []float64{}}
	none.Rescale(2) // nothing to scale, no panic
}

// TestRunBy: the delay is taken out, nothing was run before the start, and all that
// was counted by the end.
func TestRunBy(t *testing.T) {
	tr := &Trace{Speed: make([]float64, 10), Dist: make([]float64, 11), DelayS: 0.9}
	for i := 1; i <= 10; i++ {
		tr.Dist[i] = 3 * float64(i)
	}
	last := 0.0
	for _, tt := range []struct{ t, want float64 }{{-1, 0}, {0, 0}, {0.5, 2.85}, {1, 5.7}, {4, 14.7}, {9.5, 30}, {10, 30}, {11, 30}} {
		got := tr.RunBy(tt.t)
		if math.Abs(got-tt.want) > 1e-9 || got < last {
			t.Errorf("by %g s %g m were run, want %g", tt.t, got, tt.want)
		}
		last = got
	}
}
