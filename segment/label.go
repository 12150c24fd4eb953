package segment

import (
	"math"
	"slices"
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
}

// proposals are labellings to be judged, each once.
type proposals struct {
	list []labelling
	seen map[uint64]bool // by key
}

// fresh reports whether a labelling with that key was not proposed before.
func (p *proposals) fresh(key uint64) bool {
	if p.seen == nil {
		p.seen = map[uint64]bool{}
	}
	if p.seen[key] {
		return false
	}
	p.seen[key] = true
	return true
}

// add proposes the labels of a split, and those with stops bridged.
func (p *proposals) add(level []piece, fast []bool) {
	if !p.fresh(keyOf(level, fast)) {
		return
	}
	l, ok := gather(level, fast)
	if !ok {
		return
	}
	p.list = append(p.list, l)
	if b, ok := l.bridge(); ok && p.fresh(b.key()) {
		p.list = append(p.list, b)
	}
}

// contrasts proposes labels for one split: every threshold that stands in a
// wide gap between levels, thresholds that follow a trend over time, and local
// contrast.
func (p *proposals) contrasts(level []piece) {
	n := len(level)
	if n < 2 {
		return
	}
	fast := make([]bool, n)
	for _, th := range thresholds(level) {
		for i, q := range level {
			fast[i] = q.mean > th
		}
		p.add(level, fast)
		if trended(level, fast) {
			p.add(level, fast)
		}
	}
	// Local contrast: faster than what stands on both sides.
	for i, q := range level {
		left := i == 0 || q.mean > level[i-1].mean
		right := i == n-1 || q.mean > level[i+1].mean
		fast[i] = left && right
	}
	p.add(level, fast)
}

// swells proposes labels for the finest split, as label finds them for thresholds
// from just above the slowest running piece to just below the fastest and a few
// least swells.
func (p *proposals) swells(pieces []piece) {
	lowest, highest := math.Inf(1), 0.0
	for _, q := range pieces {
		if q.w > 0 && q.mean > 0.5 {
			lowest, highest = min(lowest, q.mean), max(highest, q.mean)
		}
	}
	fast := make([]bool, len(pieces))
	from := make([][2]bool, len(pieces))
	for th := lowest * 1.04; th < highest; th *= 1.04 {
		for _, swell := range []float64{5, 12, 30} {
			label(pieces, th, swell, fast, from)
			p.add(pieces, fast)
			if trended(pieces, fast) {
				p.add(pieces, fast)
			}
		}
	}
}

// label calls fast what lies above a threshold (m/s), but passes over departures
// to either side that amount to fewer metres than the least swell. It is the exact
// minimum (two-state Viterbi) of the metres on the wrong side plus one swell for
// each change of label. fast receives the labels; from is scratch; both are as long
// as pieces.
func label(pieces []piece, threshold, swell float64, fast []bool, from [][2]bool) {
	var cost [2]float64 // of being slow, fast
	for i, p := range pieces {
		d := (p.mean - threshold) * p.w
		stay, leave := cost[0], cost[1]+swell
		c0 := min(stay, leave) + max(d, 0)
		from[i][0] = leave < stay
		stay, leave = cost[1], cost[0]+swell
		c1 := min(stay, leave) + max(-d, 0)
		from[i][1] = !(leave < stay)
		cost = [2]float64{c0, c1}
	}
	f := cost[1] < cost[0]
	for i := len(pieces) - 1; i >= 0; i-- {
		fast[i] = f
		if f {
			f = from[i][1]
		} else {
			f = from[i][0]
		}
	}
}

// thresholds are the middles, in m/s, of the widest gaps between the sorted
// levels, relative to speed: the widest first, at most 12.
func thresholds(level []piece) []float64 {
	means := make([]float64, len(level))
	for i, p := range level {
		means[i] = max(p.mean, 0.3)
	}
	slices.Sort(means)
	type gap struct{ ratio, at float64 }
	gaps := make([]gap, 0, len(means))
	for i := 1; i < len(means); i++ {
		if r := means[i] / means[i-1]; r > 1.012 {
			gaps = append(gaps, gap{r, (means[i] + means[i-1]) / 2})
		}
	}
	slices.SortFunc(gaps, func(a, b gap) int {
		if a.ratio != b.ratio {
			if a.ratio > b.ratio {
				return -1
			}
			return 1
		}
		return 0
	})
	if len(gaps) > 12 {
		gaps = gaps[:12]
	}
	out := make([]float64, len(gaps))
	for i, g := range gaps {
		out[i] = g.at
	}
	return out
}

// trended relabels by a threshold that runs midway between a line through the
// fast and a line through the slow levels, twice. It reports whether anything
// changed.
func trended(level []piece, fast []bool) bool {
	changed := false
	for range 2 {
		a1, b1, ok1 := lineThrough(level, fast, true)
		a0, b0, ok0 := lineThrough(level, fast, false)
		if !ok1 || !ok0 {
			return changed
		}
		for i, p := range level {
			t := float64(p.lo+p.hi) / 2
			f := p.mean > (a1+b1*t+a0+b0*t)/2
			if f != fast[i] {
				fast[i], changed = f, true
			}
		}
	}
	return changed
}

// lineThrough fits speed over time, a + b*t in m/s with t in cells, to the pieces
// of one label; ok is false for fewer than three.
func lineThrough(level []piece, fast []bool, which bool) (a, b float64, ok bool) {
	var w, st, sv, stt, stv float64
	k := 0
	for i, p := range level {
		if fast[i] != which || p.w == 0 {
			continue
		}
		t := float64(p.lo+p.hi) / 2
		k++
		w, st, sv, stt, stv = w+p.w, st+p.w*t, sv+p.w*p.mean, stt+p.w*t*t, stv+p.w*t*p.mean
	}
	if k < 3 {
		return 0, 0, false
	}
	d := w*stt - st*st
	if d <= 0 {
		return 0, 0, false
	}
	b = (w*stv - st*sv) / d
	return (sv - b*st) / w, b, true
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
	out := labelling{before: l.before, after: l.after}
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
	for i, w := range l.works {
		v := o.works[i]
		if w.lo-v.lo > slack || v.lo-w.lo > slack || w.hi-v.hi > slack || v.hi-w.hi > slack {
			return false
		}
	}
	return true
}

// contrast is the lowest and the median speed contrast between a rep and its
// neighbours, as ratios minus one; NaN when there is nothing to compare with.
func (l labelling) contrast() (least, typical float64) {
	var all []float64
	for i, w := range l.works {
		for k, o := range l.sides(i) {
			outer := k == 0 && i == 0 || k == 1 && i == len(l.works)-1
			if o.seconds() >= 1 && (!outer || o.seconds() >= 30) {
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
