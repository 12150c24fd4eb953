package workouts

import "example.org/rungs/segment"

// A Planned is one step of the unrolled workout.
type Planned struct {
	Index int  // from 0, in running order
	Step  Step // as written
	Rest  bool // stands between repeats ("off")

	Role segment.Role
	Set  int // from 1 for work and for the recoveries after it; 0 elsewhere
	Rep  int // from 1, counted through the whole workout; a recovery bears the number of the rep before it

	Goal Goal
}

// GoalKind says which fields of a Goal count.
type GoalKind string

// Goal kinds.
const (
	NoGoal         GoalKind = ""
	PaceGoal       GoalKind = "pace"       // Pace, LowPace, HighPace; EndPace when it changes within the step
	QuickerGoal    GoalKind = "quicker"    // QuickerBy; nothing is asked of the first rep of a set
	HeartGoal      GoalKind = "heart"      // LowBPM, HighBPM
	UnresolvedGoal GoalKind = "unresolved" // Name is a reference pace, or a heart unit, that the athlete does not have
)

// A Goal is the target of one planned step, rep by rep and in plain units.
// Paces are s/km; low is the quick edge. Fields that do not count are zero.
type Goal struct {
	Kind       GoalKind
	TargetKind TargetKind // what it was made from

	Pace              float64 // the middle of what is asked, s/km
	LowPace, HighPace float64 // the edges, tolerance included; both equal Pace when neither band nor tolerance was written
	EndPace           float64 // pace asked at the end of a step that progresses within itself
	Tolerance         float64 // as written, in s/km; 0 when unsaid

	QuickerBy float64 // s/km each rep must gain; 0 is "any"
	First     bool    // quicker: the first of its row, so nothing precedes it

	LowBPM, HighBPM float64 // beats/min; 0 is open

	Name string // of an unresolved reference
}

// Expand unrolls the workout into its steps in running order, at most
// MaxPlanned of them. Reference paces and heart zones count only when
// Athlete.Resolve has filled them in.
func (w Workout) Expand() []Planned { return nil }
