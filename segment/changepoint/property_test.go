package changepoint

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A problem is what a search is given.
type problem struct {
	y, w    []float64
	penalty float64
	minLen  int
}

func drawProblem(t *rapid.T) problem {
	n := rapid.IntRange(1, 80).Draw(t, "n")
	p := problem{y: make([]float64, n), w: make([]float64, n)}
	level := 0
	for i := range p.y {
		if rapid.IntRange(0, 7).Draw(t, "step") == 0 {
			level = rapid.IntRange(-20, 20).Draw(t, "level")
		}
		p.y[i] = float64(level) + rapid.Float64Range(-3, 3).Draw(t, "noise")
		p.w[i] = float64(rapid.IntRange(0, 3).Draw(t, "weight"))
	}
	p.penalty = rapid.Float64Range(0, 200).Draw(t, "penalty")
	p.minLen = rapid.IntRange(1, 12).Draw(t, "minimum length")
	return p
}

func (p problem) cost(t *rapid.T) *L2 {
	c, err := NewL2(p.y, p.w)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// optimum is the least sum of costs and penalties.
func (p problem) optimum(t *rapid.T) float64 {
	changes, cost, err := Search(p.cost(t), p.penalty, p.minLen)
	if err != nil {
		t.Fatal(err)
	}
	return cost + p.penalty*float64(len(changes))
}

func (p problem) scale() float64 {
	var sum float64
	for i, v := range p.y {
		sum += p.w[i] * v * v
	}
	return sum
}

func TestReversed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		q := p
		q.y, q.w = slices.Clone(p.y), slices.Clone(p.w)
		slices.Reverse(q.y)
		slices.Reverse(q.w)
		if a, b := p.optimum(t), q.optimum(t); !near(a, b, p.scale()) {
			t.Errorf("optimum %v, backwards %v", a, b)
		}
	})
}

// TestWeightIsCopies: a sample of weight 3 is three equal samples. For given
// levels the sum of costs is linear in how a weight is shared between the segments
// on either side of a cut, so cutting between copies never pays.
func TestWeightIsCopies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		p.minLen = 1
		q := problem{penalty: p.penalty, minLen: p.minLen}
		for i, v := range p.y {
			for range max(1, int(p.w[i])) {
				q.y = append(q.y, v)
				q.w = append(q.w, min(1, p.w[i]))
			}
		}
		if a, b := p.optimum(t), q.optimum(t); !near(a, b, p.scale()) {
			t.Errorf("optimum %v, with copies %v", a, b)
		}
	})
}

// TestShiftAndScale: shifting changes nothing; stretching the values by f stretches
// costs in squared units, and penalties with them, by f^2; weights by f.
func TestShiftAndScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		shift := rapid.Float64Range(-1e3, 1e3).Draw(t, "shift")
		f := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		shifted, stretched, heavier := p, p, p
		shifted.y, stretched.y, heavier.w = slices.Clone(p.y), slices.Clone(p.y), slices.Clone(p.w)
		for i := range p.y {
			shifted.y[i] += shift
			stretched.y[i] *= f
			heavier.w[i] *= f
		}
		stretched.penalty *= f * f
		heavier.penalty *= f
		base := p.optimum(t)
		if b := shifted.optimum(t); !near(base, b, p.scale()+shift*shift) {
			t.Errorf("optimum %v, shifted by %v %v", base, shift, b)
		}
		if b := stretched.optimum(t) / f / f; !near(base, b, p.scale()) {
			t.Errorf("optimum %v, stretched by %v %v", base, f, b)
		}
		if b := heavier.optimum(t) / f; !near(base, b, p.scale()) {
			t.Errorf("optimum %v, weights times %v %v", base, f, b)
		}
	})
}

// TestInputsAreKept: neither the slices given nor the cost change, and asking twice
// gives the same.
func TestInputsAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		y, w := slices.Clone(p.y), slices.Clone(p.w)
		c := p.cost(t)
		first, _, err1 := Search(c, p.penalty, p.minLen)
		again, _, err2 := Search(c, p.penalty, p.minLen)
		if err1 != nil || err2 != nil || !slices.Equal(first, again) {
			t.Errorf("first %v, %v, then %v, %v", first, err1, again, err2)
		}
		if !slices.Equal(p.y, y) || !slices.Equal(p.w, w) {
			t.Errorf("samples or weights have changed")
		}
	})
}
