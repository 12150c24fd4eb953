package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// judgeOf is a judge of a speed (m/s, a value per second), all of it known, with
// noise of a long-run deviation (m/s * sqrt(s)).
func judgeOf(speed []float64, longRun float64) *judge {
	known := make([]bool, len(speed))
	for i := range known {
		known[i] = true
	}
	tr := &signal.Trace{Speed: speed, Effort: speed, Known: known, Timer: known, Noise: signal.Noise{LongRun: longRun, Sigma: longRun}}
	return newJudge(tr, speed, nil, recording.Outdoors)
}

func TestInterleave(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 500 {
		// Works cut in up to three, with recoveries of some length between the uncut.
		var l labelling
		var want []piece
		at := rng.IntN(100)
		for i := range 1 + rng.IntN(6) {
			if i > 0 {
				gap := piece{lo: at, hi: at + 10 + rng.IntN(90), mean: 2}
				l.between, want = append(l.between, gap), append(want, gap)
				at = gap.hi
			}
			for k := range 1 + rng.IntN(3) {
				if k > 0 {
					want = append(want, piece{lo: at, hi: at})
				}
				w := piece{lo: at, hi: at + 30 + rng.IntN(90), mean: 4}
				l.works, at = append(l.works, w), w.hi
			}
		}
		if got := interleave(l); !slices.Equal(got, want) {
			t.Fatalf("between %v: %v, want %v", l.works, got, want)
		}
		// A labelling that is divided already comes out as it is.
		l.between = want
		if got := interleave(l); !slices.Equal(got, want) {
			t.Fatalf("between divided %v: %v, want %v", l.works, got, want)
		}
	}
}

// insideReps is the speed of n reps of the same inner levels (m/s) that last some
// seconds each, one after the other, and the reps.
func insideReps(rng *rand.Rand, n int, noise float64, levels ...float64) ([]float64, []piece) {
	var speed []float64
	var reps []piece
	for range n {
		lo := len(speed)
		for i := 0; i < len(levels); i += 2 {
			for range int(levels[i+1]) {
				speed = append(speed, levels[i]+noise*rng.NormFloat64())
			}
		}
		reps = append(reps, piece{lo: lo, hi: len(speed)})
	}
	return speed, reps
}

func TestStepsInside(t *testing.T) {
	for _, tt := range []struct {
		name   string
		n      int
		levels []float64 // pairs of m/s and s
		want   []int     // s after the start
		noise  float64   // long-run, m/s * sqrt(s); 0 for 0.1
	}{
		{"one step up", 3, []float64{4, 180, 4.6, 60}, []int{180}, 0},
		{"one step down", 1, []float64{4.6, 120, 4, 240}, []int{120}, 0},
		{"two steps up", 3, []float64{3.8, 120, 4.2, 120, 4.7, 120}, []int{120, 240}, 0},
		{"three kilometres, each quicker", 1, []float64{4, 250, 4.25, 235, 4.5, 222}, []int{250, 485}, 0},
		{"up and down", 2, []float64{4, 120, 4.6, 90, 4, 120}, []int{120, 210}, 0},
		{"even", 3, []float64{4.4, 240}, nil, 0},
		{"too small a step", 3, []float64{4.4, 240, 4.53, 240}, nil, 0},
		{"a step within noise", 1, []float64{4.4, 240, 4.66, 240}, nil, 1},
		{"the same step beyond noise", 1, []float64{4.4, 240, 4.66, 240}, []int{240}, 0},
		{"too short a part", 3, []float64{4.4, 240, 5, 12}, nil, 0},
		{"too short a rep", 3, []float64{4, 45, 5, 45}, nil, 0},
	} {
		for seed := range uint64(20) {
			rng := rand.New(rand.NewPCG(2, seed))
			speed, reps := insideReps(rng, tt.n, 0.1, tt.levels...)
			got := judgeOf(speed, max(0.1, tt.noise)).stepsInside(reps)
			same := len(got) == len(tt.want)
			for i := range got {
				same = same && math.Abs(float64(got[i]-tt.want[i])) <= 4 // the grid
			}
			if !same {
				t.Errorf("%s: steps at %v, want %v", tt.name, got, tt.want)
			}
		}
	}
}

