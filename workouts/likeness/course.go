// Package likeness compares workouts with each other and with runs: what kind a workout is,
// and how much of one corresponds to another.
package likeness

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
)

// A course is what a workout and a recording are compared by: the reps, what
// lies between them, and what lies before and after.
type Course struct {
	reps   []stretch
	rests  []stretch // rests[i] lies between reps[i] and reps[i+1], maybe of no length
	before stretch
	after  stretch
	easy   bool // there is no work: reps holds the whole run as one
	run    bool // measured, so its metres may be wrong by a common factor
	fewest int  // reps when as many as may be joined are
}

// A stretch is one rep, one recovery or one end. Its length is known both in
// seconds and in metres, one of them mostly better than the other.
type stretch struct {
	seconds, metres measure
	manner          workouts.Manner     // of a planned recovery
	speed           float64             // m/s of a recovery that was run; NaN when planned
	share           float64             // the same as a share of the speed of the reps
	content         bool                // of an end: more than warming up or cooling down
	open            bool                // ended by the runner: any length fits
	unit            workouts.AmountKind // of a rep: what was meant, as far as is known
}

// A measure is a length and its relative standard error.
type measure struct{ value, relSE float64 }

// Relative standard errors of lengths that were worked out from a pace: one
// that was written, and one that was assumed.
const (
	fromTarget  = 0.02
	fromAssumed = 0.15
)

// strolling is a speed, m/s.
const strolling = 1.2

func (m measure) plus(o measure) measure {
	sum := m.value + o.value
	if sum <= 0 {
		return measure{}
	}
	return measure{sum, math.Hypot(m.value*m.relSE, o.value*o.relSE) / sum}
}

// nothing is a stretch of no length.
func nothing() stretch { return stretch{speed: math.NaN(), share: math.NaN()} }

// plus joins two stretches; how the longer one was taken is how both were.
func (s stretch) plus(o stretch) stretch {
	out := s
	if o.seconds.value > s.seconds.value {
		out = o
	}
	out.seconds, out.metres = s.seconds.plus(o.seconds), s.metres.plus(o.metres)
	out.content, out.open = s.content || o.content, s.open || o.open
	if !math.IsNaN(s.speed) && !math.IsNaN(o.speed) {
		out.speed = out.metres.value / out.seconds.value
	}
	return out
}

// inMetres tells whether two stretches are better compared by distance.
func inMetres(a, b stretch) bool {
	return a.metres.relSE+b.metres.relSE < a.seconds.relSE+b.seconds.relSE && a.metres.value > 0 && b.metres.value > 0
}

// CourseOf is the course that a workout describes. Targets help to turn metres
// into seconds and do not count otherwise.
func CourseOf(w workouts.Workout) Course {
	b := courseBuilder{between: nothing()}
	for _, s := range athlete.New().Outline(w).Steps {
		b.add(s.Role == segment.Work, planned(s))
	}
	return b.close()
}

func planned(s athlete.OutlineStep) stretch {
	st := nothing()
	st.manner, st.open = s.Step.Manner, s.Open
	st.content = s.Step.Manner == workouts.Easy || s.Step.Manner == workouts.Steady
	st.seconds = measure{s.Seconds.Value, worked(s.Seconds)}
	st.metres = measure{s.Metres.Value, worked(s.Metres)}
	if st.seconds.value <= 0 && st.metres.value > 0 { // metres to be stood, which nobody means
		st.seconds = measure{st.metres.value / strolling, fromAssumed}
	}
	st.unit = s.Step.Amount.Kind
	switch st.unit {
	case workouts.Time:
		st.seconds.relSE = 0
	case workouts.Distance:
		st.metres.relSE = 0
	}
	return st
}

func worked(e athlete.Estimate) float64 {
	if e.Rough {
		return fromAssumed
	}
	return fromTarget
}

// CourseRun is the course of a recording, as it was split.
func CourseRun(s *segment.Session) Course {
	b := courseBuilder{between: nothing()}
	// No edge is known better than this, s.
	leastSE := math.Max(2.5, s.Trace.Step/2)
	for _, g := range s.Segments {
		if g.Seconds() > 0 {
			b.add(g.Role == segment.Work, measured(g, leastSE))
		}
	}
	c := b.close()
	c.run = true
	metres, seconds := 0.0, 0.0
	for _, r := range c.reps {
		metres, seconds = metres+r.metres.value, seconds+r.seconds.value
	}
	for i := range c.reps {
		c.reps[i].unit = unitOf(s.Structure)
	}
	for i := range c.rests {
		c.rests[i].share = c.rests[i].speed / (metres / seconds)
	}
	return c
}

func measured(g segment.Segment, leastSE float64) stretch {
	st := nothing()
	t := g.Seconds()
	edges := math.Hypot(math.Max(g.StartSE, leastSE), math.Max(g.EndSE, leastSE)) / t
	st.seconds = measure{t, edges}
	st.metres.relSE = math.Inf(1)
	if g.DistanceM > 0 {
		st.metres = measure{g.DistanceM, math.Hypot(edges, g.PaceSE/g.Pace)}
	}
	if !math.IsNaN(g.DistanceM) {
		st.speed = g.DistanceM / t
	}
	return st
}

// A courseBuilder sorts stretches into reps and what lies about them.
type courseBuilder struct {
	c       Course
	between stretch
}

func (b *courseBuilder) add(work bool, s stretch) {
	switch {
	case !work && b.between.seconds.value <= 0 && !b.between.open:
		b.between = s
		return
	case !work:
		b.between = b.between.plus(s)
		return
	case len(b.c.reps) == 0:
		b.c.before = b.between
	default:
		b.c.rests = append(b.c.rests, b.between)
	}
	b.c.reps = append(b.c.reps, s)
	b.between = nothing()
}

func (b *courseBuilder) close() Course {
	b.c.after = b.between
	if len(b.c.reps) == 0 {
		return Course{reps: []stretch{b.between}, easy: true, fewest: 1}
	}
	for i := 0; i < len(b.c.reps); b.c.fewest++ {
		first := i
		for i++; i < len(b.c.reps) && i-first < mostJoined; i++ {
			if _, _, ok := joined(b.c, first, i); !ok {
				break
			}
		}
	}
	return b.c
}

// unitOf is the unit that all work of a structure was found to be meant in,
// empty when there is none or more than one.
func unitOf(blocks []segment.Block) workouts.AmountKind {
	var unit workouts.AmountKind
	for _, b := range blocks {
		u := unit
		switch {
		case len(b.Body) > 0:
			u = unitOf(b.Body)
		case b.Role != segment.Work:
		case b.Amount.Metres > 0:
			u = workouts.Distance
		case b.Amount.Seconds > 0:
			u = workouts.Time
		}
		switch {
		case unit == "":
			unit = u
		case u != unit && u != "":
			return ""
		}
	}
	return unit
}

// TimesOnly makes a course of lengths in time only, and of recoveries of any
// manner.
func (c Course) TimesOnly() Course {
	forget := func(s *stretch) {
		s.metres.relSE, s.unit = math.Inf(1), ""
		s.speed, s.share = math.NaN(), math.NaN()
	}
	for i := range c.reps {
		forget(&c.reps[i])
	}
	for i := range c.rests {
		forget(&c.rests[i])
	}
	forget(&c.before)
	forget(&c.after)
	return c
}
