package segment

import (
	"math"
)

// A labelling is one way to call some stretches of a split work and the rest
// not: work pieces and the pieces between, before and after them.
type labelling struct {
	works []piece // in time order
	// between[i] lies between works[i] and works[i+1]; it has no length where a rep
	// changes pace without a recovery.
	between []piece
	before  piece  // up to works[0]; w and length may be zero
	after   piece  // from the last work on; the same
	bridged []bool // works[i] holds a stop that was taken for no recovery
	even    bool   // the edges are where the rhythm of the others has them
}

// gather joins neighbours of one label. ok is false when no work is left.
func gather(level []piece, fast []bool) (labelling, bool) {
	var l labelling
	l.before = piece{lo: level[0].lo, hi: level[0].lo}
	started := false
	gap := piece{}
	gapOpen := false
	for i, p := range level {
		switch {
		case fast[i] && !started:
			started = true
			l.works = append(l.works, p)
		case fast[i] && gapOpen:
			l.between = append(l.between, gap)
			l.works = append(l.works, p)
			gapOpen = false
		case fast[i]:
			l.works[len(l.works)-1] = join(l.works[len(l.works)-1], p)
		case !started:
			if l.before.hi == l.before.lo {
				l.before = p
			} else {
				l.before = join(l.before, p)
			}
		case gapOpen:
			gap = join(gap, p)
		default:
			gap, gapOpen = p, true
		}
	}
	end := level[len(level)-1].hi
	l.after = piece{lo: end, hi: end}
	if gapOpen {
		l.after = gap
	}
	return l, started
}

// labelled is the labelling whose reps lie in cells [from, to), in order.
func (j *judge) labelled(reps [][2]int) labelling {
	var l labelling
	last := 0
	for i, x := range reps {
		if gap := j.piece(last, x[0]); i == 0 {
			l.before = gap
		} else {
			l.between = append(l.between, gap)
		}
		l.works = append(l.works, j.piece(x[0], x[1]))
		last = x[1]
	}
	l.after = j.piece(last, len(j.speed))
	return l
}

// bridge joins work over short standing stops that are unlike the other
// recoveries: a red light inside a rep. ok is false when there is none.
func (l labelling) bridge() (labelling, bool) {
	if len(l.between) < 1 {
		return l, false
	}
	var usual []float64
	for _, b := range l.between {
		if !halt(b) {
			usual = append(usual, b.seconds())
		}
	}
	if len(usual) == len(l.between) || len(usual) == 0 && len(l.between) > 2 {
		return l, false
	}
	out := labelling{before: l.before, after: l.after}
	out.works = append(out.works, l.works[0])
	out.bridged = append(out.bridged, false)
	for i, b := range l.between {
		if halt(b) {
			k := len(out.works) - 1
			moving := join(out.works[k], l.works[i+1]) // the level of the running alone
			out.works[k] = moving
			out.bridged[k] = true
			continue
		}
		out.between = append(out.between, b)
		out.works = append(out.works, l.works[i+1])
		out.bridged = append(out.bridged, false)
	}
	return out, true
}

// without is the labelling with work i taken for no work; ok is false when no
// work would be left.
func (l labelling) without(i int) (labelling, bool) {
	n := len(l.works)
	if n < 2 {
		return l, false
	}
	out := labelling{before: l.before, after: l.after, even: l.even}
	out.works = append(append(out.works, l.works[:i]...), l.works[i+1:]...)
	if l.bridged != nil {
		out.bridged = append(append(out.bridged, l.bridged[:i]...), l.bridged[i+1:]...)
	}
	out.between = append(out.between, l.between[:max(0, i-1)]...)
	switch {
	case i == 0:
		out.before = join(join(l.before, l.works[0]), l.between[0])
		out.between = append(out.between, l.between[1:]...)
	case i == n-1:
		out.after = join(join(l.between[n-2], l.works[n-1]), l.after)
	default:
		out.between = append(out.between, join(join(l.between[i-1], l.works[i]), l.between[i]))
		out.between = append(out.between, l.between[i+1:]...)
	}
	return out, true
}

// halt reports whether a piece is a short time spent standing.
func halt(p piece) bool { return p.mean < 1.2 && p.seconds() <= 90 }

// A side is what lies next to a rep: not work, or, where a rep changes pace
// without a recovery, the other part of it.
type side struct {
	piece
	joined bool
}

// sides are the neighbours of work i.
func (l labelling) sides(i int) [2]side {
	out := [2]side{{piece: l.before}, {piece: l.after}}
	if i > 0 {
		out[0].piece = l.between[i-1]
		if out[0].hi == out[0].lo {
			out[0] = side{l.works[i-1], true}
		}
	}
	if i < len(l.between) {
		out[1].piece = l.between[i]
		if out[1].hi == out[1].lo {
			out[1] = side{l.works[i+1], true}
		}
	}
	return out
}

// step is the contrast of work w to a side, as a ratio minus one; towards a
// joined side its size.
func (s side) step(w piece) float64 {
	c := w.mean/max(s.mean, 0.3) - 1
	if s.joined {
		return math.Abs(math.Log1p(c))
	}
	return c
}

// share is what work i counts for: parts of one rep that touch share its weight.
func (l labelling) share(i int) float64 {
	parts := 1
	for k := i; k > 0 && l.between[k-1].hi == l.between[k-1].lo; k-- {
		parts++
	}
	for k := i; k < len(l.between) && l.between[k].hi == l.between[k].lo; k++ {
		parts++
	}
	return 1 / float64(parts)
}

