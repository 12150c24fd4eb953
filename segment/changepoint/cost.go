package changepoint

import (
	"errors"
	"fmt"
	"math"
)

// A moment holds sums over the samples before a border: weight, weight times
// value, weight times squared value.
type moment struct{ w, wy, wyy float64 }

func (m moment) minus(o moment) moment { return moment{m.w - o.w, m.wy - o.wy, m.wyy - o.wyy} }

// deviance is the weighted sum of squared deviations from the weighted mean.
func (m moment) deviance() float64 {
	if m.w <= 0 {
		return 0
	}
	return max(0, m.wyy-m.wy/m.w*m.wy)
}

// L2 is the cost of a change in mean: the weighted sum of squared deviations
// from the weighted mean of the piece,
//
//	C(i, j) = min over u of sum of w[t] (y[t] - u)^2 for t in [i, j).
//
// It is computed in constant time from prefix sums; absolute rounding error is
// about 1e-16 times the weighted sum of squares of the whole series about its
// mean.
type L2 struct {
	sums   []moment // n+1 prefix sums of the values less their centre
	centre float64  // one of the values, so that whole numbers stay whole
	lo, hi float64  // range of the centred values that have weight
}

// weightRange is how far weights may lie apart for sums over any piece, taken from
// prefix sums, to be of use.
const weightRange = 1e9

// check reports the first thing wrong with values and weights.
func check(y, w []float64) error {
	if len(y) == 0 {
		return fmt.Errorf("changepoint: no samples")
	}
	if w != nil && len(w) != len(y) {
		return fmt.Errorf("changepoint: %d weights for %d samples; give one each, or nil for all ones", len(w), len(y))
	}
	least, most := math.Inf(1), 0.0
	for i := range w {
		if !(w[i] >= 0) || math.IsInf(w[i], 1) {
			return fmt.Errorf("changepoint: weight %d is %v; weights must be finite and not negative", i, w[i])
		}
		if w[i] > 0 {
			least, most = min(least, w[i]), max(most, w[i])
		}
	}
	if most/weightRange > least {
		return fmt.Errorf("changepoint: weights from %v to %v cannot be added up; those above 0 must be within a factor of %v", least, most, weightRange)
	}
	for i, v := range y {
		if w != nil && w[i] == 0 {
			continue
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("changepoint: sample %d is %v; give an unknown sample the weight 0", i, v)
		}
	}
	return nil
}

var errTooLarge = errors.New("changepoint: the samples or weights are too large to add up; scale them down")

// weight is w[i], or 1 when there are no weights.
func weight(w []float64, i int) float64 {
	if w == nil {
		return 1
	}
	return w[i]
}

// centred is the deviation of v from the centre. One whose square would be lost
// to underflow is none.
func (c *L2) centred(v float64) float64 {
	if d := v - c.centre; math.Abs(d) > 1e-145 {
		return d
	}
	return 0
}

// Len is the number of samples.
func (c *L2) Len() int { return len(c.sums) - 1 }

func (c *L2) piece(i, j int) moment { return c.sums[j].minus(c.sums[i]) }

// NewL2 prepares the cost for samples y with weights w (nil means all ones,
// else one for each sample, not negative). The weight of a sample is its
// duration, or its precision; a sample of weight 0 is unknown, and its value,
// even NaN, is not looked at. Weights above 0 must be within a factor of 1e9. The
// slices are copied.
func NewL2(y, w []float64) (*L2, error) {
	if err := check(y, w); err != nil {
		return nil, err
	}
	c := &L2{sums: make([]moment, len(y)+1), lo: math.Inf(1), hi: math.Inf(-1)}

	var total, mean float64
	for i, v := range y {
		if wi := weight(w, i); wi > 0 {
			total += wi
			mean += (v - mean) * (wi / total)
		}
	}
	nearest := math.Inf(1)
	for i, v := range y {
		if weight(w, i) > 0 && math.Abs(v-mean) < nearest {
			nearest, c.centre = math.Abs(v-mean), v
		}
	}
	for i, v := range y {
		wi, m := weight(w, i), c.sums[i]
		if wi > 0 {
			v = c.centred(v)
			c.lo, c.hi = min(c.lo, v), max(c.hi, v)
			m = moment{m.w + wi, m.wy + wi*v, m.wyy + wi*v*v}
		}
		c.sums[i+1] = m
	}
	if c.lo > c.hi { // nothing has weight: every segment costs nothing
		c.lo, c.hi = 0, 0
	}
	extent := c.hi - c.lo
	if m := c.sums[len(y)]; math.IsInf(m.w, 1) || math.IsInf(extent*extent, 1) || !(m.wyy <= math.MaxFloat64) {
		return nil, errTooLarge
	}
	return c, nil
}

// Of is the cost of [i, j).
func (c *L2) Of(i, j int) float64 { return c.piece(i, j).deviance() }

// Mean is the weighted mean of [i, j), NaN when nothing in it has weight.
func (c *L2) Mean(i, j int) float64 {
	m := c.piece(i, j)
	if m.w <= 0 {
		return math.NaN()
	}
	return c.centre + m.wy/m.w
}
