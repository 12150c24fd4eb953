package changepoint

import (
	"fmt"
	"math"
	"slices"
)

// Search finds the segmentation that minimises the sum of the costs of its
// segments plus penalty times the number of changes. It is exact with any
// minimum length. The result is the changes in growing order, each the 0-based
// first index of the new segment (so neither 0 nor n is among them), and the
// sum of costs without the penalties. When several segmentations are equally
// good one of them is returned, always the same.
//
// The penalty must be finite and not negative. For *L2 and *Huber pruning is
// functional and time near-linear in n; for other costs it is by inequality and
// time lies between linear (many changes) and quadratic (few).
func Search(c Cost, penalty float64, o Options) ([]int, float64, error) {
	if err := o.check(c); err != nil {
		return nil, 0, err
	}
	if err := checkPenalty(penalty); err != nil {
		return nil, 0, err
	}
	if !o.fits(c.Len()) {
		return total(c, []int{})
	}
	n := c.Len()
	// best[t] is the least cost of the first t samples, with one penalty for
	// each segment; the last of them starts at from[t].
	best := make([]float64, n+1)
	from := make([]int32, n+1)
	last := newLastSegment(c, penalty)
	border := o.starts()
	for t := 1; t <= n; t++ {
		sum, start, err := last.upTo(t, border.upTo(t), best)
		if err != nil {
			return nil, 0, err
		}
		best[t], from[t] = sum+penalty, start
	}
	changes := []int{}
	for t := from[n]; t > 0; t = from[t] {
		changes = append(changes, int(t))
	}
	slices.Reverse(changes)
	return total(c, changes)
}

// A lastSegment finds the best start of the last segment, for one end after
// another.
//
// upTo gives the least past[s] + C(s, t) over 0 <= s <= latest and the s that
// reaches it; +Inf when there is none. It is called with t = 1, 2, ..., n, with
// latest < t never falling, and past[s] final once s <= latest. past[s] is +Inf
// for a start that cannot be.
type lastSegment interface {
	upTo(t, latest int, past []float64) (sum float64, start int32, err error)
}

func newLastSegment(c Cost, penalty float64) lastSegment {
	switch c := c.(type) {
	case *L2:
		return newL2Last(c)
	case *Huber:
		return newHuberLast(c)
	}
	return &anyLast{c: c, penalty: penalty}
}

func checkPenalty(penalty float64) error {
	if !(penalty >= 0) || math.IsInf(penalty, 1) {
		return fmt.Errorf("changepoint: penalty is %v; it must be finite and not negative", penalty)
	}
	return nil
}

// total adds up the costs of the segments between the changes, which it passes
// on.
func total(c Cost, changes []int) ([]int, float64, error) {
	var sum float64
	i := 0
	for k := 0; k <= len(changes); k++ {
		j := c.Len()
		if k < len(changes) {
			j = changes[k]
		}
		v, err := of(c, i, j)
		if err != nil {
			return nil, 0, err
		}
		sum += v
		i = j
	}
	return changes, sum, nil
}

// of is c.Of(i, j), refused when it makes no sense.
func of(c Cost, i, j int) (float64, error) {
	v := c.Of(i, j)
	if math.IsNaN(v) || math.IsInf(v, -1) {
		return 0, fmt.Errorf("changepoint: the cost of [%d, %d) is %v", i, j, v)
	}
	return v, nil
}