// continuous reports whether the reps touch: one block.
func (l labelling) continuous() bool {
	for _, b := range l.between {
		if b.hi > b.lo {
			return false
		}
	}
	return true
}

// seen reports whether half of each rep is known at least; of reps with a halt inside, nothing is asked.
func (l labelling) seen() bool {
	for i, w := range l.works {
		if w.w < w.seconds()/2 && (l.bridged == nil || !l.bridged[i]) {
			return false
		}
	}
	return true
}

// key identifies a labelling by its edges.
func (l labelling) key() uint64 {
	h := hashBase
	for _, w := range l.works {
		h = hashOn(hashOn(h, uint64(w.lo)), uint64(w.hi))
	}
	return h
}

// keyOf is the key of the labelling that gather makes.
func keyOf(level []piece, fast []bool) uint64 {
	h := hashBase
	for i, p := range level {
		if fast[i] && (i == 0 || !fast[i-1]) {
			h = hashOn(h, uint64(p.lo))
		}
		if fast[i] && (i == len(level)-1 || !fast[i+1]) {
			h = hashOn(h, uint64(p.hi))
		}
	}
	return h
}

// FNV-1a, a word at a time.
const hashBase = uint64(14695981039346656037)

func hashOn(h, word uint64) uint64 { return (h ^ word) * 1099511628211 }

// near reports whether two labellings of as many reps differ by seconds only.
func (l labelling) near(o labelling) bool {
	const slack = 5
	if len(l.works) != len(o.works) {
		return false
	}
	for i, w := range l.works {
		v := o.works[i]
		if w.lo-v.lo > slack || v.lo-w.lo > slack || w.hi-v.hi > slack || v.hi-w.hi > slack {
			return false
		}
	}
	return true
}

// stepOut is the median speed contrast between a rep and what lies beside it that is no
// work, as a ratio minus one; NaN when there is nothing to compare with.
func (l labelling) stepOut() float64 {
	var buf [64]float64
	all := buf[:0]
	for i, w := range l.works {
		for k, o := range l.sides(i) {
			outer := k == 0 && i == 0 || k == 1 && i == len(l.works)-1
			if !o.joined && o.seconds() >= 1 && (!outer || o.seconds() >= outermost) {
				all = append(all, o.step(w))
			}
		}
	}
	return median(all)
}

// contrast is the lowest and the median speed contrast between a rep and its
// neighbours, as ratios minus one; NaN when there is nothing to compare with.
func (l labelling) contrast() (least, typical float64) {
	var all []float64
	for i, w := range l.works {
		for k, o := range l.sides(i) {
			outer := k == 0 && i == 0 || k == 1 && i == len(l.works)-1
			if o.seconds() >= 1 && (!outer || o.seconds() >= outermost) {
				all = append(all, o.step(w))
			}
		}
	}
	if len(all) == 0 {
		return math.NaN(), math.NaN()
	}
	m := median(all)
	return all[0], m
}

// merged is the labelling with works i and i+1 and what lies between them taken for one
// work, in which the runner halted or slowed down; ok is false where they touch.
func (l labelling) merged(i int) (labelling, bool) {
	gap := l.between[i]
	if gap.hi <= gap.lo || gap.seconds() > 90 {
		return l, false
	}
	out := labelling{before: l.before, after: l.after}
	out.works = append(append(out.works, l.works[:i+1]...), l.works[i+2:]...)
	out.between = append(append(out.between, l.between[:i]...), l.between[i+1:]...)
	out.bridged = make([]bool, len(out.works))
	for k := range l.bridged {
		if l.bridged[k] {
			if k > i {
				out.bridged[k-1] = true
			} else {
				out.bridged[k] = true
			}
		}
	}
	if halt(gap) {
		out.works[i] = join(l.works[i], l.works[i+1]) // the level of the running alone
		out.bridged[i] = true
	} else {
		out.works[i] = join(join(l.works[i], gap), l.works[i+1])
	}
	return out, true
}

// clusters are the labellings in which only one part of the session is work, where its parts
// lie far apart: reps in the midst of a long run, or a run home after them.
func (l labelling) clusters() []labelling {
	const far, least = 4, 3 // times the usual recovery; reps
	n := len(l.works)
	if n < least+1 {
		return nil
	}
	var buf [64]float64
	gaps := buf[:0]
	for _, b := range l.between {
		gaps = append(gaps, b.seconds())
	}
	limit := max(far*median(gaps), 240)
	var out []labelling
	from := 0
	for i := range n {
		if i < n-1 && l.between[i].seconds() <= limit {
			continue
		}
		if i-from+1 >= least && i-from+1 < n {
			out = append(out, l.part(from, i))
		}
		from = i + 1
	}
	return out
}

// part is the labelling in which only works from to to are work.
func (l labelling) part(from, to int) labelling {
	out := labelling{works: l.works[from : to+1], between: l.between[from:to], before: l.before, after: l.after, even: l.even}
	for i := range from {
		out.before = join(join(out.before, l.works[i]), l.between[i])
	}
	for i := len(l.works) - 1; i > to; i-- {
		out.after = join(join(l.between[i-1], l.works[i]), out.after)
	}
	if l.bridged != nil {
		out.bridged = l.bridged[from : to+1]
	}
	return out
}
