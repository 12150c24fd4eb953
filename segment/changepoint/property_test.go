package changepoint

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A problem is what a search is given.
type problem struct {
	y, w    []float64
	penalty float64
	o       Options
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
	p.o.MinLen = rapid.IntRange(1, 12).Draw(t, "minimum length")
	if rapid.Bool().Draw(t, "positions") {
		p.o.Position = make([]float64, n+1)
		for i := range n {
			p.o.Position[i+1] = p.o.Position[i] + float64(rapid.IntRange(0, 3).Draw(t, "duration"))
		}
		p.o.MinSpan = float64(rapid.IntRange(0, 12).Draw(t, "minimum span"))
	}
	return p
}

// costs are the costs of the package for p.
func (p problem) costs(t *rapid.T) []Cost {
	l2, err := NewL2(p.y, p.w)
	if err != nil {
		t.Fatal(err)
	}
	huber, err := NewHuber(p.y, p.w, 1.5)
	if err != nil {
		t.Fatal(err)
	}
	gaussian, err := NewGaussian(p.y, p.w, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	return []Cost{l2, huber, gaussian}
}

// optimum is the least sum of costs and penalties.
func optimum(t *rapid.T, c Cost, penalty float64, o Options) float64 {
	changes, cost, err := Search(c, penalty, o)
	if err != nil {
		t.Fatal(err)
	}
	return cost + penalty*float64(len(changes))
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
		if p.o.Position != nil {
			q.o.Position = slices.Clone(p.o.Position)
			slices.Reverse(q.o.Position)
			for i := range q.o.Position {
				q.o.Position[i] = -q.o.Position[i]
			}
		}
		there, back := p.costs(t), q.costs(t)
		for i, c := range there {
			if a, b := optimum(t, c, p.penalty, p.o), optimum(t, back[i], p.penalty, q.o); !near(a, b, p.scale()) {
				t.Errorf("%T: optimum %v, backwards %v", c, a, b)
			}
		}
	})
}

// TestWeightIsCopies: a sample of weight 3 is three equal samples. For given
// levels the sum of costs is linear in how a weight is shared between the segments
// on either side of a cut, so cutting between copies never pays.
func TestWeightIsCopies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		p.o = Options{MinLen: 1}
		q := problem{penalty: p.penalty, o: p.o}
		for i, v := range p.y {
			for range max(1, int(p.w[i])) {
				q.y = append(q.y, v)
				q.w = append(q.w, min(1, p.w[i]))
			}
		}
		once, copied := p.costs(t), q.costs(t)
		for i, c := range once {
			if a, b := optimum(t, c, p.penalty, p.o), optimum(t, copied[i], p.penalty, p.o); !near(a, b, p.scale()) {
				t.Errorf("%T: optimum %v, with copies %v", c, a, b)
			}
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
		base := p.costs(t)
		for i, c := range shifted.costs(t) {
			if a, b := optimum(t, base[i], p.penalty, p.o), optimum(t, c, p.penalty, p.o); !near(a, b, p.scale()+shift*shift) {
				t.Errorf("%T: optimum %v, shifted by %v %v", c, a, shift, b)
			}
		}
		l2 := optimum(t, base[0], p.penalty, p.o)
		if b := optimum(t, stretched.costs(t)[0], p.penalty*f*f, p.o) / f / f; !near(l2, b, p.scale()) {
			t.Errorf("optimum %v, stretched by %v %v", l2, f, b)
		}
		for i, c := range heavier.costs(t) {
			if a, b := optimum(t, base[i], p.penalty, p.o), optimum(t, c, p.penalty*f, p.o)/f; !near(a, b, p.scale()) {
				t.Errorf("%T: optimum %v, weights times %v %v", c, a, f, b)
			}
		}
	})
}

