package changepoint

import "math"

// anyLast prunes by inequality, for any cost: PELT (Killick, Fearnhead, Eckley
// 2012, JASA 107:1590-1598) made right for minimum lengths.
//
// Let G(t) be the least cost of the first t samples with one penalty for each
// segment, and suppose G(s) + C(s, t) >= G(t) for some s < t. Then for every end T
// that allows the start t
//
//	G(s) + C(s, T) >= G(s) + C(s, t) + C(t, T) >= G(t) + C(t, T),
//
// so that s is not needed for T. For an end T too close to t this fails, since
// [t, T) is too short to be a segment. A start so beaten therefore lives on until
// t itself is let in. Dropping it at once, as is right without a minimum length,
// loses optima.
type anyLast struct {
	c       Cost
	penalty float64
	live    []liveStart
	next    int // the first start not yet let in
}

type liveStart struct {
	s     int
	sum   float64 // G(s) + C(s, t)
	until int     // not needed once this start is let in
}

func (l *anyLast) upTo(t, latest int, past []float64) (float64, int32, error) {
	for ; l.next <= latest; l.next++ {
		if !math.IsInf(past[l.next], 1) {
			l.live = append(l.live, liveStart{s: l.next, until: math.MaxInt})
		}
	}
	best, start := math.Inf(1), 0
	kept := l.live[:0]
	for _, v := range l.live {
		if v.until <= latest {
			continue
		}
		cost, err := of(l.c, v.s, t)
		if err != nil {
			return 0, 0, err
		}
		v.sum = past[v.s] + cost
		if v.sum < best {
			best, start = v.sum, v.s
		}
		kept = append(kept, v)
	}
	l.live = kept
	if math.IsInf(best, 1) { // t cannot be a start
		return best, 0, nil
	}
	for i := range kept {
		if v := &kept[i]; v.until == math.MaxInt && v.sum >= best+l.penalty {
			v.until = t
		}
	}
	return best, int32(start), nil
}
