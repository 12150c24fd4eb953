package changepoint

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestOffsetsEqual: quantiles of the place of the maximum of two-sided Brownian
// motion with drift, computed with strucchange 1.5-3 (pargmaxV); Bai 1997 rounds
// them to 7 and 11 for 90 and 95 %.
func TestOffsetsEqual(t *testing.T) {
	for _, c := range []struct{ level, want float64 }{{0.90, 7.687}, {0.95, 11.033}, {0.99, 19.767}} {
		for _, step := range []float64{1, -1, 0.5, -7} {
			for _, variance := range []float64{1, 0.09, 400} {
				low, high, err := Offsets(step, variance, variance, c.level)
				unit := variance / step / step
				if err != nil || math.Abs(high/unit-c.want) > 5e-4 || math.Abs(low+high) > 1e-9*high {
					t.Errorf("step %v, variance %v, level %v: %v to %v units, %v; want ± %v", step, variance, c.level, low/unit, high/unit, err, c.want)
				}
			}
		}
	}
}

// TestBeyondEqual: for equal variances the distribution has a published closed form
// (Yao 1987, Ann. Statist. 15:1321-1328; Bai 1997, appendix B; here from memory):
//
//	P(place <= x) = 1 + sqrt(x/2pi) e^(-x/8) - (x+5)/2 Phi(-sqrt(x)/2) + 3/2 e^x Phi(-3 sqrt(x)/2).
func TestBeyondEqual(t *testing.T) {
	normal := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	for x := 0.0; x < 60; x += 0.25 {
		want := -math.Sqrt(x/2/math.Pi)*math.Exp(-x/8) + (x+5)/2*normal(-math.Sqrt(x)/2) - 1.5*math.Exp(x)*normal(-1.5*math.Sqrt(x))
		if got := beyond(x, 1, 1); math.Abs(got-want) > 1e-12 {
			t.Errorf("P(place > %v) = %v, want %v", x, got, want)
		}
	}
}

// TestBeyondSlow compares the closed form for unequal variances with numerical
// integration of its definition, and StandardError with the second moment.
func TestBeyondSlow(t *testing.T) {
	normal := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	// here and there are variances for a step of 1: drift 1/2 and Brownian
	// variance here per unit, so the maximum has rate 1/here.
	slow := func(x, here, there float64) float64 {
		q, p := math.Sqrt(here*x), x/2
		return simpson(0, 40*here, 20000, func(m float64) float64 {
			passage := normal((-m-p)/q) + math.Exp(-m/here)*normal((-m+p)/q) // by time x
			return (1 - math.Exp(-m/there)) / here * (math.Exp(-m/here) - passage)
		})
	}
	for _, v := range []struct{ here, there float64 }{{1, 1}, {1, 4}, {4, 1}, {0.3, 10}, {10, 0.3}} {
		for _, x := range []float64{0.1, 1, 5, 20} {
			if got, want := beyond(x, v.here, v.there), slow(x, v.here, v.there); math.Abs(got-want) > 1e-8 {
				t.Errorf("variances %v, %v: P(place > %v) = %v, by integration %v", v.here, v.there, x, got, want)
			}
		}
		moment := func(here, there float64) float64 {
			return simpson(0, 30*math.Sqrt(here), 4000, func(r float64) float64 { return 4 * r * r * r * beyond(r*r, here, there) })
		}
		got, err := StandardError(1, v.here, v.there)
		if want := math.Sqrt(moment(v.here, v.there) + moment(v.there, v.here)); err != nil || math.Abs(got/want-1) > 1e-6 {
			t.Errorf("variances %v, %v: standard error %v, %v; by integration %v", v.here, v.there, got, err, want)
		}
	}
	if got, err := StandardError(2, 3, 3); err != nil || math.Abs(got-math.Sqrt(26)*3/4) > 1e-12 {
		t.Errorf("equal variances: standard error %v, %v; want sqrt(26) variance/step^2 (Yao 1987)", got, err)
	}
}

// simpson integrates f over [a, b] in 2n steps.
func simpson(a, b float64, n int, f func(float64) float64) float64 {
	h := (b - a) / float64(2*n)
	sum := f(a) + f(b)
	for i := 1; i < 2*n; i++ {
		sum += f(a+float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}

// TestIntervalCovers counts how often the interval holds the true change, with
// noise of unequal variance, found by Best, and known parameters.
func TestIntervalCovers(t *testing.T) {
	const n, truth, runs, level = 2000, 1000, 1000, 0.9
	r := rand.New(rand.NewPCG(5, 6))
	step, before, after := 0.8, 0.5, 2.0
	hit, squares := 0, 0.0
	for range runs {
		y := make([]float64, n)
		for i := range y {
			if i < truth {
				y[i] = math.Sqrt(before) * r.NormFloat64()
			} else {
				y[i] = step + math.Sqrt(after)*r.NormFloat64()
			}
		}
		c, err := NewL2(y, nil)
		if err != nil {
			t.Fatal(err)
		}
		sets, _, err := Best(c, 1, Options{MinLen: 20})
		if err != nil {
			t.Fatal(err)
		}
		low, high, err := Interval(sets[1][0], step, before, after, level)
		if err != nil {
			t.Fatal(err)
		}
		if low <= truth && truth <= high {
			hit++
		}
		squares += float64((sets[1][0] - truth) * (sets[1][0] - truth))
	}
	// Binomial noise is 0.0095.
	if share := float64(hit) / runs; share < 0.87 || share > 0.93 {
		t.Errorf("the interval of level %v held the truth in %v of %d runs", level, share, runs)
	}
	se, err := StandardError(step, before, after)
	if got := math.Sqrt(squares / runs); err != nil || math.Abs(got/se-1) > 0.15 {
		t.Errorf("root mean squared error %v, StandardError %v, %v", got, se, err)
	}
}

// TestOffsetsLimits: a side without noise has no error, and one with almost none
// hardly any.
func TestOffsetsLimits(t *testing.T) {
	low, high, err := Offsets(1, 0, 1, 0.95)
	if err != nil || high != 0 || low >= 0 {
		t.Errorf("no noise before: %v to %v, %v; the change cannot be later than found", low, high, err)
	}
	if low, high, err = Offsets(1, 0, 0, 0.95); err != nil || low != 0 || high != 0 {
		t.Errorf("no noise: %v to %v, %v", low, high, err)
	}
	near, _, err := Offsets(1, 1e-9, 1, 0.95)
	if err != nil || math.Abs(near/low-1) < 0 || math.IsNaN(near) {
		t.Errorf("hardly any noise before: %v", near)
	}
	previous := 0.0
	for _, level := range []float64{1e-6, 0.5, 0.9, 0.99, 0.9999, 1 - 1e-9} {
		_, high, err := Offsets(1, 1, 1, level)
		if err != nil || !(high > previous) || high > 500 {
			t.Errorf("level %v: %v, %v after %v", level, high, err, previous)
		}
		previous = high
	}
}
