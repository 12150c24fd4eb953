package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestStepAt holds the place of a step to that of least squares over all places, cell by cell.
func TestStepAt(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 300 {
		speed := make([]float64, 120+rng.IntN(200))
		edge := 40 + rng.IntN(len(speed)-80)
		low, high := 2.5+rng.Float64(), 3.5+rng.Float64()
		if rng.IntN(2) == 0 {
			low, high = high, low
		}
		for i := range speed {
			if speed[i] = low; i >= edge {
				speed[i] = high
			}
			speed[i] += 0.3 * rng.NormFloat64()
		}
		j := judgeOf(speed, 0.3)
		meet := min(max(edge+rng.IntN(31)-15, 10), len(speed)-10)
		a, b := piece{lo: 0, hi: meet}, piece{lo: meet, hi: len(speed)}
		reach := int(min(20, 0.45*a.seconds(), 0.45*b.seconds()))
		best, want, here := math.Inf(1), 0, 0.0
		for at := meet - reach; at <= meet+reach; at++ {
			sum := 0.0
			for i, v := range speed {
				if i < at {
					sum += sq(v - low)
				} else {
					sum += sq(v - high)
				}
			}
			if sum < best-1e-9 {
				best, want = sum, at
			}
			if at == meet {
				here = sum
			}
		}
		if got, less := j.stepAt(a, b, low, high); got != want || math.Abs(less-(here-best)) > 1e-6 {
			t.Fatalf("a step from %.2f to %.2f is placed at %d for %v less, least squares at %d for %v", low, high, got, less, want, here-best)
		}
	}
}

// TestPolished: rough edges find the steps again, and whatever the labels, the stretches still follow each other
// from end to end.
func TestPolished(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		var speed []float64
		var edges []int
		for range 1 + rng.IntN(6) {
			for _, v := range []float64{2.6, 3.6} {
				for range 40 + rng.IntN(100) {
					speed = append(speed, v)
				}
				edges = append(edges, len(speed))
			}
		}
		for range 60 {
			speed = append(speed, 2.6)
		}
		j := judgeOf(speed, 0.1)
		var rough labelling
		last := 0
		for i, e := range edges {
			at := e + rng.IntN(15) - 7
			if p := j.piece(last, at); i == 0 {
				rough.before = p
			} else if i%2 == 1 {
				rough.works = append(rough.works, p)
			} else {
				rough.between = append(rough.between, p)
			}
			last = at
		}
		rough.after = j.piece(last, len(speed))
		got := j.polished(rough)
		at := 0
		check := func(p piece, hi int) {
			if p.lo != at || p.hi != hi {
				t.Fatalf("a stretch from %d to %d, want from %d to %d", p.lo, p.hi, at, hi)
			}
			at = hi
		}
		check(got.before, edges[0])
		for i, w := range got.works {
			check(w, edges[2*i+1])
			if i < len(got.between) {
				check(got.between[i], edges[2*i+2])
			}
		}
		check(got.after, len(speed))
	})
}

// TestPolishedKeepsOrder: labels that fit no step, reps that touch and ends without running keep their order.
func TestPolishedKeepsOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 300 {
		speed := make([]float64, 400)
		for i := range speed {
			speed[i] = 3 + rng.NormFloat64()
		}
		j := judgeOf(speed, 0.3)
		var l labelling
		last := rng.IntN(2) * (10 + rng.IntN(40))
		l.before = j.piece(0, last)
		for i := 0; last < 330; i++ {
			if i > 0 {
				gap := rng.IntN(3) * (8 + rng.IntN(12))
				l.between = append(l.between, j.piece(last, last+gap))
				last += gap
			}
			hi := min(last+8+rng.IntN(60), len(speed))
			l.works = append(l.works, j.piece(last, hi))
			last = hi
		}
		if rng.IntN(2) == 0 {
			last = len(speed)
			l.works[len(l.works)-1] = j.piece(l.works[len(l.works)-1].lo, last)
		}
		l.after = j.piece(last, len(speed))
		got, at := j.polished(l), 0
		follow := func(p piece) {
			if p.lo != at || p.hi < p.lo {
				t.Fatalf("a stretch from %d to %d follows one to %d", p.lo, p.hi, at)
			}
			at = p.hi
		}
		follow(got.before)
		for i, w := range got.works {
			follow(w)
			if w.hi == w.lo {
				t.Fatalf("rep %d has no length", i)
			}
			if i < len(got.between) {
				follow(got.between[i])
				if (got.between[i].hi == got.between[i].lo) != (l.between[i].hi == l.between[i].lo) {
					t.Fatalf("recovery %d came or went", i)
				}
			}
		}
		follow(got.after)
		if at != len(speed) {
			t.Fatalf("all ends at %d of %d", at, len(speed))
		}
	}
}