// TestStepsInsideLine: a steady drift, up or down, is no change of pace, and
// neither is noise.
func TestStepsInsideLine(t *testing.T) {
	for _, drift := range []float64{-0.8, -0.5, -0.2, 0, 0.2, 0.5, 0.8} { // m/s from start to end
		for seed := range uint64(40) {
			rng := rand.New(rand.NewPCG(3, seed))
			n := 1 + int(seed)%4
			speed, reps := insideReps(rng, n, 0.1, 4.2, 300)
			for _, r := range reps {
				for i := r.lo; i < r.hi; i++ {
					speed[i] += drift * (float64(i-r.lo)/300 - 0.5)
				}
			}
			if got := judgeOf(speed, 0.1).stepsInside(reps); got != nil {
				t.Errorf("%d reps that drift by %v m/s: steps at %v", n, drift, got)
			}
		}
	}
}

// TestCuts: steps that all long reps share, steps of single reps, and steps at lap
// presses.
func TestCuts(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	speed, reps := insideReps(rng, 3, 0.1, 4, 180, 4.6, 60)
	other, short := insideReps(rng, 1, 0.1, 4.4, 100) // a shorter rep at the end
	short[0].lo, short[0].hi = len(speed), len(speed)+100
	speed, reps = append(speed, other...), append(reps, short...)
	j := judgeOf(speed, 0.1)
	want := [][]int{{180}, {240 + 180}, {480 + 180}, nil}
	check := func(name string, got [][]int, slack int) {
		t.Helper()
		for i := range want {
			same := len(got[i]) == len(want[i])
			for k := range got[i] {
				same = same && got[i][k] >= want[i][k]-slack && got[i][k] <= want[i][k]+slack
			}
			if !same {
				t.Errorf("%s: %v, want %v", name, got, want)
				return
			}
		}
	}
	check("common to the longest", j.commonCuts(reps), 4)
	check("each by itself", j.ownCuts(reps), 4)
	if got := j.commonCuts(reps[2:]); got[0] != nil || got[1] != nil {
		t.Errorf("one long rep has nothing in common: %v", got)
	}
	j.presses = []float64{30, 180.4, 240, 420, 450, 480, 659.8, 720}
	check("at presses", j.pressedCuts(reps), 0)
	j.presses = nil
	want = make([][]int, 4)
	check("without presses", j.pressedCuts(reps), 0)
	// Presses at the reps' edges, and those where nothing changes, say nothing.
	speed, reps = insideReps(rng, 4, 0.1, 4.4, 240)
	j = judgeOf(speed, 0.1)
	j.presses = []float64{60, 120, 180, 240, 300, 480, 600, 720, 730}
	check("at presses in even reps", j.pressedCuts(reps), 0)
}

// TestDivide: a block of three speeds is offered as three steps, a rep with a stop is
// left alone.
func TestDivide(t *testing.T) {
	j, whole := readIdeal(recording.Outdoors, 3.5, 1, row(3, 667, 4, 750, 4.25, 471, 4.6, 217, 2.7, 370))
	if len(whole.works) != 1 {
		t.Fatalf("%d works", len(whole.works))
	}
	three := func(r reading) (labelling, bool) {
		var p proposals
		j.variants(&p, r)
		for _, l := range p.list {
			if len(l.works) == 3 && l.continuous() {
				return l, true
			}
		}
		return labelling{}, false
	}
	got, ok := three(whole)
	if !ok {
		t.Fatal("a block of 3, 2 and 1 km is not offered as three works")
	}
	for i, want := range []float64{667 + 750, 667 + 750 + 471} {
		if d := math.Abs(float64(got.works[i].hi) - want); d > 4 {
			t.Errorf("change of pace %d is %v s off", i, d)
		}
	}
	whole.bridged = []bool{true}
	if _, ok := three(whole); ok {
		t.Error("a rep with a stop inside is divided in three")
	}
}

// TestPiece: a piece measured anew is the join of its halves, and what is unknown
// does not count.
func TestPiece(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	speed := make([]float64, 300)
	for i := range speed {
		speed[i] = 3 + rng.NormFloat64()
	}
	j := judgeOf(speed, 0.1)
	for i := 100; i < 200; i++ {
		j.tr.Known[i] = false
		speed[i] = 99
	}
	for range 500 {
		a := rng.IntN(280)
		c := a + 2 + rng.IntN(300-a-1)
		b := a + 1 + rng.IntN(c-a-1)
		got, want := j.piece(a, c), join(j.piece(a, b), j.piece(b, c))
		if got.lo != want.lo || got.hi != want.hi || got.w != want.w || math.Abs(got.mean-want.mean) > 1e-9 || math.Abs(got.ss-want.ss) > 1e-6 {
			t.Fatalf("cells %d to %d: %+v, joined %+v", a, c, got, want)
		}
		if got.mean > 10 {
			t.Fatalf("cells %d to %d: what is unknown counts: %+v", a, c, got)
		}
	}
}
