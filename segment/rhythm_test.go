package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestBeatsTwin holds the search for a rhythm to a plain one that tries every way to lay
// reps, on 60 short series of noise with a rhythm in it.
func TestBeatsTwin(t *testing.T) {
	b := rhythm{works: []float64{9, 20}, rests: []float64{8}, step: 1}
	costs := func(l lengthsNear) map[int]float64 {
		out := map[int]float64{}
		for _, row := range l {
			for i, c := range row.costs {
				out[row.most-i] = c
			}
		}
		return out
	}
	works, rests := lengthsOf(b.works, workLax), lengthsOf(b.rests, restLax)
	costW, costR := costs(works), costs(rests)
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 1))
		n := 40 + rng.IntN(25)
		work, rest := make([]float64, n+1), make([]float64, n+1)
		for i := range n {
			v := rng.NormFloat64()
			if i%17 < 9 {
				v += 0.8
			}
			work[i+1], rest[i+1] = work[i]+v, rest[i]-v+0.3*rng.NormFloat64()
		}
		// plain is the most that can still be gained from cell t on, where a rep ended.
		var plain func(t int) float64
		rep := func(a int) float64 {
			most := math.Inf(-1)
			for d, c := range costW {
				if e := a + d; e <= n {
					most = max(most, work[e]-work[a]-c+plain(e))
				}
			}
			return most
		}
		memo := map[int]float64{}
		plain = func(t int) float64 {
			if v, ok := memo[t]; ok {
				return v
			}
			most := 0.0 // no further rep
			for a := t + 1; a <= n; a++ {
				if c, ok := costR[a-t]; ok {
					most = max(most, rest[a]-rest[t]-c+rep(a))
				} else if a-t > rests.longest() {
					most = max(most, rep(a)-beatBreak)
				}
			}
			memo[t] = most
			return most
		}
		want := math.Inf(-1)
		for a := range n + 1 {
			want = max(want, rep(a))
		}
		reps, got := b.beats(work, rest)
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("seed %d: %v gain %.6f, the plain search finds %.6f", seed, reps, got, want)
		}
		sum := 0.0
		for i, x := range reps {
			sum += work[x[1]] - work[x[0]] - costW[x[1]-x[0]]
			if i > 0 {
				if c, ok := costR[x[0]-reps[i-1][1]]; ok {
					sum += rest[x[0]] - rest[reps[i-1][1]] - c
				} else {
					sum -= beatBreak
				}
			}
		}
		if len(reps) > 0 && math.Abs(sum-got) > 1e-9 {
			t.Errorf("seed %d: %v sum to %.6f, not %.6f", seed, reps, sum, got)
		}
	}
}

// TestRhythmStopsAtTheSession: a rhythm finds reps that are hidden, and leaves out what a stop before and after the session has
// in common with a recovery.
func TestRhythmStopsAtTheSession(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	var speed []float64
	stretch := func(n int, mps float64) {
		for range n {
			speed = append(speed, max(0, mps+0.25*rng.NormFloat64()*min(1, mps)))
		}
	}
	stretch(300, 2.8)
	stretch(60, 0)
	stretch(240, 2.8)
	var want [][2]int
	for range 10 {
		want = append(want, [2]int{len(speed), len(speed) + 45})
		stretch(45, 3.5)
		stretch(30, 2.8)
	}
	stretch(200, 2.8)
	stretch(45, 0)
	stretch(200, 2.8)
	j := judgeOf(speed, 0.3)
	b := rhythm{works: []float64{45}, rests: []float64{30}, step: 0.7}
	reps, _ := b.beats(j.gains(b))
	l := j.labelled(reps)
	for _, c := range append(b.rows(l), l) {
		if len(c.works) != len(want) {
			continue
		}
		for i, w := range c.works {
			if math.Abs(float64(w.lo-want[i][0])) > 4 || math.Abs(float64(w.hi-want[i][1])) > 4 {
				t.Errorf("rep %d at %d to %d, run %d to %d", i+1, w.lo, w.hi, want[i][0], want[i][1])
			}
		}
		return
	}
	t.Errorf("of %d reps none of the rows is the session: %v", len(want), reps)
}

// TestRepeated: lengths that come more than once, each once.
func TestRepeated(t *testing.T) {
	got := repeated([]float64{128, 41, 30, 129, 42, 90, 127, 40})
	if want := []float64{41, 128}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestFaintRhythm: of twenty reps the first six show a third of the step, as reps do where positions are poor. They are found
// by half of the step, but not by all of it.
func TestFaintRhythm(t *testing.T) {
	speed := slices.Repeat([]float64{2.8}, 1800)
	for i := range 20 {
		for c := range 30 {
			speed[300+60*i+c] += 1.2
			if i < 6 {
				speed[300+60*i+c] -= 0.8
			}
		}
	}
	j := judgeOf(speed, 0.3)
	found := func(step float64) (n int) {
		b := rhythm{works: []float64{30}, rests: []float64{30}, step: step}
		reps, _ := b.beats(j.gains(b))
		for i := range 6 {
			if slices.ContainsFunc(reps, func(x [2]int) bool { return max(x[0]-300-60*i, 300+60*i-x[0]) <= 5 }) {
				n++
			}
		}
		return n
	}
	if whole, half := found(1.2), found(0.6); whole > 1 || half != 6 {
		t.Errorf("of six faint reps %d are found by the whole step, want 1 at most, beside clear ones; %d by half of it, want all", whole, half)
	}
}
