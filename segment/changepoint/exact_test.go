package changepoint

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// tabulate computes the cost of every piece beforehand.
func tabulate(c *L2) [][]float64 {
	n := c.Len()
	all := make([][]float64, n)
	for i := range all {
		all[i] = make([]float64, n+1)
		for j := i + 1; j <= n; j++ {
			all[i][j] = c.Of(i, j)
		}
	}
	return all
}

// slowSearch is the slow twin of Search: every start for every end, nothing pruned.
// It gives the changes and the sum of costs without the penalties.
func slowSearch(c *L2, penalty float64, minLen int) ([]int, float64) {
	n, costs := c.Len(), tabulate(c)
	best := slices.Repeat([]float64{math.Inf(1)}, n+1)
	from := make([]int, n+1)
	best[0] = -penalty
	for t := 1; t <= n; t++ {
		for s := 0; s <= t-minLen; s++ {
			if v := best[s] + costs[s][t] + penalty; v < best[t] {
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

// leastSums gives the least sum of costs for each number of changes, +Inf where
// there is no room.
func leastSums(c *L2, maxChanges, minLen int) []float64 {
	n, costs := c.Len(), tabulate(c)
	past := slices.Repeat([]float64{math.Inf(1)}, n+1)
	past[0] = 0
	var sums []float64
	for range maxChanges + 1 {
		now := slices.Repeat([]float64{math.Inf(1)}, n+1)
		for t := 1; t <= n; t++ {
			for s := 0; s <= t-minLen; s++ {
				now[t] = min(now[t], past[s]+costs[s][t])
			}
		}
		sums = append(sums, now[n])
		past = now
	}
	return sums
}

func sumOf(c *L2, changes []int) float64 {
	var sum float64
	i := 0
	for _, j := range append(slices.Clone(changes), c.Len()) {
		sum += c.Of(i, j)
		i = j
	}
	return sum
}

// near allows for the rounding of sums of size scale.
func near(a, b, scale float64) bool { return math.Abs(a-b) <= 1e-11*(1+scale) }

// kinds are series of n samples on a few random levels: with noise, rounded (so
// full of ties), constant, far from zero, with wild samples, and sloping.
var kinds = []struct {
	name  string
	noise func(r *rand.Rand, level float64, t int) float64
	tied  bool
}{
	{"noise", func(r *rand.Rand, level float64, t int) float64 { return level + r.NormFloat64() }, false},
	{"rounded", func(r *rand.Rand, level float64, t int) float64 { return math.Round(level + r.NormFloat64()) }, true},
	{"constant", func(r *rand.Rand, level float64, t int) float64 { return 3.7 }, true},
	{"pieces", func(r *rand.Rand, level float64, t int) float64 { return math.Round(level) }, true},
	{"far", func(r *rand.Rand, level float64, t int) float64 { return 1e4 + level + r.NormFloat64() }, false},
	{"wild", func(r *rand.Rand, level float64, t int) float64 { return level + r.NormFloat64()/r.NormFloat64() }, false},
	{"slope", func(r *rand.Rand, level float64, t int) float64 { return 0.3 * float64(t) }, true},
	{"binary", func(r *rand.Rand, level float64, t int) float64 { return float64(r.IntN(2)) }, true},
}

// TestExact holds the search to its slow twin: 10,000 series, minimum lengths 1 to
// 12, with and without weights.
func TestExact(t *testing.T) {
	cases := 10_000
	if testing.Short() {
		cases = 1_000
	}
	r := rand.New(rand.NewPCG(1, 2))
	for i := range cases {
		n := 1 + r.IntN(45)
		kind := kinds[r.IntN(len(kinds))]
		y := make([]float64, n)
		level := 0.0
		for t := range y {
			if r.IntN(10) == 0 {
				level = 4 * r.NormFloat64()
			}
			y[t] = kind.noise(r, level, t)
		}
		var w []float64
		tied := kind.tied
		switch r.IntN(3) {
		case 1:
			w = make([]float64, n)
			for t := range w {
				w[t] = 0.1 + r.Float64()
			}
		case 2: // some unknown
			w = make([]float64, n)
			for t := range w {
				if w[t] = float64(r.IntN(4)); w[t] == 0 {
					y[t] = math.NaN()
				}
			}
			tied = true // an unknown sample at a change may go either way
		}
		minLen := 1 + r.IntN(12)
		penalty := math.Exp(1 + 2*r.NormFloat64())
		if r.IntN(10) == 0 {
			penalty = 0
		}
		about := func() string {
			return fmt.Sprintf("case %d %s\ny %v\nw %v\npenalty %v minimum length %d\n", i, kind.name, y, w, penalty, minLen)
		}

		l2, err := NewL2(y, w)
		if err != nil {
			t.Fatal(about(), err)
		}
		want, cost := slowSearch(l2, penalty, minLen)
		wantTotal := cost + penalty*float64(len(want))
		got, cost, err := Search(l2, penalty, minLen)
		if err != nil {
			t.Fatal(about(), err)
		}
		fit(t, about, l2, got, cost, minLen)
		if total := cost + penalty*float64(len(got)); !near(total, wantTotal, l2.Of(0, n)) {
			t.Fatalf("%sSearch gives %v = %v, slow twin %v = %v", about(), got, total, want, wantTotal)
		}
		if !tied && !slices.Equal(got, want) {
			t.Fatalf("%sSearch gives %v, slow twin %v", about(), got, want)
		}
		// The cheapest for its own number of changes, too.
		if least := leastSums(l2, len(got), minLen)[len(got)]; n >= minLen && !near(cost, least, l2.Of(0, n)) {
			t.Fatalf("%sSearch gives %v at %v; the cheapest with as many changes costs %v", about(), got, cost, least)
		}
	}
}

// fit checks that a segmentation is allowed and costs what it is said to.
func fit(t *testing.T, about func() string, c *L2, changes []int, cost float64, minLen int) {
	t.Helper()
	for k := 0; k <= len(changes) && len(changes) > 0; k++ {
		i, j := 0, c.Len()
		if k > 0 {
			i = changes[k-1]
		}
		if k < len(changes) {
			j = changes[k]
		}
		if j-i < minLen {
			t.Fatalf("%s%v: segment [%d, %d) is too short", about(), changes, i, j)
		}
	}
	if want := sumOf(c, changes); cost != want {
		t.Fatalf("%s%v costs %v, not %v", about(), changes, want, cost)
	}
}

// TestSearchLong holds the search to its slow twin on longer series.
func TestSearchLong(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{250, 1200} {
		for _, minLen := range []int{1, 10, 45} {
			for _, penalty := range []float64{0.5, 10, 300} {
				y := make([]float64, n)
				level := 0.0
				for t := range y {
					if r.IntN(100) == 0 {
						level = 3 * r.NormFloat64()
					}
					y[t] = level + r.NormFloat64()
				}
				c, err := NewL2(y, nil)
				if err != nil {
					t.Fatal(err)
				}
				got, cost, err := Search(c, penalty, minLen)
				if err != nil {
					t.Fatal(err)
				}
				want, wantCost := slowSearch(c, penalty, minLen)
				a, b := cost+penalty*float64(len(got)), wantCost+penalty*float64(len(want))
				if !near(a, b, b) {
					t.Errorf("n=%d, minimum length %d, penalty %v: Search gives %v = %v, slow twin %v = %v", n, minLen, penalty, got, a, want, b)
				}
			}
		}
	}
}
