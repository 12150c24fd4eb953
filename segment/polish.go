package segment

import (
	"math"
	"slices"
)

// mostPolished is how many readings are tried once more with edges of their own: with 4, 8 and 12 the right
// reading wins in as many of 1,200 simulated sessions.
const mostPolished = 4

// polish adds the best of some readings once more, each with its edges where speed steps between the
// levels beside them: the split, which knows no reps, cuts some seconds off. Readings that are far behind, whose
// edges a rhythm tells, or that hold a halt, are left as they are.
func (j *judge) polish(list []*reading, p *proposals, lead float64) []*reading {
	for _, r := range list[:min(len(list), mostPolished)] {
		if r.odds < lead-farBehind || r.even || slices.Contains(r.bridged, true) {
			continue
		}
		x := &reading{labelling: j.polished(r.labelling)}
		if key := x.key(); !p.gauged[key] {
			p.gauged[key] = true
			j.glance(x)
			j.gauge(x)
			x.odds = x.features.dot(&weights)
			list = append(list, x)
		}
	}
	slices.SortStableFunc(list, byOdds)
	return list
}

// polished is a labelling with its edges where the step between the levels near each is least squares.
func (j *judge) polished(l labelling) labelling {
	var reps [][2]int
	last := 0
	for i, w := range l.works {
		sides := l.sides(i)
		lo, hi := last, j.stepNear(w, sides[1].piece)
		if !sides[0].joined {
			lo = j.stepNear(sides[0].piece, w)
		}
		reps, last = append(reps, [2]int{lo, hi}), hi
	}
	return j.labelled(reps)
}

// stepNear is the cell of the edge between two pieces by the levels that they have near it; where they meet if one has no
// length.
func (j *judge) stepNear(before, after piece) int {
	if before.hi <= before.lo || after.hi <= after.lo {
		return after.lo
	}
	return j.stepAt(before, after, j.nearCost(before, false), j.nearCost(after, true))
}

// stepAt is the cell, within 20 s of where two pieces meet and at most .45 of either, at which a step from
// one level (m/s) to another has the least squares in the series that was searched.
func (j *judge) stepAt(before, after piece, from, to float64) int {
	m, sign := (from+to)/2, 1.0
	if to < from {
		sign = -1
	}
	w := int(min(20, 0.45*before.seconds(), 0.45*after.seconds()))
	best, at := math.Inf(1), after.lo
	for t := after.lo - w; t <= after.lo+w; t++ {
		if v := sign * (j.cum[t] - m*float64(t)); v < best {
			best, at = v, t
		}
	}
	return at
}
