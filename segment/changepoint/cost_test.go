package changepoint

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// TestCosts compares each cost of a piece with its definition, evaluated by gonum:
// variance, normal log-likelihood, minimisation.
func TestCosts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		n := len(p.y)
		i := rapid.IntRange(0, n-1).Draw(t, "i")
		j := rapid.IntRange(i+1, n).Draw(t, "j")
		y, w := p.y[i:j], p.w[i:j]
		total := floats.Sum(w)
		if total == 0 {
			for _, c := range p.costs(t) {
				if got := c.Of(i, j); got != 0 {
					t.Errorf("%T of unknown samples is %v", c, got)
				}
			}
			return
		}
		mean := stat.Mean(y, w)
		rss := stat.MomentAbout(2, y, mean, w) * total

		l2, err := NewL2(p.y, p.w)
		if err != nil {
			t.Fatal(err)
		}
		if got := l2.Of(i, j); !near(got, rss, p.scale()) || !near(l2.Mean(i, j), mean, 20) {
			t.Errorf("L2: cost %v, mean %v; want %v, %v", got, l2.Mean(i, j), rss, mean)
		}

		const floor = 0.5
		gaussian, err := NewGaussian(p.y, p.w, floor)
		if err != nil {
			t.Fatal(err)
		}
		normal := distuv.Normal{Mu: mean, Sigma: max(floor, math.Sqrt(rss/total))}
		var want float64
		for k := range y {
			want -= 2 * w[k] * normal.LogProb(y[k])
		}
		if got := gaussian.Of(i, j); !near(got, want, p.scale()/floor/floor) {
			t.Errorf("Gaussian: cost %v, want %v", got, want)
		}

		const k = 1.5
		huber, err := NewHuber(p.y, p.w, k)
		if err != nil {
			t.Fatal(err)
		}
		loss := func(u float64) float64 {
			var sum float64
			for k2 := range y {
				if r := math.Abs(y[k2] - u); r <= k {
					sum += w[k2] * r * r
				} else {
					sum += w[k2] * (2*k*r - k*k)
				}
			}
			return sum
		}
		least, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { return loss(x[0]) }},
			[]float64{mean}, nil, &optimize.NelderMead{})
		if err != nil {
			t.Fatal(err)
		}
		if got := huber.Of(i, j); got > least.F+1e-9*(1+least.F) || !near(got, loss(huber.Level(i, j)), p.scale()) || got < least.F-1e-6*(1+least.F) {
			t.Errorf("Huber: cost %v at %v, by minimisation %v at %v", got, huber.Level(i, j), least.F, least.X)
		}
	})
}

// TestFarFromZero: a level far from zero costs no accuracy.
func TestFarFromZero(t *testing.T) {
	y := []float64{1e9 + 1, 1e9 + 2, 1e9 + 3, 1e9 + 40}
	l2, err := NewL2(y, nil)
	if err != nil {
		t.Fatal(err)
	}
	huber, err := NewHuber(y, nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: mean 1e9 + 2; Huber's level where (1-u) capped at -1, (2-u), (3-u)
	// and 1 add up to nothing: u = 2.5, losses 2*1.5-1, 0.25, 0.25 and 2*37.5-1.
	if got := l2.Of(0, 3); got != 2 {
		t.Errorf("L2 %v, want 2", got)
	}
	if got := huber.Of(0, 4); got != 76.5 || huber.Level(0, 4) != 1e9+2.5 {
		t.Errorf("Huber %v at %v, want 76.5 at 1e9 + 2.5", got, huber.Level(0, 4))
	}
}
