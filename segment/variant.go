package segment

import "slices"

// variants proposes the neighbours of a reading: one rep fewer, one more, reps told apart.
func (j *judge) variants(p *proposals, r reading) {
	put := func(l labelling) {
		if !p.gauged[l.key()] { // it may have been proposed, for less reason
			p.list = append(p.list, l)
		}
	}
	for i := range r.works {
		if len(r.works) <= 12 || i == 0 || i == len(r.works)-1 {
			if l, ok := r.without(i); ok {
				put(l)
			}
		}
	}
	var buf [64]float64
	rests := buf[:0]
	for _, b := range r.between {
		rests = append(rests, b.seconds())
	}
	usual := median(rests)
	for i := range r.between { // of many recoveries only those that are none like the others
		if len(r.works) <= 12 || r.between[i].seconds() < usual/2 {
			if l, ok := r.merged(i); ok {
				put(l)
			}
		}
	}
	for _, l := range j.missing(r) {
		put(l)
	}
	for _, l := range j.byKilometre(r) {
		put(l)
	}
	if slices.Contains(r.bridged, true) {
		return // a stop inside a rep is no change of pace
	}
	if l, ok := j.atPresses(r.labelling); ok {
		put(l)
	}
	for _, l := range j.cellwise(r.labelling) {
		put(l)
	}
	for _, l := range j.floats(&r) {
		put(l)
	}
	for _, cuts := range [][][]int{j.commonCuts(r.works), j.ownCuts(r.works), j.pressedCuts(r.works)} {
		l := labelling{before: r.before, between: r.between, after: r.after}
		most := 0
		for i, w := range r.works {
			lo := w.lo
			for _, at := range cuts[i] {
				l.works = append(l.works, j.piece(lo, at))
				lo = at
			}
			l.works = append(l.works, j.piece(lo, w.hi))
			most = max(most, len(cuts[i]))
		}
		if most == 0 {
			continue
		}
		l.between = interleave(l)
		put(l)
	}
}

// missing are labellings with one more rep, where the rhythm of the others has one
// and speed goes up and down again.
func (j *judge) missing(r reading) []labelling {
	n := len(r.works)
	if n < 3 || r.continuous() {
		return nil
	}
	usual := func(list []piece) int {
		lengths := make([]float64, len(list))
		for i, p := range list {
			lengths[i] = p.seconds()
		}
		return int(median(lengths))
	}
	work, rest := usual(r.works), usual(r.between)
	_, contrast := r.contrast()
	slack := max(10, (work+rest)/10)
	var out []labelling
	for i := range n + 1 { // the new rep becomes works[i]
		from, to := r.before.lo, r.after.hi
		if i > 0 {
			from = r.works[i-1].hi
		}
		if i < n {
			to = r.works[i].lo
		}
		at := from + rest
		switch {
		case i == 0:
			at = to - rest - work
		case i < n && to-from < work+rest*3/2:
			continue
		}
		// The others stand out, so this must too: where it does most.
		least, lo, hi := 1+contrast/2, -1, -1
		for _, a := range j.edgesNear(at, slack, 1) {
			for _, b := range j.edgesNear(at+work, slack, -1) {
				if a < from || b > to || b-a < max(shortest, work/2) || i > 0 && a == from || i < n && b == to {
					continue
				}
				p, q := j.piece(max(from, a-rest), a), j.piece(b, min(to, b+rest))
				if c := j.piece(a, b).mean / max(p.mean, q.mean); c > least {
					least, lo, hi = c, a, b
				}
			}
		}
		if lo < 0 {
			continue
		}
		l := labelling{before: r.before, after: r.after, works: slices.Insert(slices.Clone(r.works), i, j.piece(lo, hi)), between: slices.Clone(r.between), even: r.even}
		if r.bridged != nil {
			l.bridged = slices.Insert(slices.Clone(r.bridged), i, false)
		}
		left, right := j.piece(from, lo), j.piece(hi, to)
		switch i {
		case 0:
			l.before, l.between = left, slices.Insert(l.between, 0, right)
		case n:
			l.after, l.between = right, append(l.between, left)
		default:
			l.between[i-1] = left
			l.between = slices.Insert(l.between, i, right)
		}
		out = append(out, l)
	}
	return out
}

// edgesNear are the edges of pieces within slack of a cell, and where a step up (1) or down (-1) is the largest.
func (j *judge) edgesNear(cell, slack, way int) []int {
	var out []int
	best, most := 0, 0.0
	for c := max(cell-slack, shortest); c <= min(cell+slack, len(j.speed)-shortest); c++ {
		if d := float64(way) * (2*j.cum[c] - j.cum[c-shortest] - j.cum[c+shortest]); -d > most {
			best, most = c, -d
		}
	}
	if most > 0 {
		out = append(out, best)
	}
	for _, p := range j.pieces[1:] {
		if max(p.lo-cell, cell-p.lo) <= slack {
			out = append(out, p.lo)
		}
	}
	return out
}

// Many plans change pace at whole kilometres, at which devices tell the runner so. A
// change too small to be found anywhere may be clear where it is to be expected.

// byKilometre are labellings in which a long rep is told apart by the kilometre.
func (j *judge) byKilometre(r reading) []labelling {
	var p proposals
	for _, w := range r.works {
		if j.tr.Shown[w.hi]-j.tr.Shown[w.lo] < 2900 {
			continue
		}
		var level []piece
		if w.lo > 0 {
			level = append(level, j.piece(0, w.lo))
		}
		level = append(level, j.kilometres(w.lo, w.hi)...)
		if n := len(j.speed); w.hi < n {
			level = append(level, j.piece(w.hi, n))
		}
		p.contrasts(level)
	}
	return p.list
}
