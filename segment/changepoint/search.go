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
// The penalty must be finite and not negative. For *L2 pruning is functional
// and time is near-linear in n; for other costs it is by inequality and
// time lies between linear (many changes) and quadratic (few).
func Search(c Cost, penalty float64, o Options) ([]int, float64, error) {
	n := c.Len()
	if err := o.check(n); err != nil {
		return nil, 0, err
	}
	if err := checkPenalty(penalty); err != nil {
		return nil, 0, err
	}
	if !o.fits(n) {
		return whole(c)
	}
	var from []int32
	var err error
	if l2, ok := c.(*L2); ok {
		from = searchL2(l2, penalty, o)
	} else {
		from, err = searchAny(c, penalty, o)
	}
	if err != nil {
		return nil, 0, err
	}
	changes := []int{}
	for t := int(from[n]); t > 0; t = int(from[t]) {
		changes = append(changes, t)
	}
	slices.Reverse(changes)
	return total(c, changes)
}

func checkPenalty(penalty float64) error {
	if !(penalty >= 0) || math.IsInf(penalty, 1) {
		return fmt.Errorf("changepoint: penalty is %v; it must be finite and not negative", penalty)
	}
	return nil
}

// whole is the segmentation without a change.
func whole(c Cost) ([]int, float64, error) { return total(c, []int{}) }

// total adds up the costs of the segments between the changes.
func total(c Cost, changes []int) ([]int, float64, error) {
	var sum float64
	i := 0
	for k := 0; k <= len(changes); k++ {
		j := c.Len()
		if k < len(changes) {
			j = changes[k]
		}
		v := c.Of(i, j)
		if math.IsNaN(v) || math.IsInf(v, -1) {
			return nil, 0, badCost(i, j, v)
		}
		sum += v
		i = j
	}
	return changes, sum, nil
}

func badCost(i, j int, v float64) error {
	return fmt.Errorf("changepoint: the cost of [%d, %d) is %v", i, j, v)
}

// searchAny is PELT (Killick, Fearnhead, Eckley 2012) made right for a minimum
// length. With F(0) = -penalty and
//
//	F(t) = min over s <= latest(t) of F(s) + C(s, t) + penalty,
//
// suppose F(s) + C(s, t) >= F(t) for some s < t. Then for every end T that
// allows the start t,
//
//	F(s) + C(s, T) >= F(s) + C(s, t) + C(t, T) >= F(t) + C(t, T),
//
// so s is not needed for T. For an end T too close to t the argument fails,
// because [t, T) is too short to be a segment; a start s so beaten therefore
// lives on until latest(T) reaches t. Dropping it at once, as the method does
// without a minimum length, loses optima.
//
// The result holds for each t the start of the last segment of the optimum for
// the first t samples.
func searchAny(c Cost, penalty float64, o Options) ([]int32, error) {
	type start struct {
		s    int
		sum  float64 // F(s) + C(s, t)
		upto int     // not needed for ends that allow this start
	}
	n := c.Len()
	best := make([]float64, n+1)
	from := make([]int32, n+1)
	best[0] = -penalty
	var live []start
	next := 0
	border := o.starts()
	for t := 1; t <= n; t++ {
		latest := border.upTo(t)
		for ; next <= latest; next++ {
			if !math.IsInf(best[next], 1) {
				live = append(live, start{s: next, upto: math.MaxInt})
			}
		}
		best[t] = math.Inf(1)
		kept := live[:0]
		for _, l := range live {
			if l.upto <= latest {
				continue
			}
			v := c.Of(l.s, t)
			if math.IsNaN(v) || math.IsInf(v, -1) {
				return nil, badCost(l.s, t, v)
			}
			l.sum = best[l.s] + v
			if l.sum+penalty < best[t] {
				best[t], from[t] = l.sum+penalty, int32(l.s)
			}
			kept = append(kept, l)
		}
		live = kept
		if math.IsInf(best[t], 1) {
			continue
		}
		for i := range live {
			if l := &live[i]; l.upto == math.MaxInt && l.sum >= best[t] {
				l.upto = t
			}
		}
	}
	return from, nil
}
