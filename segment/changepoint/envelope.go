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

func (q quadratic) minus(p quadratic) quadratic { return quadratic{q.a - p.a, q.b - p.b, q.c - p.c} }

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
	whole := 0 // pieces from here on stay whole and wait to be copied
	for i := range e.pieces {
		r := &e.pieces[i]
		d := n.minus(r.quadratic)
		left, right := d.at(lo) >= 0, d.at(r.end) >= 0
		if left && right {
			lo = r.end
			continue
		}
		if whole < i {
			out = append(out, e.pieces[whole:i]...)
			fresh = false
		}
		whole = i + 1
		from, to := d.positive(lo, r.end, left, right)
		if from < to {
			if lo < from {
				give(from)
			}
			out = append(out, piece{r.quadratic, to, r.start})
			fresh = false
		}
		if from >= to || to < r.end {
			give(r.end)
		}
		lo = r.end
	}
	out = append(out, e.pieces[whole:]...)
	e.spare, e.pieces = e.pieces, out
}

// positive is the interval of [lo, hi] where q, concave, is not negative, given
// whether it is so at lo and at hi, but not at both; from >= to if there is none.
func (q quadratic) positive(lo, hi float64, left, right bool) (from, to float64) {
	var u, v float64 // the roots
	if q.a > 0 {
		// They are m ± sqrt(m^2 + g), with product -g. The one of greater
		// magnitude comes first, so that nothing cancels.
		m, g := q.b/q.a, q.c/q.a
		disc := m*m + g
		if !left && !right && !(disc > 0) {
			return hi, lo
		}
		if v = m + math.Copysign(math.Sqrt(max(0, disc)), m); v != 0 {
			u = -g / v
		}
		if u > v {
			u, v = v, u
		}
	} else {
		if left == right {
			return hi, lo
		}
		u = -q.c / q.b / 2
		v = u
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
