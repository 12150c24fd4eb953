package changepoint

import (
	"math"
	"strings"
	"testing"
)

// bad is a cost that makes no sense for one piece.
type bad struct {
	n int
	v float64
}

func (c bad) Len() int { return c.n }
func (c bad) Of(i, j int) float64 {
	if j-i == 2 {
		return c.v
	}
	return 1
}

func TestErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	y := []float64{1, 2, 3, 4}
	good, err := NewL2(y, nil)
	if err != nil {
		t.Fatal(err)
	}
	one := Options{MinLen: 1}
	l2 := func(y, w []float64) error { _, err := NewL2(y, w); return err }
	huber := func(y, w []float64, k float64) error { _, err := NewHuber(y, w, k); return err }
	gaussian := func(y, w []float64, floor float64) error { _, err := NewGaussian(y, w, floor); return err }
	search := func(c Cost, penalty float64, o Options) error { _, _, err := Search(c, penalty, o); return err }
	best := func(c Cost, most int, o Options) error { _, _, err := Best(c, most, o); return err }
	path := func(c Cost, low, high float64, o Options) error { _, err := Path(c, low, high, o); return err }
	interval := func(step, before, after, level float64) error {
		_, _, err := Interval(1, step, before, after, level)
		return err
	}
	standard := func(step, before, after float64) error { _, err := StandardError(step, before, after); return err }
	f := func(a [][]int, p []int, margin int) error { _, err := FMeasure(a, p, margin); return err }
	cover := func(a [][]int, p []int, n int) error { _, err := Covering(a, p, n); return err }
	for _, c := range []struct {
		err  error
		want string
	}{
		{l2(nil, nil), "no samples"},
		{l2(y, y[:3]), "3 weights for 4 samples; give one each, or nil for all ones"},
		{l2([]float64{1, nan}, nil), "sample 1 is NaN; give an unknown sample the weight 0"},
		{l2([]float64{-inf}, nil), "sample 0 is -Inf"},
		{l2(y, []float64{1, 1, -1, 1}), "weight 2 is -1; weights must be finite and not negative"},
		{l2(y, []float64{nan, 1, 1, 1}), "weight 0 is NaN"},
		{l2(y, []float64{inf, 1, 1, 1}), "weight 0 is +Inf"},
		{l2(y, []float64{1e-7, 1, 0, 1e3}), "weights from 1e-07 to 1000 cannot be added up; those above 0 must be within a factor of 1e+09"},
		{l2([]float64{1e200, -1e200}, nil), "too large to add up"},
		{l2([]float64{1, 2}, []float64{1e308, 1e308}), "too large to add up"},
		{huber(y, nil, 0), "Huber threshold is 0; it must be positive and finite"},
		{huber(y, nil, nan), "Huber threshold is NaN"},
		{huber(y, y[:1], 1), "1 weights for 4 samples"},
		{huber([]float64{1e200, -1e200}, nil, 1), "too large to add up"},
		{huber([]float64{1, 2}, nil, 1e200), "too large to add up"},
		{gaussian(y, nil, 0), "least standard deviation is 0; it must be positive and finite"},
		{gaussian(y, nil, -1), "least standard deviation is -1"},
		{gaussian(y, nil, 1e-200), "least standard deviation is 1e-200"},
		{gaussian(nil, nil, 1), "no samples"},
		{search(good, -1, one), "penalty is -1; it must be finite and not negative"},
		{search(good, nan, one), "penalty is NaN"},
		{search(good, inf, one), "penalty is +Inf"},
		{search(good, 1, Options{}), "minimum length is 0; it must be 1 or more"},
		{search(good, 1, Options{MinLen: 1, MinSpan: 2}), "a minimum span of 2 needs the positions"},
		{search(good, 1, Options{MinLen: 1, MinSpan: nan}), "minimum span is NaN"},
		{search(good, 1, Options{MinLen: 1, MinSpan: -1}), "minimum span is -1"},
		{search(good, 1, Options{MinLen: 1, Position: y}), "4 positions for 4 samples; give 5 borders"},
		{search(good, 1, Options{MinLen: 1, Position: []float64{0, 1, 2, 1, 4}}), "position 3 is 1, before 2; borders must not go back"},
		{search(good, 1, Options{MinLen: 1, Position: []float64{0, 1, nan, 1, 4}}), "position 2 is NaN"},
		{search(bad{0, 1}, 1, one), "no samples"},
		{search(bad{4, nan}, 1, one), "the cost of [0, 2) is NaN"},
		{search(bad{4, -inf}, 1, one), "the cost of [0, 2) is -Inf"},
		{search(nil, 1, one), "no cost"},
		{best(good, -1, one), "greatest number of changes is -1"},
		{best(good, 1, Options{}), "minimum length is 0"},
		{best(bad{4, nan}, 1, one), "the cost of [0, 2) is NaN"},
		{best(bad{2, nan}, 1, Options{MinLen: 3}), "the cost of [0, 2) is NaN"},
		{best(nil, 1, one), "no cost"},
		{path(good, 2, 1, one), "penalties from 2 to 1; the lower comes first"},
		{path(good, -2, 1, one), "penalty is -2"},
		{path(good, 1, inf, one), "penalty is +Inf"},
		{path(good, 1, 2, Options{}), "minimum length is 0"},
		{path(bad{4, nan}, 1, 2, one), "the cost of [0, 2) is NaN"},
		{path(nil, 1, 2, one), "no cost"},
		{interval(0, 1, 1, 0.9), "step is 0; it must be finite and not 0"},
		{interval(nan, 1, 1, 0.9), "step is NaN"},
		{interval(1, -1, 1, 0.9), "variance is -1; it must be finite and not negative"},
		{interval(1, 1, inf, 0.9), "variance is +Inf"},
		{interval(1, 1, 1, 0), "level is 0; it must lie between 0 and 1"},
		{interval(1, 1, 1, 1), "level is 1"},
		{interval(1e-12, 1, 1, 0.9), "wider than can be counted"},
		{standard(0, 1, 1), "step is 0"},
		{standard(1, nan, 1), "variance is NaN"},
		{f(nil, nil, 5), "no annotators to score against"},
		{f([][]int{{}}, nil, -1), "margin is -1; it must not be negative"},
		{cover(nil, nil, 5), "no annotators to score against"},
		{cover([][]int{{}}, nil, 0), "no samples"},
		{cover([][]int{{5}}, nil, 5), "change at 5 in a series of 5 samples"},
		{cover([][]int{{}}, []int{-1}, 5), "change at -1 in a series of 5 samples"},
	} {
		if c.err == nil || !strings.HasPrefix(c.err.Error(), "changepoint: ") || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", c.err, c.want)
		}
	}
}

