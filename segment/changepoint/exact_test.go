package changepoint

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A table is a Cost with all pieces computed beforehand; the searches know
// nothing of it, so it gets pruning by inequality.
type table [][]float64

func tabulate(c Cost) table {
	n := c.Len()
	all := make(table, n)
	for i := range all {
		all[i] = make([]float64, n+1)
		for j := i + 1; j <= n; j++ {
			all[i][j] = c.Of(i, j)
		}
	}
	return all
}

func (c table) Len() int            { return len(c) }
func (c table) Of(i, j int) float64 { return c[i][j] }

// allowed is the definition of the minimum length.
func allowed(o Options, i, j int) bool {
	return j-i >= o.MinLen && (o.Position == nil || o.Position[j]-o.Position[i] >= o.MinSpan)
}

// slowSearch is the slow twin of Search: every start for every end, nothing pruned.
func slowSearch(c table, penalty float64, o Options) ([]int, float64) {
	n := c.Len()
	best := slices.Repeat([]float64{math.Inf(1)}, n+1)
	from := make([]int, n+1)
	best[0] = -penalty
	for t := 1; t <= n; t++ {
		for s := range t {
			if v := best[s] + c[s][t] + penalty; allowed(o, s, t) && v < best[t] {
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

// slowBest is the slow twin of Best. Sums are +Inf where there is no room.
func slowBest(c table, maxChanges int, o Options) []float64 {
	n := c.Len()
	past := slices.Repeat([]float64{math.Inf(1)}, n+1)
	past[0] = 0
	var sums []float64
	for range maxChanges + 1 {
		now := slices.Repeat([]float64{math.Inf(1)}, n+1)
		for t := 1; t <= n; t++ {
			for s := range t {
				if allowed(o, s, t) {
					now[t] = min(now[t], past[s]+c[s][t])
				}
			}
		}
		sums = append(sums, now[n])
		past = now
	}
	return sums
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

// TestExact holds all searches to their slow twins: 10,000 series, minimum
// lengths 1 to 12, with and without weights and positions, all costs.
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
		o := Options{MinLen: 1 + r.IntN(12)}
		if r.IntN(3) == 0 {
			o.MinSpan = float64(r.IntN(12))
			o.Position = make([]float64, n+1)
			for t := range n {
				o.Position[t+1] = o.Position[t] + float64(r.IntN(4))
			}
		}
		penalty := math.Exp(1 + 2*r.NormFloat64())
		if r.IntN(10) == 0 {
			penalty = 0
		}
		about := func() string {
			return fmt.Sprintf("case %d %s\ny %v\nw %v\npenalty %v options %+v\n", i, kind.name, y, w, penalty, o)
		}

		l2, err := NewL2(y, w)
		if err != nil {
			t.Fatal(about(), err)
		}
		huber, err := NewHuber(y, w, 0.8)
		if err != nil {
			t.Fatal(about(), err)
		}
		gaussian, err := NewGaussian(y, w, 0.3)
		if err != nil {
			t.Fatal(about(), err)
		}
		// Huber's loss has ties everywhere: two wild samples, one above and one
		// below, can go to either side of a change.
		exact(t, about, l2, penalty, o, tied)
		exact(t, about, gaussian, penalty, o, tied)
		exact(t, about, huber, penalty, o, true)
	}
}

// exact compares the searches with their twins, for c and for the table of c, which
// gets the searches for any cost.
func exact(t *testing.T, about func() string, c Cost, penalty float64, o Options, tied bool) {
	t.Helper()
	const most = 4
	all := tabulate(c)
	scale := math.Abs(c.Of(0, c.Len()))
	want, cost := slowSearch(all, penalty, o)
	wantTotal := cost + penalty*float64(len(want))
	wantSums := slowBest(all, most, o)
	for _, c := range []Cost{c, all} {
		got, cost, err := Search(c, penalty, o)
		if err != nil {
			t.Fatalf("%s%T: %v", about(), c, err)
		}
		fit(t, about, c, got, cost, o)
		if total := cost + penalty*float64(len(got)); !near(total, wantTotal, scale) {
			t.Fatalf("%s%T: Search gives %v = %v, slow twin %v = %v", about(), c, got, total, want, wantTotal)
		}
		if !tied && !slices.Equal(got, want) {
			t.Fatalf("%s%T: Search gives %v, slow twin %v", about(), c, got, want)
		}

		sets, sums, err := Best(c, most, o)
		if err != nil {
			t.Fatalf("%s%T: %v", about(), c, err)
		}
		for k, want := range wantSums {
			room := k == 0 || !math.IsInf(want, 1)
			if room != (k < len(sets)) {
				t.Fatalf("%s%T: Best gives %v; room for %d changes: %v", about(), c, sets, k, room)
			}
			if !room {
				break
			}
			if len(sets[k]) != k {
				t.Fatalf("%s%T: Best gives %v, wrong number of changes", about(), c, sets)
			}
			fit(t, about, c, sets[k], sums[k], o)
			if !math.IsInf(want, 1) && !near(sums[k], want, scale) {
				t.Fatalf("%s%T: Best gives %v = %v, slow twin %v", about(), c, sets[k], sums[k], want)
			}
		}
	}
}

// fit checks that a segmentation is allowed and costs what it is said to.
func fit(t *testing.T, about func() string, c Cost, changes []int, cost float64, o Options) {
	t.Helper()
	for k := 0; k <= len(changes) && len(changes) > 0; k++ {
		i, j := 0, c.Len()
		if k > 0 {
			i = changes[k-1]
		}
		if k < len(changes) {
			j = changes[k]
		}
		if !allowed(o, i, j) {
			t.Fatalf("%s%T: %v: segment [%d, %d) is too short", about(), c, changes, i, j)
		}
	}
	if want := sumOf(c, changes); cost != want {
		t.Fatalf("%s%T: %v costs %v, not %v", about(), c, changes, want, cost)
	}
}

// TestSearchLong compares the two kinds of pruning on series too long for the
// slow twins.
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
				l2, err := NewL2(y, nil)
				if err != nil {
					t.Fatal(err)
				}
				huber, err := NewHuber(y, nil, 1.345)
				if err != nil {
					t.Fatal(err)
				}
				for _, c := range []Cost{l2, huber} {
					if _, ok := c.(*Huber); ok && n > 250 {
						continue // its slow cost takes too long
					}
					o := Options{MinLen: minLen}
					got, _, err := Search(c, penalty, o)
					if err != nil {
						t.Fatal(err)
					}
					want, _, err := Search(tabulate(c), penalty, o)
					if err != nil {
						t.Fatal(err)
					}
					a, b := sumOf(c, got)+penalty*float64(len(got)), sumOf(c, want)+penalty*float64(len(want))
					if !near(a, b, b) {
						t.Errorf("%T n=%d, minimum length %d, penalty %v: functional pruning gives %v = %v, by inequality %v = %v", c, n, minLen, penalty, got, a, want, b)
					}
				}
			}
		}
	}
}

