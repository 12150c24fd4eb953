// Package correct reads a recording again by what the runner says it really was.
package correct

import (
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
)

// Codes of the warnings of a corrected session.
const (
	Corrected    = "corrected"            // it is read by the correction
	Contradicted = "correction-not-shown" // the speed speaks against the correction
	NotCorrected = "not-corrected"        // the correction could not be laid over the recording
)

// Session is a session read again as the workout says, with the reps where that
// fits best. What speaks against it is in its warnings. A workout without a step,
// and a recording without speed and heart rate, leave the session as it is, and
// a warning says so. The session given is not changed.
func Session(s *segment.Session, was workouts.Workout) *segment.Session {
	text := notation.Print(was)
	quicker := false
	if !slices.ContainsFunc(was.Expand(), func(p workouts.Planned) bool { return p.Role == segment.Work }) {
		quicker = workIsQuicker(s)
		s = s.Relabel(nil, nil) // the reps that were read are none
	}
	res, err := match.Check(was, s, match.Options{Given: true})
	if err != nil {
		out := *s
		out.Warnings = append(slices.Clone(s.Warnings), recording.WarningOf(NotCorrected, "it is said to have been %s, and is read without that: %v", text, err))
		return &out
	}
	tree := treeOf(was)
	out := s.Relabel(labels(res, tree), tree.blocks)
	out.Structure = withEnds(out)
	out.Warnings = append(out.Warnings, recording.WarningOf(Corrected, "it is read as what it is said to have been: %s", text))
	for _, w := range res.Warnings {
		if w.Code == match.Contradicted {
			out.Warnings = append(out.Warnings, recording.WarningOf(Contradicted, "the speed does not show it: %s", w.Message))
		}
	}
	if quicker {
		out.Warnings = append(out.Warnings, recording.WarningOf(Contradicted, "the speed does not show it: reps were run plainly quicker than the rest"))
	}
	missed := 0
	for _, r := range res.Reps {
		if r.Outcome == match.Missed {
			missed++
		}
	}
	if missed > 0 {
		out.Warnings = append(out.Warnings, recording.WarningOf(Contradicted, "%d of its %d reps are not in the recording", missed, len(res.Reps)))
	}
	return out
}

// Plain is a session split without the workouts of the runner where the log says what it was, which is laid over what
// the recording alone shows; else the session given.
func Plain(s *segment.Session, e log.Entry) *segment.Session {
	if e.Was == "" && e.Reps == nil {
		return s
	}
	plain, err := segment.Split(s.Recording)
	if err != nil { // it was split before
		return s
	}
	return plain
}

// Told is a session read again by all that the log says of what was run: what it was, and
// where its reps were. The session given is not changed.
func Told(s *segment.Session, e log.Entry) *segment.Session {
	switch {
	case e.Reps != nil:
		return withReps(s, e)
	case e.Was != "":
		return Session(s, e.Workout)
	}
	return s
}

// pastEnd is how far beyond the end of a recording a rep may be said to go on, s: times are written in whole seconds.
const pastEnd = 2.0

// beyond warns of reps that are said to go on after the end of a recording, s; they end there.
func beyond(reps []recording.Span, end float64) []recording.Warning {
	if n := len(reps); n > 0 && reps[n-1].EndS > end+pastEnd {
		return []recording.Warning{recording.WarningOf(Contradicted, "the last of the reps that the log has goes on to %s, and the recording ends at %s",
			figures.Clock(reps[n-1].EndS), figures.Clock(end))}
	}
	return nil
}

// withReps is a session with the reps where an entry has them, with the amounts of the workout
// when the entry says one of as many reps.
func withReps(s *segment.Session, e log.Entry) *segment.Session {
	out := s.WithReps(e.Reps)
	warn := func(code, format string, args ...any) {
		out.Warnings = append(out.Warnings, recording.WarningOf(code, format, args...))
	}
	warn(Corrected, "its reps are where the log has them")
	if n := len(e.Reps) - len(out.Told); n > 0 {
		warn(Contradicted, "%d of the %d reps that the log has do not lie in the recording", n, len(e.Reps))
	}
	out.Warnings = append(out.Warnings, beyond(e.Reps, s.Recording.Duration())...)
	if e.Was == "" {
		return out
	}
	t := treeOf(e.Workout)
	var planned []workouts.Planned
	for _, p := range t.planned {
		if p.Role == segment.Work {
			planned = append(planned, p)
		}
	}
	if len(planned) != len(out.Told) {
		warn(Contradicted, "it is said to have been %s, which has %d reps, and the log has the edges of %d; the edges count", notation.Print(e.Workout), len(planned), len(out.Told))
		return out
	}
	k := 0
	for i := range out.Segments {
		g := &out.Segments[i]
		if g.Role == segment.Work && k < len(planned) {
			p := planned[k]
			k++
			g.Set = p.Set
			if b := t.steps[p.Index]; b != nil && g.Pace > 0 && !math.IsInf(g.Pace, 0) {
				t.paces[b] = append(t.paces[b], g.Pace)
			}
		} else if g.Role == segment.Recovery && k > 0 {
			g.Set = planned[k-1].Set
		}
	}
	t.setPaces()
	out.Structure = t.blocks
	out.Structure = withEnds(out)
	return out
}

// When the reps that were read are plainly quicker than the rest of what was run, stops
// left out: what easy running does not have. Common practice, no source.
const (
	leastRunning  = 1.8  // m/s, below which nobody runs
	leastContrast = 1.12 // of the speeds
	leastRestS    = 60   // s of the rest
)

