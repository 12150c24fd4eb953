package changepoint

import (
	"fmt"
	"math"
	"slices"
)

// Best finds for each number of changes from 0 to maxChanges the segmentation
// of least cost (segment neighbourhood, Auger & Lawrence 1989, Bull. Math. Biol.
// 51:39-54). It is exact with any minimum length; the segmentations need not
// be nested. Entry k of the results belongs to k changes: the changes as Search
// gives them, and the sum of costs. The results are shorter when the series has
// no room for that many.
//
// Time is near-linear in n times maxChanges for *L2, else maxChanges n^2; memory
// is 4 n maxChanges bytes.
func Best(c Cost, maxChanges int, o Options) ([][]int, []float64, error) {
	n := c.Len()
	if err := o.check(n); err != nil {
		return nil, nil, err
	}
	if maxChanges < 0 {
		return nil, nil, fmt.Errorf("changepoint: greatest number of changes is %d; it must not be negative", maxChanges)
	}
	maxChanges = min(maxChanges, n-1)
	var from [][]int32
	var err error
	switch l2, ok := c.(*L2); {
	case !o.fits(n):
		from = [][]int32{make([]int32, n+1)}
	case ok:
		from = bestL2(l2, maxChanges, o)
	default:
		from, err = bestAny(c, maxChanges, o)
	}
	if err != nil {
		return nil, nil, err
	}
	sets := make([][]int, len(from))
	sums := make([]float64, len(from))
	for k := range from {
		changes := make([]int, k)
		for j, t := k, n; j > 0; j-- {
			t = int(from[j][t])
			changes[j-1] = t
		}
		if sets[k], sums[k], err = total(c, changes); err != nil {
			return nil, nil, err
		}
	}
	return sets, sums, nil
}

// bestL2 works layer by layer: the past cost of a start is the least cost with
// one change less. It returns the starts of the last segments for each number
// of changes that has room.
func bestL2(c *L2, maxChanges int, o Options) [][]int32 {
	n := c.Len()
	past := make([]float64, n+1)
	now := make([]float64, n+1)
	for t := range past {
		past[t] = math.Inf(1)
	}
	past[0] = 0
	var layers [][]int32
	var e envelope
	for k := 0; k <= maxChanges; k++ {
		from := make([]int32, n+1)
		e.reset(c.lo, c.hi)
		border := o.starts()
		now[0] = math.Inf(1)
		next := 0
		for t := 1; t <= n; t++ {
			for latest := border.upTo(t); next <= latest; next++ {
				if !math.IsInf(past[next], 1) {
					e.add(next, past[next], c.sums[next])
				}
			}
			now[t], from[t] = e.min(c.sums[t])
		}
		if math.IsInf(now[n], 1) {
			break
		}
		layers = append(layers, from)
		past, now = now, past
	}
	return layers
}

// bestAny is the textbook recursion, with each cost computed once for all
// layers.
func bestAny(c Cost, maxChanges int, o Options) ([][]int32, error) {
	n := c.Len()
	best := make([][]float64, maxChanges+1)
	from := make([][]int32, maxChanges+1)
	for k := range best {
		best[k] = slices.Repeat([]float64{math.Inf(1)}, n+1)
		from[k] = make([]int32, n+1)
	}
	border := o.starts()
	for t := 1; t <= n; t++ {
		latest := border.upTo(t)
		for s := 0; s <= latest; s++ {
			if s > 0 && math.IsInf(best[0][s], 1) {
				continue
			}
			v := c.Of(s, t)
			if math.IsNaN(v) || math.IsInf(v, -1) {
				return nil, badCost(s, t, v)
			}
			if s == 0 {
				best[0][t] = v
				continue
			}
			for k := 1; k <= maxChanges; k++ {
				if sum := best[k-1][s] + v; sum < best[k][t] {
					best[k][t], from[k][t] = sum, int32(s)
				}
			}
		}
	}
	rooms := 1
	for rooms <= maxChanges && !math.IsInf(best[rooms][n], 1) {
		rooms++
	}
	return from[:rooms], nil
}
