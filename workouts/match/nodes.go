package match

import (
	"cmp"
	"math"
	"slices"

	"example.org/rungs/segment"
)

// A node is a moment at which a step may begin or end.
type node struct {
	at    int     // seconds from the first record
	price float64 // of ending a stretch here
}

// Prices of ending a stretch at a moment.
const (
	priceLap  = 0.0 // the runner pressed the lap button
	priceEdge = 1.0 // the speed changes
	priceGrid = 2.5 // nothing happens
)

// nodes lists the candidate moments: the edges and segments of the session,
// lap presses, edges that someone told, its own scan for steps of speed, and a coarse grid so that a
// plan can be laid over running without any edge: a moment at least every
// everyS seconds.
func (sp *speeds) nodes(everyS int) []node {
	var out []node
	add := func(at, price float64) {
		if at >= 0 && at <= float64(sp.n) {
			out = append(out, node{int(math.Round(at)), price})
		}
	}
	for _, e := range sp.s.Edges() {
		add(e.AtS, priceEdge)
	}
	for _, g := range sp.s.Segments {
		add(g.StartS, priceEdge)
		add(g.EndS, priceEdge)
	}
	for _, at := range sp.presses {
		add(at, priceLap)
	}
	for _, e := range sp.told {
		add(e.at, priceLap)
	}
	for _, w := range []int{8, 25} {
		for _, at := range sp.steps(w) {
			add(float64(at), priceEdge)
		}
	}
	for at := 0; at < sp.n; at += everyS {
		add(float64(at), priceGrid)
	}
	for i := range sp.n {
		if (sp.halt[i+1] > sp.halt[i]) != (i > 0 && sp.halt[i] > sp.halt[i-1]) {
			add(float64(i), priceEdge)
		}
	}
	add(0, priceEdge)
	add(float64(sp.n), priceEdge)
	slices.SortFunc(out, func(a, b node) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.price, b.price)) })
	return thin(out)
}

// atPress prices an edge away from the nearest press of the lap button: presses
// come within a second or two, and some are forgotten or mean something else.
func (sp *speeds) atPress(t float64) float64 {
	const sd, most = 1.5, 4.0 // s, nats
	k, _ := slices.BinarySearch(sp.presses, t)
	c := most
	for _, i := range []int{k - 1, k} {
		if i >= 0 && i < len(sp.presses) {
			d := (t - sp.presses[i]) / sd
			c = math.Min(c, d*d/2)
		}
	}
	return c
}

// toldEdges are the edges of the reps of a session, where someone said that these were.
func toldEdges(s *segment.Session) (out []edge) {
	for _, g := range s.Segments {
		if s.Told != nil && g.Role == segment.Work {
			out = append(out, edge{g.StartS, g.StartSE}, edge{g.EndS, g.EndSE})
		}
	}
	return out
}

// nearTold is how near to an edge that someone told that of a rep is taken for it, s: as far
// as the speed may have moved it, and a cell.
const nearTold = refineS + 1

// asTold is the edge that someone told, where that is near; else the edge itself.
func (sp *speeds) asTold(e edge) edge {
	best := e
	for _, t := range sp.told {
		if d := math.Abs(t.at - e.at); d <= nearTold && (best == e || d < math.Abs(best.at-e.at)) {
			best = t
		}
	}
	return best
}

// thin drops nodes next to better ones; the first and the last stay.
func thin(in []node) []node {
	const near = 3 // s
	var out []node
	for i, c := range in {
		if k := len(out) - 1; k > 0 && c.at-out[k].at < near {
			if c.price < out[k].price || i == len(in)-1 {
				out[k] = c
			}
			continue
		}
		out = append(out, c)
	}
	return out
}

// steps lists the seconds at which the mean speed of the w seconds after
// differs most from that of the w seconds before, as far as it beats noise.
func (sp *speeds) steps(w int) []int {
	d := make([]float64, sp.n+1)
	for i := range d {
		lo, hi := max(0, i-w), min(sp.n, i+w)
		if i-lo < 4 || hi-i < 4 {
			continue
		}
		after := (sp.look[hi] - sp.look[i]) / float64(hi-i)
		before := (sp.look[i] - sp.look[lo]) / float64(i-lo)
		d[i] = math.Abs(after - before)
	}
	least := 3 * sp.longRn * math.Sqrt(2/float64(w))
	var out []int
	for i := 1; i < sp.n; i++ {
		if d[i] < least || math.IsNaN(d[i]) {
			continue
		}
		top := true
		for k := max(0, i-w/2); k <= min(sp.n, i+w/2) && top; k++ {
			top = d[k] < d[i] || d[k] == d[i] && k >= i
		}
		if top {
			out = append(out, i)
		}
	}
	return out
}
