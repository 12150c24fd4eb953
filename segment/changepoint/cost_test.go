package changepoint

import (
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// TestCost compares the cost of a piece with its definition, evaluated by gonum.
func TestCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		n := len(p.y)
		i := rapid.IntRange(0, n-1).Draw(t, "i")
		j := rapid.IntRange(i+1, n).Draw(t, "j")
		y, w, c := p.y[i:j], p.w[i:j], p.cost(t)
		total := floats.Sum(w)
		if total == 0 {
			if got := c.Of(i, j); got != 0 {
				t.Errorf("cost of unknown samples is %v", got)
			}
			return
		}
		mean := stat.Mean(y, w)
		rss := stat.MomentAbout(2, y, mean, w) * total
		if got := c.Of(i, j); !near(got, rss, p.scale()) || !near(c.Mean(i, j), mean, 20) {
			t.Errorf("cost %v, mean %v; want %v, %v", got, c.Mean(i, j), rss, mean)
		}
	})
}

// TestFarFromZero: a level far from zero costs no accuracy. By hand: mean 1e9 + 2,
// squares 1, 0 and 1.
func TestFarFromZero(t *testing.T) {
	c, err := NewL2([]float64{1e9 + 1, 1e9 + 2, 1e9 + 3, 1e9 + 40}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got, mean := c.Of(0, 3), c.Mean(0, 3); got != 2 || mean != 1e9+2 {
		t.Errorf("cost %v about %v, want 2 about 1e9 + 2", got, mean)
	}
}
