package segment

// Many plans change pace at whole kilometres, at which devices tell the runner so. A
// change too small to be found anywhere may be clear where it is to be expected.

// kilometres cuts cells lo to hi where the device showed whole kilometres since lo; what
// is left over belongs to the last. Stops and walks, which would make some kilometres
// slow, leave it whole.
func (j *judge) kilometres(lo, hi int) []piece {
	var out []piece
	shown := j.tr.Shown
	slow := 0
	for _, v := range j.speed[lo:hi] {
		if v < 1.75 {
			slow++
		}
	}
	if slow > 15 {
		return []piece{j.piece(lo, hi)}
	}
	for c := lo; c < hi && shown[hi]-shown[lo] > 1900; c++ {
		if shown[c]-shown[lo] >= 1000 {
			out = append(out, j.piece(lo, c))
			lo = c
		}
	}
	if hi > lo {
		out = append(out, j.piece(lo, hi))
	}
	return out
}

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
