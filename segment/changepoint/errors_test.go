package changepoint

import (
	"math"
	"strings"
	"testing"
)

func TestErrors(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	y := []float64{1, 2, 3, 4}
	good, err := NewL2(y, nil)
	if err != nil {
		t.Fatal(err)
	}
	l2 := func(y, w []float64) error { _, err := NewL2(y, w); return err }
	search := func(c *L2, penalty float64, minLen int) error { _, _, err := Search(c, penalty, minLen); return err }
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
		{search(good, -1, 1), "penalty is -1; it must be finite and not negative"},
		{search(good, nan, 1), "penalty is NaN"},
		{search(good, inf, 1), "penalty is +Inf"},
		{search(good, 1, 0), "minimum length is 0; it must be 1 or more"},
		{search(nil, 1, 1), "no cost"},
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
		minLen  int
		changes int
	}{
		{"one sample", []float64{5}, nil, 1, 0},
		{"shorter than the minimum", []float64{5, 9, 0}, nil, 4, 0},
		{"nothing known", []float64{nan, nan}, []float64{0, 0}, 1, 0},
		{"two samples", []float64{5, 9}, nil, 1, 1},
		{"next to no difference", []float64{0, 1e-160, 0}, nil, 1, 0},
		{"a gap", []float64{5, nan, nan, 9}, []float64{1, 0, 0, 1}, 2, 1},
	} {
		cost, err := NewL2(c.y, c.w)
		if err != nil {
			t.Fatal(err)
		}
		changes, sum, err := Search(cost, 1, c.minLen)
		want := 0.0
		if c.changes == 0 {
			want = cost.Of(0, cost.Len())
		}
		if err != nil || changes == nil || len(changes) != c.changes || sum != want {
			t.Errorf("%s: %v costs %v, %v; want %d changes and cost %v", c.name, changes, sum, err, c.changes, want)
		}
	}
	l2, err := NewL2([]float64{nan}, []float64{0})
	if err != nil || !math.IsNaN(l2.Mean(0, 1)) || l2.Of(0, 1) != 0 {
		t.Errorf("unknown sample: mean %v, cost %v, %v; want NaN and 0", l2.Mean(0, 1), l2.Of(0, 1), err)
	}
}
