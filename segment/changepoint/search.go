package changepoint

import (
	"fmt"
	"math"
	"slices"
)

// Search finds the segmentation of least cost: the sum of the costs of its
// segments plus penalty times the number of changes, where every segment, the
// first and the last included, has at least minLen samples. Samples of weight 0
// count. A series too short for one such segment is one segment all the same.
//
// The result is the changes in growing order, each the 0-based first index of the
// new segment (so neither 0 nor n is among them), and the sum of costs without the
// penalties. When several segmentations are equally good one of them is returned,
// always the same. Time is near-linear in n.
//
// The cost must not be nil, the penalty finite and not negative, minLen at least
// 1; anything else is an error.
func Search(c *L2, penalty float64, minLen int) ([]int, float64, error) {
	switch {
	case c == nil:
		return nil, 0, fmt.Errorf("changepoint: no cost; make one with NewL2")
	case !(penalty >= 0) || math.IsInf(penalty, 1):
		return nil, 0, fmt.Errorf("changepoint: penalty is %v; it must be finite and not negative", penalty)
	case minLen < 1:
		return nil, 0, fmt.Errorf("changepoint: minimum length is %d; it must be 1 or more", minLen)
	}
	n := c.Len()
	if n < minLen {
		return []int{}, c.total(nil), nil
	}
	// best[t] is the least cost of the first t samples, with one penalty for
	// each segment; the last of them starts at from[t].
	best := make([]float64, n+1)
	from := make([]int32, n+1)
	last := newLastSegment(c)
	for t := 1; t <= n; t++ {
		sum, start := last.upTo(t, t-minLen, best)
		best[t], from[t] = sum+penalty, start
	}
	changes := []int{}
	for t := from[n]; t > 0; t = from[t] {
		changes = append(changes, int(t))
	}
	slices.Reverse(changes)
	return changes, c.total(changes), nil
}

// total adds up the costs of the segments between the changes.
func (c *L2) total(changes []int) (sum float64) {
	i := 0
	for _, j := range changes {
		sum += c.Of(i, j)
		i = j
	}
	return sum + c.Of(i, c.Len())
}
