package segment

import (
	"math"
	"slices"
)

// proposals are labellings to be judged, each once.
type proposals struct {
	list   []labelling
	seen   map[uint64]bool // by key
	gauged map[uint64]bool // by key
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
	for _, c := range l.clusters() {
		if p.fresh(c.key()) {
			p.list = append(p.list, c)
		}
	}
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

func (j *judge) proposals(p *proposals) {
	p.swells(j.pieces)
	levels, survives := ladderOf(j.pieces, finest(j.tr, j.speed))
	j.survives = survives
	for _, level := range levels {
		p.contrasts(level)
	}
	p.contrasts(j.betweenPresses())
	p.contrasts(j.kilometres(0, len(j.speed)))
	if l, ok := j.led(); ok && p.fresh(l.key()) {
		p.list = append(p.list, l)
	}
}

// betweenPresses is the recording cut at the lap presses; nil for too few.
func (j *judge) betweenPresses() []piece {
	if len(j.presses) < fewestPresses {
		return nil
	}
	var level []piece
	lo, n := 0, len(j.speed)
	for _, m := range j.presses {
		if at := int(math.Round(m)); at-lo >= shortest && n-at >= shortest {
			level = append(level, j.piece(lo, at))
			lo = at
		}
	}
	return append(level, j.piece(lo, n))
}

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
