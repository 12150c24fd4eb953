package changepoint

import (
	"fmt"
	"math"
)

// Huber is the cost of a change in level when some samples are wild: the
// weighted Huber loss about its own minimiser,
//
//	C(i, j) = min over u of sum of w[t] rho(y[t] - u),
//	rho(r) = r^2 for |r| <= k,  2 k |r| - k^2 beyond,
//
// scaled so that it equals L2 when no residual exceeds k. An outlier counts
// linearly instead of squared; it still counts, so a long enough run of
// outliers becomes a segment (Huber 1964, Ann. Math. Stat. 35:73-101).
type Huber struct {
	series
	y, w []float64 // y less the centre, 0 where w is 0
	k    float64
}

// NewHuber prepares the cost; y and w are as in NewL2. k is where the loss turns
// linear, in units of y, positive: 1.345 standard deviations of the noise keep
// 95 % of the efficiency of the mean under normal noise.
func NewHuber(y, w []float64, k float64) (*Huber, error) {
	if !(k > 0) || math.IsInf(k, 1) {
		return nil, fmt.Errorf("changepoint: Huber threshold is %v; it must be positive and finite", k)
	}
	all, err := newSeries(y, w)
	if err != nil {
		return nil, err
	}
	c := &Huber{series: all, y: make([]float64, len(y)), w: make([]float64, len(y)), k: k}
	for i, v := range y {
		if c.w[i] = weight(w, i); c.w[i] > 0 {
			c.y[i] = c.centred(v)
		}
	}
	if r := max(c.hi, -c.lo) + k; math.IsInf(c.sums[len(y)].w*r*r, 1) {
		return nil, errTooLarge
	}
	return c, nil
}

// Of is the cost of [i, j); time is linear in its length.
func (c *Huber) Of(i, j int) float64 {
	u := c.level(i, j)
	if math.IsNaN(u) {
		return 0
	}
	var sum float64
	for t := i; t < j; t++ {
		r := math.Abs(c.y[t] - u)
		if r <= c.k {
			sum += c.w[t] * r * r
		} else {
			sum += c.w[t] * c.k * (2*r - c.k)
		}
	}
	return sum
}

// Level is the minimiser for [i, j), NaN when nothing in it has weight.
func (c *Huber) Level(i, j int) float64 { return c.level(i, j) + c.centre }

// level is the same less the centre.
func (c *Huber) level(i, j int) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	var total, u float64
	for t := i; t < j; t++ {
		if w := c.w[t]; w > 0 {
			lo, hi = min(lo, c.y[t]), max(hi, c.y[t])
			total += w
			u += (c.y[t] - u) * (w / total)
		}
	}
	if total == 0 {
		return math.NaN()
	}
	// Newton's method on the derivative, which is monotone and piecewise
	// linear, kept inside a shrinking bracket.
	for range 200 {
		var g, slope float64
		for t := i; t < j; t++ {
			r := c.y[t] - u
			switch {
			case r > c.k:
				g += c.w[t] * c.k
			case r < -c.k:
				g -= c.w[t] * c.k
			default:
				g += c.w[t] * r
				slope += c.w[t]
			}
		}
		if g > 0 {
			lo = u
		} else {
			hi = u
		}
		next := u + g/slope
		if g == 0 || slope > 0 && next == u {
			break
		}
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
			if next <= lo || next >= hi {
				break
			}
		}
		u = next
	}
	return u
}
