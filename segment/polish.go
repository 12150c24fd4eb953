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
func (j *judge) polished(l labelling) labelling { return j.edged(l, j.stepNear) }

// edged is a labelling with its edges where they are put, given the pieces that meet there.
func (j *judge) edged(l labelling, put func(before, after piece) int) labelling {
	var reps [][2]int
	last := 0
	for i, w := range l.works {
		sides := l.sides(i)
		lo, hi := last, put(w, sides[1].piece)
		if !sides[0].joined {
			lo = put(sides[0].piece, w)
		}
		reps, last = append(reps, [2]int{lo, hi}), hi
	}
	return j.labelled(reps)
}

// reach is how far the edge between two pieces is moved, s.
func reach(before, after piece) float64 {
	return min(20, 0.45*min(before.seconds(), after.seconds()))
}

// atPresses is a labelling with its edges at the lap presses near them; false where that moves none.
func (j *judge) atPresses(l labelling) (labelling, bool) {
	if len(j.presses) < fewestPresses {
		return l, false
	}
	moved := false
	out := j.edged(l, func(before, after piece) int {
		at, nearest := after.lo, reach(before, after)
		k, _ := slices.BinarySearch(j.presses, float64(after.lo))
		for _, m := range j.presses[max(0, k-1):min(k+1, len(j.presses))] {
			if d := math.Abs(m - float64(after.lo)); d <= nearest {
				at, nearest = int(math.Round(m)), d
			}
		}
		moved = moved || at != after.lo
		return at
	})
	return out, moved
}

// cellwise are labellings of what lies between the first and the last rep of another, told cell by cell, since pieces
// swallow reps in noise: work is what is nearer to the reps beside it than to the recoveries, but for departures that
// are over in less than a stretch, or half of one.
func (j *judge) cellwise(l labelling) (out []labelling) {
	n := len(l.works)
	if n < 2 || l.continuous() {
		return nil
	}
	rests := make([]float64, n-1)
	for i, b := range l.between {
		rests[i] = b.mean
	}
	rest := median(rests)
	from, to := l.works[0].lo, l.works[n-1].hi
	cells := make([]piece, to-from)
	k, step := 0, 0.0
	for c := range cells {
		if from+c >= l.works[k].hi {
			k++ // the rep that comes, or is on
		}
		level := l.works[k].mean
		if from+c < l.works[k].lo {
			level = (level + l.works[k-1].mean) / 2
		}
		cells[c] = piece{mean: j.speed[from+c] - (level+rest)/2, w: 1}
		step = max(step, level-rest)
	}
	fast, scratch := make([]bool, len(cells)), make([][2]bool, len(cells))
	for _, seconds := range [...]float64{shortest / 2, shortest} {
		label(cells, 0, seconds*step, fast, scratch)
		var reps [][2]int
		for c := range cells {
			switch {
			case fast[c] && (c == 0 || !fast[c-1]):
				reps = append(reps, [2]int{from + c, from + c + 1})
			case fast[c]:
				reps[len(reps)-1][1]++
			}
		}
		if len(reps) > 1 {
			out = append(out, j.labelled(reps))
		}
	}
	return out
}

// stepNear is the cell of the edge between two pieces by the levels that they have near it; where they meet if one has no
// length.
func (j *judge) stepNear(before, after piece) int {
	if before.hi <= before.lo || after.hi <= after.lo {
		return after.lo
	}
	at, _ := j.stepAt(before, after, j.nearCost(before, false), j.nearCost(after, true))
	return at
}

// stepAt is the cell, within 20 s of where two pieces meet and at most .45 of either, at which a step from
// one level (m/s) to another has the least squares in the series that was searched, and by how much these are less than
// where the pieces meet, (m/s)^2 s.
func (j *judge) stepAt(before, after piece, from, to float64) (at int, less float64) {
	m, sign := (from+to)/2, 1.0
	if to < from {
		sign = -1
	}
	squares := func(t int) float64 { return sign * (j.cum[t] - m*float64(t)) } // over twice the step, but for a constant
	w := int(reach(before, after))
	here := squares(after.lo)
	best, at := math.Inf(1), after.lo
	for t := after.lo - w; t <= after.lo+w; t++ {
		if v := squares(t); v < best {
			best, at = v, t
		}
	}
	return at, 2 * math.Abs(to-from) * (here - best)
}

// misplaced reads how far edges are from where speed steps: nats by which the step is likelier elsewhere near.
func (j *judge) misplaced(r *reading) {
	for i, w := range r.works {
		for k, s := range r.sides(i) {
			if s.hi <= s.lo || k == 0 && s.joined {
				continue
			}
			before, after := s.piece, w
			if k == 1 {
				before, after = w, s.piece
			}
			_, less := j.stepAt(before, after, before.mean, after.mean)
			r.features[misplacing] += math.Log1p(less / (2 * sq(j.noise)))
		}
	}
}
