package likeness

import (
	"math"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/trend"
)

// laid is two courses against each other.
type laid struct {
	a, b   Course
	scales scales // of b
	pairs  []pair // of the best way, from the last to the first

	rests []float64 // what the recoveries of a and b are worth to each other, row by row of a
}

// A pair says that reps a[i-n+1..i] correspond to reps b[j-m+1..j].
type pair struct{ i, j, n, m int }

// mostSkipped is how many reps may be left out between two pairs whose
// recoveries are still compared.
const mostSkipped = 3

// cell is the best way that ends with a pair at its place.
type cell struct {
	like float64
	pair pair
	from *cell
}

// best finds the way of laying the courses against each other, in order, under
// which most corresponds, and returns how much that is in weights of both: a
// dynamic program over the last pair. A test holds it to trying every way.
func (l *laid) best() float64 {
	l.weighRests()
	n, m := len(l.a.reps), len(l.b.reps)
	cells := make([]cell, n*m)
	upTo := make([]*cell, (n+1)*(m+1)) // best cell within a[:i], b[:j]
	at := func(i, j int) *cell { return &cells[i*m+j] }
	var best *cell
	for i := range n {
		for j := range m {
			c := at(i, j)
			c.like = math.Inf(-1)
			for _, join := range joins {
				p := pair{i, j, join[0], join[1]}
				if p.n > i+1 || p.m > j+1 {
					continue
				}
				gain := l.gain(p)
				from, with := l.before(p, at, upTo)
				if v := gain + with; v > c.like {
					*c = cell{v, p, from}
				}
			}
			u := c
			for _, o := range []*cell{upTo[i*(m+1)+j+1], upTo[(i+1)*(m+1)+j]} {
				if o != nil && o.like >= u.like {
					u = o
				}
			}
			upTo[(i+1)*(m+1)+j+1] = u
			best = u
		}
	}
	l.pairs = nil
	if best == nil {
		return 0
	}
	for c := best; c != nil; c = c.from {
		l.pairs = append(l.pairs, c.pair)
	}
	return best.like
}

// joins are how many reps of the one and of the other may make a pair, and mostJoined the
// most of these.
var joins = [][2]int{{1, 1}, {2, 1}, {1, 2}, {3, 1}, {1, 3}}

const mostJoined = 3

// before finds the best way up to a pair, with the likeness of the recoveries
// in front of it.
func (l *laid) before(p pair, at func(i, j int) *cell, upTo []*cell) (*cell, float64) {
	i, j := p.i-p.n, p.j-p.m // the last reps before the pair
	var from *cell
	most := 0.0
	if i < 0 || j < 0 {
		return nil, 0
	}
	if c := upTo[(i+1)*(len(l.b.reps)+1)+j+1]; c != nil && c.like > most {
		from, most = c, c.like
	}
	try := func(ci, cj int) {
		if ci < 0 || cj < 0 {
			return
		}
		c := at(ci, cj)
		if v := c.like + l.rest(ci, i, cj, j); v > most {
			from, most = c, v
		}
	}
	try(i, j)
	for k := 1; k <= mostSkipped; k++ {
		try(i-k, j)
		try(i, j-k)
	}
	return from, most
}

// gain is how much of the reps of a pair corresponds.
func (l *laid) gain(p pair) float64 {
	a, wa, okA := joined(l.a, p.i-p.n+1, p.i)
	b, wb, okB := joined(l.b, p.j-p.m+1, p.j)
	if !okA || !okB {
		return 0
	}
	return (wa + wb) * l.like(p, a, b)
}

// like is how far the reps of a pair, joined, are alike.
func (l *laid) like(p pair, a, b stretch) float64 {
	v := alike(a, b, repSpread, l.scales)
	if p.n > 1 || p.m > 1 {
		v *= joinedLike
	}
	if a.unit == workouts.Time && b.unit == workouts.Distance || a.unit == workouts.Distance && b.unit == workouts.Time {
		v *= unitLike
	}
	return v
}

func (l *laid) pairLike(p pair) float64 {
	a, _, okA := joined(l.a, p.i-p.n+1, p.i)
	b, _, okB := joined(l.b, p.j-p.m+1, p.j)
	if !okA || !okB {
		return 0
	}
	return l.like(p, a, b)
}

// joined is reps from..to as one, with what lies between them, and their
// weight together; ok is false when too much lies between them.
func joined(c Course, from, to int) (s stretch, w float64, ok bool) {
	s = c.reps[from]
	w = repWeight(s)
	for k := from + 1; k <= to; k++ {
		rest := c.rests[k-1]
		if rest.seconds.value > 0.25*math.Min(c.reps[k-1].seconds.value, c.reps[k].seconds.value) && classOf(rest.manner) != floated {
			return s, w, false
		}
		s = s.plus(rest).plus(c.reps[k])
		if rest.seconds.value > 0 {
			w = repWeight(s)
		} else {
			w += repWeight(c.reps[k])
		}
	}
	return s, w, true
}

// weighRests works out how much of any two recoveries corresponds.
func (l *laid) weighRests() {
	l.rests = l.rests[:0]
	for _, a := range l.a.rests {
		for _, b := range l.b.rests {
			l.rests = append(l.rests, (weightOfRest(a)+weightOfRest(b))*restAlike(a, b, l.scales))
		}
	}
}

// rest is how much of the recoveries corresponds between a pair that ended
// with a[i0], b[j0] and one that begins behind a[i], b[j]. Where reps were
// left out, the first or the last of their recoveries may be the one.
func (l *laid) rest(i0, i, j0, j int) float64 {
	m := len(l.b.rests)
	return max(l.rests[i0*m+j0], l.rests[i0*m+j], l.rests[i*m+j0], l.rests[i*m+j])
}

// commonScales are the median errors of b's reps, over the pairs of one rep
// each that are compared in metres, or in times of which one was worked out
// with an assumed pace; 0 when there are few.
func (l *laid) commonScales() scales {
	var metres, seconds []float64
	for _, p := range l.pairs {
		a, b := l.a.reps[p.i], l.b.reps[p.j]
		switch {
		case p.n > 1 || p.m > 1 || a.open || b.open:
		case inMetres(a, b):
			metres = append(metres, math.Log(b.metres.value/a.metres.value))
		case a.seconds.relSE+b.seconds.relSE >= fromAssumed:
			seconds = append(seconds, math.Log(b.seconds.value/a.seconds.value))
		}
	}
	return scales{middle(metres, mostMetres), middle(seconds, mostSeconds)}
}

// middle is the median of two values or more, within bounds.
func middle(v []float64, most float64) float64 {
	if len(v) < 2 {
		return 0
	}
	return math.Max(-most, math.Min(most, trend.Median(v)))
}