// TestSmall are the smallest inputs that are right.
func TestSmall(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name    string
		y, w    []float64
		o       Options
		changes int
	}{
		{"one sample", []float64{5}, nil, Options{MinLen: 1}, 0},
		{"shorter than the minimum", []float64{5, 9, 0}, nil, Options{MinLen: 4}, 0},
		{"narrower than the minimum", []float64{5, 9}, nil, Options{MinLen: 1, Position: []float64{0, 1, 2}, MinSpan: 3}, 0},
		{"nothing known", []float64{nan, nan}, []float64{0, 0}, Options{MinLen: 1}, 0},
		{"two samples", []float64{5, 9}, nil, Options{MinLen: 1}, 1},
		{"next to no difference", []float64{0, 1e-160, 0}, nil, Options{MinLen: 1}, 0},
		{"a gap", []float64{5, nan, nan, 9}, []float64{1, 0, 0, 1}, Options{MinLen: 2}, 1},
		{"an empty place", []float64{5, 9}, nil, Options{MinLen: 1, Position: []float64{0, 0, 0}}, 1},
	} {
		l2, err := NewL2(c.y, c.w)
		if err != nil {
			t.Fatal(err)
		}
		huber, err := NewHuber(c.y, c.w, 10)
		if err != nil {
			t.Fatal(err)
		}
		for _, cost := range []Cost{l2, huber, tabulate(l2)} {
			changes, sum, err := Search(cost, 1, c.o)
			want := 0.0
			if c.changes == 0 {
				want = cost.Of(0, cost.Len())
			}
			if err != nil || changes == nil || len(changes) != c.changes || sum != want {
				t.Errorf("%s, %T: %v costs %v, %v; want %d changes and cost %v", c.name, cost, changes, sum, err, c.changes, want)
			}
			sets, _, err := Best(cost, 5, c.o)
			if err != nil || len(sets) == 0 || sets[0] == nil || len(sets[0]) != 0 {
				t.Errorf("%s, %T: Best gives %v, %v", c.name, cost, sets, err)
			}
		}
	}
	l2, err := NewL2([]float64{nan}, []float64{0})
	if err != nil || !math.IsNaN(l2.Mean(0, 1)) || l2.Of(0, 1) != 0 {
		t.Errorf("unknown sample: mean %v, cost %v, %v; want NaN and 0", l2.Mean(0, 1), l2.Of(0, 1), err)
	}
}
