package segment

import (
	"cmp"
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// A Reading is one way to read a recording.
type Reading struct {
	Probability float64 // of the reps being these; those of all readings add up to 1 at most
	Session     *Session
}

// Readings that are not worth a thought: less probable than this, or behind so many others.
// Common practice, no source.
const (
	leastProbable = 0.01
	mostReadings  = 5
	mostSharpened = 12 // which takes a millisecond each
)

// Readings are the ways to read the recording that are worth a thought, that of Split first,
// then the others from the most probable on; running without a plan is one. They differ in
// their reps by more than seconds. A session that Split did not make has none.
func (s *Session) Readings() []Reading {
	if s.judge == nil {
		return nil
	}
	groups := append([][]*reading{nil}, groups(s.list)...) // of the same reps; the first has none
	odds := []float64{0}
	for _, g := range groups[1:] {
		sum := math.Inf(-1)
		for _, x := range g {
			sum = logSumExp([]float64{sum, x.odds})
		}
		odds = append(odds, sum)
	}
	// The weights tell the first reading too surely or not surely enough, which calibrated
	// mends; what it leaves is shared out among the others.
	best := 0
	if len(s.list) > 0 && s.list[0].odds > 0 {
		best = 1
	}
	all := logSumExp(odds)
	told := min(math.Exp(odds[best]-all), 1-1e-9)
	sure := calibrated(told)
	out := []Reading{{sure, s.as(groups[best])}}
	order := make([]int, 0, len(groups))
	for k := range groups {
		if k != best {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(odds[b], odds[a]) })
	for _, k := range order[:min(len(order), mostSharpened)] {
		x := Reading{math.Exp(odds[k]-all) / (1 - told) * (1 - sure), s.as(groups[k])}
		// Once their edges are sharpened, some are the same.
		if i := slices.IndexFunc(out, func(o Reading) bool { return SameReps(o.Session.Reps(), x.Session.Reps()) }); i >= 0 {
			out[i].Probability += x.Probability
		} else {
			out = append(out, x)
		}
	}
	out = slices.DeleteFunc(out, func(x Reading) bool { return x.Probability < leastProbable })
	if len(out) > 1 {
		slices.SortStableFunc(out[1:], func(a, b Reading) int { return cmp.Compare(b.Probability, a.Probability) })
	}
	return out[:min(len(out), mostReadings)]
}

// Reps are where the reps of the session are, in order: s from the first record on.
func (s *Session) Reps() []recording.Span {
	out := []recording.Span{}
	for _, g := range s.Segments {
		if g.Role == Work {
			out = append(out, recording.Span{StartS: g.StartS, EndS: g.EndS})
		}
	}
	return out
}

// SameReps tells whether reps differ by seconds only, as those of one reading do.
func SameReps(a, b []recording.Span) bool {
	const slack = 5 // s, as near has it
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Abs(a[i].StartS-b[i].StartS) > slack || math.Abs(a[i].EndS-b[i].EndS) > slack {
			return false
		}
	}
	return true
}

// as is the session read as the best of some readings of the same reps; none of them is
// running without a plan.
func (s *Session) as(group []*reading) *Session {
	r := reading{}
	if len(group) > 0 {
		r = group[0].by.sharpen(*group[0], group[0].by.presses)
	}
	return s.anew(r)
}

// anew is the session with another reading of it.
func (s *Session) anew(r reading) *Session {
	out := *s
	out.Segments, out.Structure, out.RunnerUp, out.Told = nil, nil, nil, nil
	out.Warnings = slices.Clone(s.Warnings)
	out.Probability = 0
	out.assemble(r)
	return &out
}

// toldSE is the standard error of an edge that someone put there by eye, s: common practice,
// no source. sameEdge is how near to one that was read it is that one, s: edges are told to
// a tenth of a second.
const (
	toldSE   = 1.0
	sameEdge = 0.06
)

// WithReps is the session with the reps where someone says that they were, between the first
// record and the last, in order and not overlapping: edges stay there, amounts and structure
// are fitted to them. Without reps it is a run without structure. Spans that are out of order or
// shorter than two seconds are left out. The session itself stays as it is.
func (s *Session) WithReps(reps []recording.Span) *Session {
	var told []recording.Span
	at, end := 0.0, s.Recording.Duration()
	for _, x := range reps {
		if x.EndS = math.Min(x.EndS, end); x.StartS >= at && x.EndS-x.StartS >= 2 {
			told, at = append(told, x), x.EndS
		}
	}
	if s.judge == nil {
		return s
	}
	r := reading{}
	if len(told) > 0 {
		r = s.judge.laid(told, s.edgeAt)
	}
	out := s.anew(r)
	out.Evidence, out.Probability, out.Sure, out.RunnerUp = math.NaN(), 1, 1, nil
	out.Told = told
	if told == nil {
		out.Told = []recording.Span{}
	}
	return out
}

// edgeAt is an edge that someone told: it has the error that it was read with where it is one
// that was read.
func (s *Session) edgeAt(t float64) edge {
	for _, g := range s.Segments {
		switch {
		case math.Abs(g.StartS-t) <= sameEdge && g.StartS > 0:
			return edge{g.StartS, g.StartSE}
		case math.Abs(g.EndS-t) <= sameEdge:
			return edge{g.EndS, g.EndSE}
		}
	}
	return edge{t, toldSE}
}

// laid is the reading of reps that lie where they are told.
func (j *judge) laid(told []recording.Span, edgeAt func(t float64) edge) reading {
	n := j.tr.Len()
	cell := func(t float64) int { return min(max(int(math.Round(t)), 0), n) }
	var r reading
	var reps [][2]int
	last := 0
	for _, x := range told {
		lo, hi := max(cell(x.StartS), last), cell(x.EndS)
		hi = min(max(hi, lo+1), n)
		if lo >= hi {
			break
		}
		reps, last = append(reps, [2]int{lo, hi}), hi
		r.starts, r.ends = append(r.starts, edgeAt(x.StartS)), append(r.ends, edgeAt(x.EndS))
	}
	r.labelling = j.labelled(reps)
	j.stretches(&r)
	return j.refit(r)
}
