package changepoint

import "math"

// An envelope is the lower envelope, over the level u of the last segment, of the
// costs that go with the possible starts of that segment. Each start's cost is
// piecewise quadratic in u.
type envelope struct {
	lo, hi float64 // range of u
	pieces []piece // from left to right, touching, together [lo, hi]
	spare  []piece
}

// A piece is an interval of u in which one start is the lowest. It reaches from the
// end of the piece before it, or lo, to end.
type piece struct {
	quadratic
	end   float64
	start int
}

// A quadratic is c + 2 b u - a u^2.
type quadratic struct{ a, b, c float64 }

func (q quadratic) at(u float64) float64 { return q.c + (2*q.b-q.a*u)*u }

func (q quadratic) plus(p quadratic) quadratic { return quadratic{q.a + p.a, q.b + p.b, q.c + p.c} }

func (q quadratic) minus(p quadratic) quadratic { return quadratic{q.a - p.a, q.b - p.b, q.c - p.c} }

// lowest is the minimum of a convex q over [from, to].
func (q quadratic) lowest(from, to float64) float64 {
	if q.a < 0 {
		return q.at(min(to, max(from, q.b/q.a)))
	}
	return min(q.at(from), q.at(to))
}

// add puts in a start whose cost n, the same for all u in range, must be such
// that its difference from each member is concave: n.a not less than theirs. A
// member keeps the levels where it is not higher than n.
func (e *envelope) add(n piece) {
	if len(e.pieces) == 0 {
		n.end = e.hi
		e.pieces = append(e.pieces, n)
		return
	}
	out := e.spare[:0]
	lo, fresh := e.lo, false // fresh: the last piece of out is n's
	give := func(end float64) {
		if n.end = end; fresh {
			out[len(out)-1].end = end
			return
		}
		out = append(out, n)
		fresh = true
	}
	for i := range e.pieces {
		r := &e.pieces[i]
		hi := r.end
		d := n.minus(r.quadratic)
		from, to := lo, hi
		if left, right := d.at(lo) >= 0, d.at(hi) >= 0; !left || !right {
			from, to = d.positive(lo, hi, left, right)
		}
		switch {
		case from > to || from == to && lo < hi:
			give(hi)
		default:
			if from > lo {
				give(from)
			}
			out = append(out, *r)
			out[len(out)-1].end = to
			if fresh = false; to < hi {
				give(hi)
			}
		}
		lo = hi
	}
	e.spare, e.pieces = e.pieces, out
}

// positive is the interval of [lo, hi] where d, concave, is not negative, given
// whether it is so at lo and at hi. from > to when there is none.
func (d quadratic) positive(lo, hi float64, left, right bool) (from, to float64) {
	disc := d.b*d.b + d.a*d.c
	if !left && !right && !(lo < hi && d.a > 0 && disc > 0) {
		return hi, lo - 1
	}
	// The roots are (b ± sqrt(disc))/a, with product -c/a. The one of greater
	// magnitude comes first, so that nothing cancels; a may be 0.
	q := d.b + math.Copysign(math.Sqrt(max(0, disc)), d.b)
	u, v := 0.0, 0.0
	if q != 0 {
		u, v = -d.c/q, q/d.a
	}
	if q < 0 {
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
