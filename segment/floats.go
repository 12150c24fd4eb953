package segment

// floats are labellings in which a long rep of a reading is told apart into reps and floats, whose contrast is far less than
// that of other reps to their recoveries: strides before an alternation. It is split by itself, as the whole run was, and the
// other reps stay or go.
func (j *judge) floats(r *reading) []labelling {
	var out []labelling
	for i, w := range r.works {
		if len(r.works) < 2 || w.seconds() < leastFloats || j.had(hashOn(hashOn(hashBase, uint64(w.lo)), uint64(w.hi))) {
			continue
		}
		var p proposals
		for _, level := range j.levelsWithin(w) {
			p.contrasts(level)
		}
		for _, l := range p.list {
			inner := l.inside(w)
			if len(inner) < 2 {
				continue
			}
			var reps [][2]int
			for k, v := range r.works {
				if k == i {
					reps = append(reps, inner...)
				} else {
					reps = append(reps, [2]int{v.lo, v.hi})
				}
			}
			out = append(out, j.labelled(inner), j.labelled(reps))
		}
	}
	return out
}

// leastFloats is how long a rep is that is told apart, s.
const leastFloats = 480

// levelsWithin are the splits of a stretch along the penalty path, as far as they have some pieces.
func (j *judge) levelsWithin(w piece) (out [][]piece) {
	from, to := j.within(w)
	for penalty, last := finest(j.tr, j.speed), 0; ; penalty *= coarser {
		var level []piece
		for k := from; k < to; k++ {
			if p := j.pieces[k]; k == from || j.survives[k] >= penalty {
				level = append(level, p)
			} else {
				level[len(level)-1] = join(level[len(level)-1], p)
			}
		}
		if len(level) < fewestBeats { // reps with floats between them
			return out
		}
		if len(level) != last {
			out, last = append(out, level), len(level)
		}
	}
}

// inside are the reps of a labelling of a stretch.
func (l labelling) inside(w piece) (reps [][2]int) {
	for _, v := range l.works {
		reps = append(reps, [2]int{max(v.lo, w.lo), min(v.hi, w.hi)})
	}
	return reps
}