// atMost forbids long segments.
type atMost struct {
	Cost
	longest int
}

func (c atMost) Of(i, j int) float64 {
	if j-i > c.longest {
		return math.Inf(1)
	}
	return c.Cost.Of(i, j)
}

// TestForbidden uses a cost that is +Inf for some pieces.
func TestForbidden(t *testing.T) {
	l2, err := NewL2(make([]float64, 10), nil)
	if err != nil {
		t.Fatal(err)
	}
	c := atMost{l2, 4}
	changes, cost, err := Search(c, 1, Options{MinLen: 2})
	if err != nil || len(changes) != 2 || cost != 0 {
		t.Errorf("Search gives %v, %v, %v; want two changes at no cost", changes, cost, err)
	}
	sets, sums, err := Best(c, 9, Options{MinLen: 2})
	if err != nil || len(sets) != 5 {
		t.Fatalf("Best gives %v, %v; want 0 to 4 changes", sets, err)
	}
	for k, want := range []float64{math.Inf(1), math.Inf(1), 0, 0, 0} {
		if sums[k] != want || (sets[k] == nil) != (want != 0) {
			t.Errorf("%d changes: Best gives %v = %v, want %v", k, sets[k], sums[k], want)
		}
	}
	if _, cost, err := Search(atMost{l2, 1}, 1, Options{MinLen: 2}); err != nil || !math.IsInf(cost, 1) {
		t.Errorf("all forbidden: Search gives %v, %v; want +Inf", cost, err)
	}
}
