package segment

import (
	"cmp"
	"math"
	"slices"
)

// A Label is a stretch that is said to have a role.
type Label struct {
	Role           Role
	Set, Rep       int
	StartS, EndS   float64 // s from the first record
	StartSE, EndSE float64 // standard error of each edge, s
}

// Relabel is the session read anew by someone who knows what was run: labels, in
// any order, with what lies between them filled in. What comes before the first
// work is a warm-up, behind the last a cool-down, between two reps a recovery, and
// in a session without work easy running; what was stood for a quarter of a minute
// outside work and recoveries is a stop. Where labels overlap the later one begins where the
// one before ends. Structure is what the session is said to be. The session itself
// stays as it is.
//
// Branches: a role by where a stretch lies, and the edges of labels that overlap.
func (s *Session) Relabel(labels []Label, structure []Block) *Session {
	out := *s
	out.Segments, out.Structure, out.RunnerUp, out.Told = nil, structure, nil, nil
	out.Warnings = slices.Clone(s.Warnings)
	out.Evidence, out.Probability, out.Sure = math.NaN(), 1, 1
	labels = slices.Clone(labels)
	slices.SortStableFunc(labels, func(a, b Label) int { return cmp.Compare(a.StartS, b.StartS) })
	first, last := len(labels), -1
	for i, l := range labels {
		if l.Role == Work {
			first, last = min(first, i), i
		}
	}
	end := s.Recording.Duration()
	at := edge{}
	fill := func(before int, to edge) { // what lies between label before-1 and label before
		if !(to.at-at.at >= 1) {
			return
		}
		role, set, rep := Recovery, 0, 0
		switch {
		case last < 0:
			role = Easy
		case before <= first:
			role = Warm
		case before > last:
			role = Cool
		default:
			set, rep = labels[before-1].Set, labels[before-1].Rep
		}
		out.fill(role, set, rep, at, to)
		at = to
	}
	for i, l := range labels {
		from, to := edge{l.StartS, l.StartSE}, edge{l.EndS, l.EndSE}
		from.at, to.at = math.Max(from.at, at.at), math.Min(to.at, end)
		if !(to.at > from.at) {
			continue
		}
		fill(i, from)
		if i > 0 && from.at-at.at > 0 { // less than a second is no segment of its own
			from = at
		} else if i == 0 && from.at > 0 && len(out.Segments) == 0 {
			from.at = 0
		}
		if l.Role == Work { // which is whole, whatever stands in it
			out.Segments = append(out.Segments, s.measure(l.Role, l.Set, l.Rep, from, to))
		} else {
			out.fill(l.Role, l.Set, l.Rep, from, to)
		}
		at = to
	}
	fill(len(labels), edge{at: end})
	if n := len(out.Segments); n > 0 && out.Segments[n-1].EndS < end {
		g := out.Segments[n-1]
		out.Segments[n-1] = s.measure(g.Role, g.Set, g.Rep, edge{g.StartS, g.StartSE}, edge{at: end})
	}
	return &out
}

// What is stood in a stretch is a stop when it is so long, and what is run beside it a
// segment of its own, s: common practice, no source.
const (
	leastStopS   = 15
	leastBesideS = 5
)

// fill adds a stretch of a role, apart from what of it was stood.
func (s *Session) fill(role Role, set, rep int, from, to edge) {
	add := func(role Role, set, rep int, a, b edge) {
		if b.at > a.at {
			s.Segments = append(s.Segments, s.measure(role, set, rep, a, b))
		}
	}
	if role != Recovery {
		for _, p := range s.stood() {
			a, b := edge{math.Max(p.StartS, from.at), 2}, edge{math.Min(p.EndS, to.at), 2}
			if !(b.at-a.at >= leastStopS) {
				continue
			}
			if a.at-from.at < leastBesideS {
				a = from
			}
			if to.at-b.at < leastBesideS {
				b = to
			}
			add(role, set, rep, from, a)
			add(Stop, 0, 0, a, b)
			from = b
		}
	}
	add(role, set, rep, from, to)
}