func workIsQuicker(s *segment.Session) bool {
	var work, rest struct{ m, s float64 }
	for _, g := range s.Segments {
		switch {
		case g.Role == segment.Work:
			work.m, work.s = work.m+g.DistanceM, work.s+g.Seconds()
		case g.DistanceM >= leastRunning*g.Seconds():
			rest.m, rest.s = rest.m+g.DistanceM, rest.s+g.Seconds()
		}
	}
	return rest.s >= leastRestS && work.s > 0 && work.m/work.s > leastContrast*rest.m/rest.s
}

// labels are the steps of a result where they were run, and tell the tree how fast.
func labels(res *match.Result, t *tree) []segment.Label {
	var out []segment.Label
	add := func(p workouts.Planned, o match.Outcome, s match.Span) {
		if o == match.Missed || o == match.Extra || !(s.EndS > s.StartS) {
			return
		}
		l := segment.Label{Role: p.Role, Set: p.Set, Rep: p.Rep, StartS: s.StartS, EndS: s.EndS, StartSE: s.StartSE, EndSE: s.EndSE}
		out = append(out, l)
		if b := t.steps[p.Index]; b != nil && p.Role == segment.Work && s.Pace > 0 && !math.IsInf(s.Pace, 0) {
			t.paces[b] = append(t.paces[b], s.Pace)
		}
	}
	for _, r := range res.Reps {
		add(r.Planned, r.Outcome, r.Span)
	}
	for _, s := range res.Steps {
		add(s.Planned, s.Outcome, s.Span)
	}
	t.setPaces()
	return out
}

// setPaces gives each step of work the median pace that it was run at.
func (t *tree) setPaces() {
	for b, paces := range t.paces {
		slices.Sort(paces)
		b.Pace = (paces[(len(paces)-1)/2] + paces[len(paces)/2]) / 2
	}
}

// A tree is a workout as the structure of a session.
type tree struct {
	blocks  []segment.Block
	planned []workouts.Planned
	steps   map[int]*segment.Block // by the index of the planned step
	paces   map[*segment.Block][]float64
}

func treeOf(w workouts.Workout) *tree {
	w = w.Normal()
	t := &tree{planned: w.Expand(), steps: map[int]*segment.Block{}, paces: map[*segment.Block][]float64{}}
	t.blocks = t.items(w.Items)
	next := 0
	t.number(t.blocks, &next)
	return t
}

// items makes blocks, whose roles number gives.
func (t *tree) items(items []workouts.Item) []segment.Block {
	out := make([]segment.Block, len(items))
	for i, it := range items {
		b := block(it.Step)
		b.Count = max(it.Count, 1)
		if len(it.Body) > 0 {
			b = segment.Block{Count: b.Count, Body: t.items(it.Body), Pace: math.NaN()}
		} else if it.Count > 1 {
			b = segment.Block{Count: b.Count, Body: []segment.Block{block(it.Step)}, Pace: math.NaN()}
		}
		if it.Rest != nil {
			rest := block(*it.Rest)
			b.Rest = &rest
		}
		out[i] = b
	}
	return out
}

func block(s workouts.Step) segment.Block {
	b := segment.Block{Count: 1, Sure: 1, Pace: math.NaN(), Manner: string(s.Manner)}
	switch s.Amount.Kind {
	case workouts.Time:
		b.Amount.Seconds = s.Amount.Seconds
	case workouts.Distance:
		b.Amount.Metres, b.Amount.Mile = s.Amount.Metres, s.Amount.Mile
	}
	return b
}

// number walks through the blocks in running order, as Expand unrolled them, and
// gives each the role of the planned steps that come from it.
func (t *tree) number(blocks []segment.Block, next *int) {
	leaf := func(b *segment.Block) {
		if *next < len(t.planned) {
			b.Role = t.planned[*next].Role
			if b.Role != segment.Recovery {
				b.Manner = ""
			}
			t.steps[*next] = b
		}
		*next++
	}
	for i := range blocks {
		b := &blocks[i]
		for k := range b.Count {
			if len(b.Body) > 0 {
				t.number(b.Body, next)
			} else {
				leaf(b)
			}
			if b.Rest != nil && k+1 < b.Count {
				leaf(b.Rest)
			}
		}
	}
}

// leastEnd is the shortest warm-up or cool-down that a structure tells when the
// correction does not name one, s: common practice, no source.
const leastEnd = 60

// withEnds is the structure of a session with the warm-up and the cool-down that
// it has and the correction does not tell, in whole minutes.
func withEnds(s *segment.Session) []segment.Block {
	out := slices.Clone(s.Structure)
	end := func(role segment.Role) (segment.Block, bool) {
		if told(out, role) {
			return segment.Block{}, false
		}
		sum := 0.0
		for _, g := range s.Segments {
			if g.Role == role {
				sum += g.Seconds()
			}
		}
		minutes := math.Round(sum / 60)
		return segment.Block{Count: 1, Role: role, Sure: 1, Pace: math.NaN(), Amount: segment.Amount{Seconds: 60 * minutes}}, sum >= leastEnd
	}
	if b, ok := end(segment.Warm); ok {
		out = slices.Insert(out, 0, b)
	}
	if b, ok := end(segment.Cool); ok {
		out = append(out, b)
	}
	return out
}

func told(blocks []segment.Block, role segment.Role) bool {
	return slices.ContainsFunc(blocks, func(b segment.Block) bool { return b.Role == role || told(b.Body, role) })
}
