package changepoint

import "math"

// Functional pruning: the cost of the last segment is looked at as a function of
// its level u, and a start that is the lowest at no level is dropped. Maidstone,
// Hocking, Rigaill, Fearnhead 2017, Stat. Comput. 27:519-533, treat the case
// without a minimum length.
//
// Why it is exact with minimum lengths. Give start s and level u at end t the cost
//
//	q(s, t, u) = past[s] + sum of w[i] (y[i] - u)^2 for i in [s, t),
//
// so that past[s] + C(s, t) is its minimum over u. For two starts r, s
//
//	q(s, t, u) - q(r, t, u)
//
// does not depend on t, once t is beyond both. Starts are put in the envelope only
// when the first end comes that allows them, and every later end allows them
// too. So at any end all members are allowed, now and for all ends to come; a start that loses to a member at u loses to it for ever; and a start
// that is not yet allowed can beat nobody. Hence the envelope at t is the minimum
// of q(s, t, u) over all allowed s, pruned or not, and its minimum over u is
// the one asked for.

// A lastSegment finds the best start of the last segment, for one end after another,
// by functional pruning. With the prefix sums A, B, C of w, wy, wyy
//
//	q(s, t, u) = past[s] + (A(t)-A(s)) u^2 - 2 (B(t)-B(s)) u + C(t)-C(s),
//
// and the envelope holds its part that depends on s. It needs no update with t.
type lastSegment struct {
	sums []moment
	envelope
	next int // the first start not yet let in
}

func newLastSegment(c *L2) *lastSegment {
	return &lastSegment{sums: c.sums, envelope: envelope{lo: c.lo, hi: c.hi}}
}

// upTo gives the least past[s] + C(s, t) over 0 <= s <= latest and the s that
// reaches it; +Inf when there is none. It is called with t = 1, 2, ..., n, with
// latest < t never falling, and past[s] final once s <= latest. past[s] is +Inf
// for a start that cannot be.
func (l *lastSegment) upTo(t, latest int, past []float64) (float64, int32) {
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
	return best, int32(start)
}
