package changepoint

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// slow is the textbook dynamic programme: every allowed start for every end.
func slow(c Cost, penalty float64, o Options) ([]int, float64) {
	n := c.Len()
	ok := func(i, j int) bool {
		return j-i >= o.MinLen && (o.Position == nil || o.Position[j]-o.Position[i] >= o.MinSpan)
	}
	if !ok(0, n) {
		return []int{}, c.Of(0, n)
	}
	best := slices.Repeat([]float64{math.Inf(1)}, n+1)
	from := make([]int, n+1)
	best[0] = -penalty
	for t := 1; t <= n; t++ {
		for s := 0; s < t; s++ {
			if v := best[s] + c.Of(s, t) + penalty; ok(s, t) && v < best[t] {
				best[t], from[t] = v, s
			}
		}
	}
	changes := []int{}
	for t := from[n]; t > 0; t = from[t] {
		changes = append(changes, t)
	}
	slices.Reverse(changes)
	return changes, sumOf(c, changes)
}

func sumOf(c Cost, changes []int) float64 {
	var sum float64
	i := 0
	for _, j := range append(slices.Clone(changes), c.Len()) {
		sum += c.Of(i, j)
		i = j
	}
	return sum
}

func TestSearchEqualsSlow(t *testing.T) {
	cases := 10000
	if testing.Short() {
		cases = 500
	}
	r := rand.New(rand.NewPCG(1, 2))
	for i := range cases {
		n := 1 + r.IntN(60)
		y := make([]float64, n)
		level := 0.0
		kind := r.IntN(4)
		for j := range y {
			if r.IntN(10) == 0 {
				level = 4 * r.NormFloat64()
			}
			y[j] = level + r.NormFloat64()
			switch kind {
			case 1:
				y[j] = math.Round(y[j])
			case 2:
				y[j] = math.Round(level)
			case 3:
				y[j] = y[j]/100 + 1e4
			}
		}
		var w []float64
		if r.IntN(2) == 0 {
			w = make([]float64, n)
			for j := range w {
				w[j] = float64(r.IntN(4))
			}
		}
		o := Options{MinLen: 1 + r.IntN(12)}
		l2, _ := NewL2(y, w)
		hub, _ := NewHuber(y, w, 1)
		ga, _ := NewGaussian(y, w, 0.3)
		pen := math.Exp(r.NormFloat64()*2 + 1)
		for _, c := range []Cost{l2, hub, ga, struct{ Cost }{l2}} {
			got, cost, err := Search(c, pen, o)
			if err != nil {
				t.Fatal(err)
			}
			want, wcost := slow(c, pen, o)
			a, b := cost+pen*float64(len(got)), wcost+pen*float64(len(want))
			if math.Abs(a-b) > 1e-9*(1+math.Abs(b)) {
				t.Fatalf("case %d %T: y %v w %v pen %v o %v: got %v %v want %v %v", i, c, y, w, pen, o, got, a, want, b)
			}
		}
	}
}
