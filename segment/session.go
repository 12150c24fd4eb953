// Package segment says what was run: Split takes a recording and returns a
// Session, labelled piece by piece, with the structure a coach would write.
//
// Size: the readings of one run share pieces, features and amounts.
package segment

import (
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// Role says what a segment is for.
type Role string

// Roles, in the words of the JSON contract.
const (
	Warm     Role = "warm"
	Work     Role = "work"
	Recovery Role = "recovery"
	Cool     Role = "cool"
	Easy     Role = "easy" // in a session of reps
	Run      Role = "run"  // without structure: nothing in a recording alone says how hard it was
	Stop     Role = "stop"
)

// A Segment is a stretch of one role. Times are seconds from the recording's
// first record, wall clock. NaN marks what could not be measured.
type Segment struct {
	Role Role
	Set  int // from 1 within work and recovery; 0 elsewhere
	Rep  int // from 1, counted through the whole session; a recovery bears the number of the rep before it

	StartS, EndS   float64
	StartSE, EndSE float64 // standard error of each edge, s

	StoodS    float64 // s of it that were stood, a quarter of a minute and more at a time
	DistanceM float64
	Pace      float64 // s/km, what was stood left out except in work and recoveries; +Inf when standing
	PaceSE    float64 // s/km; autocorrelation, edges and the odometer's scale counted; NaN when standing
	WithinSE  float64 // s/km; the same without the scale, which is common to the recording

	HRAvg, HRMax, HREnd float64 // beats/min
	CadenceAvg          float64 // steps/min
}

// Seconds is the segment's length.
func (s Segment) Seconds() float64 { return s.EndS - s.StartS }

// A Session is a recording and what was found in it.
type Session struct {
	Recording *recording.Recording
	Trace     *signal.Trace
	Segments  []Segment // in time order, touching, from the first record to the last
	Structure []Block   // what a coach would write; empty when nothing was structured
	Warnings  []recording.Warning

	// Evidence is the logarithm of the odds of a structure against running
	// without one, in nats; NaN when nothing was structured.
	Evidence float64
	// Probability is that of the reps being these, beside all other readings that were
	// thought of and running without a plan; 0 when nothing was structured, 1 when someone
	// said what was run.
	Probability float64
	// Sure is the least probability of an amount in Structure against its nearest
	// rival; 1 when nothing was structured.
	Sure float64
	// RunnerUp is Structure with that rival in its place, when it is close; else
	// nil.
	RunnerUp []Block

	ScaleSE float64 // standard error of the odometer's scale, as a share; part of every Segment.PaceSE

	// Told is where someone said that the reps were, in order; nil when nobody did. What
	// measures the session otherwise, such as a check, leaves these edges where they are.
	Told []recording.Span

	edges    func() []Edge
	stands   func() []recording.Span // where the runner stood
	measured bool                    // the reps told the odometer's scale
	judge    *judge                  // that made the reading
	list     []*reading              // all that were thought of, the most probable first
}

// Edges lists every moment at which speed may have changed, in time order. They
// are found when they are first asked for.
func (s *Session) Edges() []Edge {
	if s.edges == nil {
		return nil
	}
	return s.edges()
}

// A Block is a node of the inferred structure: either a single step (Body
// empty) or Count repeats of Body with Rest between them.
type Block struct {
	Count int // 1 or more
	Body  []Block
	Rest  *Block // between repeats only, so Count-1 times; nil when none

	Role   Role
	Amount Amount
	Sure   float64 // probability of Amount against Rival, 0 to 1; 0 in blocks that have no Amount
	Rival  Amount  // the next best reading
	Pace   float64 // typical pace of the step, s/km; NaN when of no interest
	Manner string  // of a recovery: "float", "easy", "jog", "walk" or "stand"
}

// Amount is the length of a step: one of the two is positive, or both are zero
// for an amount that nobody meant.
type Amount struct {
	Seconds float64
	Metres  float64
	Mile    bool // Metres was meant as miles
}