// TestHuberIsL2: without a residual beyond k the two costs are the same.
func TestHuberIsL2(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		huber, err := NewHuber(p.y, p.w, 100)
		if err != nil {
			t.Fatal(err)
		}
		a, b := optimum(t, p.costs(t)[0], p.penalty, p.o), optimum(t, huber, p.penalty, p.o)
		if !near(a, b, p.scale()) {
			t.Errorf("optimum with L2 %v, with Huber %v", a, b)
		}
	})
}

// TestCuttingNeverCosts is what pruning by inequality rests on.
func TestCuttingNeverCosts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		n := len(p.y)
		if n < 2 {
			return
		}
		i := rapid.IntRange(0, n-2).Draw(t, "i")
		k := rapid.IntRange(i+1, n-1).Draw(t, "k")
		j := rapid.IntRange(k+1, n).Draw(t, "j")
		for _, c := range p.costs(t) {
			if cut, whole := c.Of(i, k)+c.Of(k, j), c.Of(i, j); cut > whole+1e-11*(1+p.scale()) {
				t.Errorf("%T: [%d, %d) costs %v, cut at %d %v", c, i, j, whole, k, cut)
			}
		}
	})
}

func TestPathAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		high := p.penalty + rapid.Float64Range(0, 500).Draw(t, "range")
		for _, c := range p.costs(t) {
			path, err := Path(c, p.penalty, high, p.o)
			if err != nil {
				t.Fatal(err)
			}
			if path[0].Low != p.penalty || path[len(path)-1].High != high {
				t.Errorf("%T: path covers %v to %v, want %v to %v", c, path[0].Low, path[len(path)-1].High, p.penalty, high)
			}
			sets, sums, err := Best(c, len(path[0].Changes), p.o)
			if err != nil {
				t.Fatal(err)
			}
			for i, s := range path {
				if s.Low > s.High || i > 0 && (s.Low != path[i-1].High || len(s.Changes) >= len(path[i-1].Changes)) {
					t.Errorf("%T: solution %d of %+v is out of order", c, i, path)
				}
				k := len(s.Changes)
				if len(sets[k]) != k || !near(s.Cost, sums[k], p.scale()) {
					t.Errorf("%T: path has cost %v for %d changes, Best %v", c, s.Cost, k, sums[k])
				}
				for _, at := range []float64{s.Low, (s.Low + s.High) / 2, s.High} {
					if a, b := s.Cost+at*float64(k), optimum(t, c, at, p.o); !near(a, b, p.scale()+at) {
						t.Errorf("%T: at penalty %v path has %v, Search %v", c, at, a, b)
					}
				}
			}
		}
	})
}

func TestBestAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		for _, c := range p.costs(t) {
			_, sums, err := Best(c, len(p.y), p.o)
			if err != nil {
				t.Fatal(err)
			}
			least := math.Inf(1)
			for k, sum := range sums {
				least = min(least, sum+p.penalty*float64(k))
				if k > 0 && sum > sums[k-1]+1e-11*(1+p.scale()) && p.o.MinLen == 1 && p.o.MinSpan == 0 {
					t.Errorf("%T: %d changes cost %v, %d %v", c, k, sum, k-1, sums[k-1])
				}
			}
			if got := optimum(t, c, p.penalty, p.o); !near(got, least, p.scale()) {
				t.Errorf("%T: Search reaches %v, Best %v", c, got, least)
			}
		}
	})
}

// TestInputsAreKept: neither the slices given nor the cost change, and asking twice
// gives the same.
func TestInputsAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		y, w := slices.Clone(p.y), slices.Clone(p.w)
		for _, c := range p.costs(t) {
			first, _, err1 := Search(c, p.penalty, p.o)
			again, _, err2 := Search(c, p.penalty, p.o)
			if err1 != nil || err2 != nil || !slices.Equal(first, again) {
				t.Errorf("%T: first %v, %v, then %v, %v", c, first, err1, again, err2)
			}
		}
		DifferenceSigma(p.y)
		BlockVariance(p.y, 2)
		LongRunVariance(p.y)
		if !slices.Equal(p.y, y) || !slices.Equal(p.w, w) {
			t.Errorf("samples or weights have changed")
		}
	})
}
