package changepoint

import "math"

// An envelope is the lower envelope, over the level u of the last segment, of
// the costs of all starts of that segment that may still win.
//
// Write A, B, C for the prefix sums of w, wy, wyy. A start s whose past costs
// P(s) gives, with the last segment [s, t) at level u, the cost
//
//	q(s, t, u) = P(s) + (A(t)-A(s)) u^2 - 2 (B(t)-B(s)) u + C(t)-C(s).
//
// For two starts the difference q(s, t, u) - q(r, t, u) does not depend on t: it
// is decided once, and a start that is nowhere the lowest never will be.
//
// Minimum lengths: this argument compares starts for the same end t, and holds
// for all ends that allow both. A start is therefore put in only at the first
// end that allows it; from then on every end allows it (see starts), so all
// members of the envelope are allowed for all ends to come, and none is ever
// beaten by a start that is not allowed yet. Nothing else is needed: P(s) was
// final at s, and those between the latest allowed start and t are simply not in
// the envelope. So
//
//	min over allowed s of P(s) + C(s, t) = min over u of the envelope at t
//
// exactly, and the left side taken over the members alone has the same value.
// (Maidstone, Hocking, Rigaill, Fearnhead 2017, Stat. Comput. 27:519-533, treat
// the case without a minimum length.)
type envelope struct {
	lo     float64 // all means lie in [lo, hi]
	hi     float64
	pieces []piece // from left to right, touching, together [lo, hi]
	spare  []piece
}

// A piece is an interval of levels where one start is the lowest. It reaches
// from the end of the piece before it (or lo) to end.
type piece struct {
	end   float64
	a, b  float64 // A(s), B(s)
	c     float64 // P(s) - C(s)
	start int
}

func (e *envelope) reset(lo, hi float64) {
	e.lo, e.hi = lo, hi
	e.pieces = e.pieces[:0]
}

// add puts in the start s with past cost p, where m are the sums before s.
func (e *envelope) add(s int, p float64, m moment) {
	n := piece{e.hi, m.w, m.wy, p - m.wyy, s}
	if len(e.pieces) == 0 {
		e.pieces = append(e.pieces, n)
		return
	}
	out := e.spare[:0]
	lo := e.lo
	fresh := false // the last piece of out is n's
	give := func(end float64) {
		if fresh {
			out[len(out)-1].end = end
			return
		}
		n.end = end
		out = append(out, n)
		fresh = true
	}
	for _, r := range e.pieces {
		// n minus r, which is concave: d0 + 2 d1 u - d2 u^2. r stays where
		// this is not negative.
		hi := r.end
		d0, d1, d2 := n.c-r.c, n.b-r.b, n.a-r.a
		left := d0+(2*d1-d2*lo)*lo >= 0
		right := d0+(2*d1-d2*hi)*hi >= 0
		if left && right {
			out = append(out, r)
			fresh, lo = false, hi
			continue
		}
		from, to := lo, hi
		if !left || !right {
			from, to = span(d0, d1, d2, lo, hi, left, right)
		}
		if from >= to {
			give(hi)
			lo = hi
			continue
		}
		if from > lo {
			give(from)
		}
		r.end = to
		out = append(out, r)
		fresh = false
		if to < hi {
			give(hi)
		}
		lo = hi
	}
	e.spare, e.pieces = e.pieces, out
}

// span is the part of [lo, hi] where d0 + 2 d1 u - d2 u^2 is not negative, given
// whether it holds at the ends; it is empty when from >= to.
func span(d0, d1, d2, lo, hi float64, left, right bool) (from, to float64) {
	if d2 <= 0 { // a line
		if !left && !right {
			return hi, lo
		}
		u := min(hi, max(lo, -d0/(2*d1)))
		if left {
			return lo, u
		}
		return u, hi
	}
	disc := d1*d1 + d0*d2
	if !(disc > 0) && !left && !right {
		return hi, lo
	}
	// The two roots, without cancellation: their product is -d0/d2.
	q := d1 + math.Copysign(math.Sqrt(max(0, disc)), d1)
	u, v := q/d2, q/d2
	if q != 0 {
		v = -d0 / q
	}
	if u > v {
		u, v = v, u
	}
	from, to = lo, hi
	if !left {
		from = min(hi, max(lo, u))
	}
	if !right {
		to = min(hi, max(lo, v))
	}
	return from, to
}

// min gives the least cost of a segmentation of the samples up to t, whose sums
// are m, and the start of its last segment; +Inf and 0 when there is none.
func (e *envelope) min(m moment) (float64, int32) {
	best, start := math.Inf(1), 0
	for i := range e.pieces {
		p := &e.pieces[i]
		v := p.c + m.wyy
		if dw := m.w - p.a; dw > 0 {
			d := m.wy - p.b
			v -= d * d / dw
		}
		if v < best {
			best, start = v, p.start
		}
	}
	return best, int32(start)
}

// searchL2 is searchAny with functional pruning.
func searchL2(c *L2, penalty float64, o Options) []int32 {
	n := c.Len()
	best := make([]float64, n+1)
	from := make([]int32, n+1)
	best[0] = -penalty
	var e envelope
	e.reset(c.lo, c.hi)
	next := 0
	border := o.starts()
	for t := 1; t <= n; t++ {
		for latest := border.upTo(t); next <= latest; next++ {
			if !math.IsInf(best[next], 1) {
				e.add(next, best[next]+penalty, c.sums[next])
			}
		}
		best[t], from[t] = e.min(c.sums[t])
	}
	return from
}
