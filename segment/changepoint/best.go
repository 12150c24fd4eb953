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
// no room for that many. Where a cost of the caller's own forbids all
// segmentations with k changes the entries are nil and +Inf.
//
// Time is near-linear in n, times maxChanges, for *L2 and *Huber; else it is
// quadratic. Memory is 4 bytes times n maxChanges, for other costs 12.
func Best(c Cost, maxChanges int, o Options) ([][]int, []float64, error) {
	if err := o.check(c); err != nil {
		return nil, nil, err
	}
	if maxChanges < 0 {
		return nil, nil, fmt.Errorf("changepoint: greatest number of changes is %d; it must not be negative", maxChanges)
	}
	n := c.Len()
	if !o.fits(n) {
		changes, sum, err := total(c, []int{})
		if err != nil {
			return nil, nil, err
		}
		return [][]int{changes}, []float64{sum}, nil
	}
	layers := bestAny
	switch c.(type) {
	case *L2, *Huber:
		layers = bestByLayers
	}
	from, reached, err := layers(c, min(maxChanges, n/o.MinLen-1), o)
	if err != nil {
		return nil, nil, err
	}
	sets := make([][]int, len(from))
	sums := make([]float64, len(from))
	for k := range from {
		if sums[k] = reached[k]; math.IsInf(sums[k], 1) {
			continue
		}
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

// bestByLayers takes as the past cost of a start the least cost with one change
// less. It returns for each number of changes that has room the starts of the last
// segments of the first 0..n samples, and the least cost of all n.
func bestByLayers(c Cost, maxChanges int, o Options) (from [][]int32, reached []float64, err error) {
	n := c.Len()
	past := slices.Repeat([]float64{math.Inf(1)}, n+1)
	now := slices.Clone(past)
	past[0] = 0
	for range maxChanges + 1 {
		starts := make([]int32, n+1)
		last := newLastSegment(c, 0)
		border := o.starts()
		for t := 1; t <= n; t++ {
			if now[t], starts[t], err = last.upTo(t, border.upTo(t), past); err != nil {
				return nil, nil, err
			}
		}
		if math.IsInf(now[n], 1) {
			break
		}
		from, reached = append(from, starts), append(reached, now[n])
		past, now = now, past
		now[0], past[0] = math.Inf(1), math.Inf(1)
	}
	return from, reached, nil
}

// bestAny is the textbook recursion, with each cost computed once for all
// layers.
func bestAny(c Cost, maxChanges int, o Options) (from [][]int32, reached []float64, err error) {
	n := c.Len()
	best := make([][]float64, maxChanges+1)
	from = make([][]int32, maxChanges+1)
	for k := range best {
		best[k] = slices.Repeat([]float64{math.Inf(1)}, n+1)
		from[k] = make([]int32, n+1)
	}
	border := o.starts()
	for t := 1; t <= n; t++ {
		latest := border.upTo(t)
		for s := 0; s <= latest; s++ {
			v, err := of(c, s, t)
			if err != nil {
				return nil, nil, err
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
	for k := range best {
		reached = append(reached, best[k][n])
		if !math.IsInf(best[k][n], 1) {
			rooms = k + 1
		}
	}
	return from[:rooms], reached, nil
}