// sessionOf is the speed of reps of 60 s at 4 m/s with jogs of 40 s at 2.6 m/s between, easy running before and after, with
// noise, and where the reps are.
func sessionOf(rng *rand.Rand, n int, noise float64) (speed []float64, reps [][2]int) {
	run := func(v float64, seconds int) {
		for range seconds {
			speed = append(speed, v+noise*rng.NormFloat64())
		}
	}
	run(3, 200)
	for i := range n {
		if i > 0 {
			run(2.6, 40)
		}
		reps = append(reps, [2]int{len(speed), len(speed) + 60})
		run(4, 60)
	}
	run(3, 200)
	return speed, reps
}

// TestCellwise: a rep that another labelling has left in a recovery is found, and two that it took for one with the jog
// between are told apart; all edges lie within the noise.
func TestCellwise(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 4))
		speed, reps := sessionOf(rng, 6+rng.IntN(6), 0.3)
		j := judgeOf(speed, 0.3)
		rough := slices.Clone(reps)
		k := 1 + rng.IntN(len(reps)-3)
		if seed%2 == 0 {
			rough = slices.Delete(rough, k, k+1)
		} else {
			rough[k][1] = rough[k+1][1]
			rough = slices.Delete(rough, k+1, k+2)
		}
		found := false
		for _, l := range j.cellwise(j.labelled(rough)) {
			same := len(l.works) == len(reps)
			for i, w := range l.works {
				same = same && max(w.lo-reps[i][0], reps[i][0]-w.lo, w.hi-reps[i][1], reps[i][1]-w.hi) <= 3
			}
			found = found || same
		}
		if !found {
			t.Errorf("seed %d: of %v not all of %v are found", seed, rough, reps)
		}
	}
}

// TestAtPresses: edges move to the presses near them, not to others, and stay where there is none; without presses, or
// where all are in place, there is nothing to move.
func TestAtPresses(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	speed, reps := sessionOf(rng, 6, 0.3)
	j := judgeOf(speed, 0.3)
	rough := slices.Clone(reps)
	for i := range rough {
		rough[i][0], rough[i][1] = rough[i][0]-7+rng.IntN(15), rough[i][1]-7+rng.IntN(15)
		j.presses = append(j.presses, float64(reps[i][0])+0.3, float64(reps[i][1])-0.4)
	}
	l := j.labelled(rough)
	if _, ok := (&judge{}).atPresses(l); ok {
		t.Error("edges move to no presses")
	}
	j.presses = slices.Delete(j.presses, 4, 5) // that of the third start
	got, ok := j.atPresses(l)
	want := slices.Clone(reps)
	want[2][0] = rough[2][0]
	for i, w := range got.works {
		if [2]int{w.lo, w.hi} != want[i] {
			t.Errorf("rep %d lies from %d to %d, want %v", i+1, w.lo, w.hi, want[i])
		}
	}
	if again, more := j.atPresses(got); !ok || more || again.key() != got.key() {
		t.Errorf("moved %v, and once more %v", ok, more)
	}
}
