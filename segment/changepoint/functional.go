package changepoint

import (
	"math"
	"slices"
)

// Functional pruning: the cost of the last segment is looked at as a function of
// its level u, and a start that is the lowest at no level is dropped. Maidstone,
// Hocking, Rigaill, Fearnhead 2017, Stat. Comput. 27:519-533, and for Huber's loss
// Fearnhead & Rigaill 2019, JASA 114:169-183, treat the case without a minimum
// length.
//
// Why it is exact with minimum lengths. Give start s and level u at end t the cost
//
//	q(s, t, u) = past[s] + sum of w[i] rho(y[i] - u) for i in [s, t),
//
// so that past[s] + C(s, t) is its minimum over u. For two starts r, s
//
//	q(s, t, u) - q(r, t, u)
//
// does not depend on t, once t is beyond both. Starts are put in the envelope only
// when the first end comes that allows them, and every later end allows them too
// (see starts). So at any end all members are allowed, now and for all ends to
// come; a start that loses to a member at u loses to it for ever; and a start
// that is not yet allowed can beat nobody. Hence the envelope at t is the minimum
// of q(s, t, u) over all allowed s, pruned or not, and its minimum over u is
// the one asked for.

// l2Last is functional pruning for L2. With the prefix sums A, B, C of w, wy, wyy
//
//	q(s, t, u) = past[s] + (A(t)-A(s)) u^2 - 2 (B(t)-B(s)) u + C(t)-C(s),
//
// and the envelope holds its part that depends on s. It needs no update with t.
type l2Last struct {
	sums []moment
	envelope
	next int // the first start not yet let in
}

func newL2Last(c *L2) *l2Last {
	return &l2Last{sums: c.sums, envelope: envelope{lo: c.lo, hi: c.hi}}
}

func (l *l2Last) upTo(t, latest int, past []float64) (float64, int32, error) {
	for ; l.next <= latest; l.next++ {
		if p := past[l.next]; !math.IsInf(p, 1) {
			m := l.sums[l.next]
			l.add(piece{quadratic: quadratic{m.w, m.wy, p - m.wyy}, start: l.next})
		}
	}
	// Each member's own minimum over all u will do as well as that over its
	// piece: no allowed start has a lower one than the optimum.
	m := l.sums[t]
	best, start := math.Inf(1), 0
	for i := range l.pieces {
		p := &l.pieces[i]
		v := p.c + m.wyy
		if w := m.w - p.a; w > 0 {
			d := m.wy - p.b
			v -= d / w * d
		}
		if v < best {
			best, start = v, p.start
		}
	}
	return best, int32(start), nil
}

// huberLast is functional pruning for Huber's loss. The envelope holds q(s, T, u)
// for T = the latest allowed start, and the samples in [T, t), which all members
// share, are kept apart in a window.
type huberLast struct {
	c *Huber
	envelope
	next   int    // the first start not yet let in
	window []bend // of the samples in [next-1, t), by growing level
}

// A bend is a level where the loss of a sample passes from one quadratic to the
// next, with the difference of the two.
type bend struct {
	quadratic
	at float64
}

func newHuberLast(c *Huber) *huberLast {
	return &huberLast{c: c, envelope: envelope{lo: c.lo, hi: c.hi}}
}

// below is the loss of samples with sums m for levels below all of them by more
// than k: w k (2 (y - u) - k).
func (l *huberLast) below(m moment) quadratic {
	k := l.c.k
	return quadratic{b: -k * m.w, c: k * (2*m.wy - k*m.w)}
}

// bends of sample i.
func (l *huberLast) bends(i int) [2]bend {
	y, w, k := l.c.y[i], l.c.w[i], l.c.k
	lo, hi := y-k, y+k
	return [2]bend{
		{quadratic{-w, -w * lo, w * lo * lo}, lo},
		{quadratic{w, w * hi, -w * hi * hi}, hi},
	}
}

func (l *huberLast) upTo(t, latest int, past []float64) (float64, int32, error) {
	if l.c.w[t-1] > 0 {
		for _, b := range l.bends(t - 1) {
			at, _ := slices.BinarySearchFunc(l.window, b, compareBends)
			l.window = slices.Insert(l.window, at, b)
		}
	}
	for ; l.next <= latest; l.next++ {
		if l.next > 0 {
			l.pass(l.next - 1)
		}
		if p := past[l.next]; !math.IsInf(p, 1) {
			l.add(piece{quadratic: quadratic{c: p}, start: l.next})
		}
	}
	if latest < 0 {
		return math.Inf(1), 0, nil
	}
	sum, start := l.lowest(l.below(l.c.sums[t].minus(l.c.sums[latest])))
	return sum, start, nil
}

func compareBends(a, b bend) int {
	switch {
	case a.at < b.at:
		return -1
	case a.at > b.at:
		return 1
	case a.a < b.a:
		return -1
	case a.a > b.a:
		return 1
	}
	return 0
}

// pass moves sample i from the window into the envelope.
func (l *huberLast) pass(i int) {
	w := l.c.w[i]
	if w == 0 {
		return
	}
	bends := l.bends(i)
	for _, b := range bends {
		at, _ := slices.BinarySearchFunc(l.window, b, compareBends)
		l.window = slices.Delete(l.window, at, at+1)
	}
	add := l.below(moment{w: w, wy: w * l.c.y[i]})
	out := l.spare[:0]
	from := l.lo
	next := 0
	for _, p := range l.pieces {
		for ; next < 2 && bends[next].at < p.end; next++ {
			if at := bends[next].at; at > from {
				out = append(out, piece{p.plus(add), at, p.start})
				from = at
			}
			add = add.plus(bends[next].quadratic)
		}
		p.quadratic = p.plus(add)
		out = append(out, p)
		from = p.end
	}
	l.spare, l.pieces = l.pieces, out
}

// lowest is the minimum over u of the envelope plus the window, whose loss below
// all bends is add, and the start that reaches it.
func (l *huberLast) lowest(add quadratic) (float64, int32) {
	best, start := math.Inf(1), 0
	from := l.lo
	next := 0
	for i := range l.pieces {
		p := l.pieces[i]
		for {
			for next < len(l.window) && l.window[next].at <= from {
				add = add.plus(l.window[next].quadratic)
				next++
			}
			to := p.end
			if next < len(l.window) && l.window[next].at < to {
				to = l.window[next].at
			}
			if v := p.plus(add).lowest(from, to); v < best {
				best, start = v, p.start
			}
			from = to
			if to == p.end {
				break
			}
		}
	}
	return best, int32(start)
}
