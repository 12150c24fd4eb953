package match

import (
	"math"

	"example.org/rungs/segment"
)

// sameEdgeS is how far an edge of a rep may lie from that of a piece of work in the
// session's own split and be the same, s. Where the two differ by more the plan knows
// better where the rep ended than the speed does. Presses of a button lie as far from changes
// of speed (common practice, no source).
const sameEdgeS = 3.0

// agree lets the edges of reps that the split without the plan found too be those of
// the split, so that both tell the same of the same rep.
func (sp *speeds) agree(ts []task, path []placed, edges []edge) {
	for k, p := range path {
		if !(edges[k+1].at > edges[k].at) || p.move != moveFast && !(p.move == moveStep && ts[p.task].work) {
			continue
		}
		if g := sp.found(edges[k], edges[k+1]); g != nil {
			setEdge(path, edges, k, edge{g.StartS, g.StartSE})
			setEdge(path, edges, k+1, edge{g.EndS, g.EndSE})
		}
	}
	for k := 1; k < len(edges); k++ {
		edges[k].at = math.Max(edges[k].at, edges[k-1].at)
	}
}

// setEdge moves edge k, and with it those of steps without a length that stand there.
func setEdge(path []placed, edges []edge, k int, e edge) {
	edges[k] = e
	for i := k; i < len(path) && !(path[i].end > path[i].start); i++ {
		edges[i+1] = e
	}
	for i := k - 1; i >= 0 && !(path[i].end > path[i].start); i-- {
		edges[i] = e
	}
}

// found is the piece of work of the session's split between two edges; nil when there
// is none.
func (sp *speeds) found(a, b edge) *segment.Segment {
	for i := range sp.s.Segments {
		g := &sp.s.Segments[i]
		if g.Role == segment.Work && a.meets(edge{g.StartS, g.StartSE}) && b.meets(edge{g.EndS, g.EndSE}) {
			return g
		}
	}
	return nil
}

// meets tells whether two edges may be the same.
func (a edge) meets(b edge) bool { return math.Abs(a.at-b.at) <= sameEdgeS }
