// Package match holds a planned workout against what was run: which rep is
// which, how far each drifted from its target, whether the reps really got
// quicker, and whether the session was the planned one at all.
//
// # Alignment
//
// All planned steps are laid over the whole recording at once, by dynamic
// programming over candidate edges: those of the session's own split, lap
// presses, steps of speed, and a coarse grid. A step costs what its amount is off,
// and how little it stands out from what lies around it; what the split without the
// plan calls work or not weighs in. What is asked of the pace does not: a target never
// makes a rep missed. What was not planned has a price: a rep missed, jogged
// instead, cut short, drawn out, run through into the next one, interrupted,
// or one too many; a recovery left out, shorter or longer; two sets in each
// other's place. The cheapest account wins. Of like reps the last ones are those too
// many, and those left out. Then every edge is placed anew
// where speed changes and, where speed says little, where the plan has it; where the
// split has the same rep, its edges are taken.
//
// # Margins
//
// Every figure comes with its margin, a standard error of the noise found
// inside the reps and of the edges. It does not cover an error common to all
// reps, such as an odometer that counts 2 % too much: that leaves the differences
// between reps as they are. Against a target it counts (Rep.TargetSE), as far as
// nothing measured the odometer. A difference is called at the margin that is printed,
// 1.96 standard errors: of level pairs no more than one in twenty is.
//
// # Progression
//
// From three reps on, a trend is a weighted line whose error is widened by the scatter
// of the reps about it (Birge's ratio, never below 1) and judged by Student's t. That
// it is not called says that it cannot be told, never that there is none. What the
// plan asks of the paces, a Course, decides whether they depart from it.
//
// # Verdict
//
// A session is another one when less than half of the planned work is there in any
// amount, or when nothing separates the reps from the rest of the run. Then nothing is
// matched. A session is cut short when it stops in or after a rep and nothing planned
// follows. CHECK.md has the table.
//
// Size: laying a plan over a run and judging what was laid share one table of speeds.
package match

import (
	"math"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
)

// Verdict is what the session was, seen from the plan.
type Verdict string

// Verdicts, in the words of the JSON contract.
const (
	AsPlanned Verdict = "as_planned"
	Departed  Verdict = "departed"          // the planned session, with deviations worth telling
	CutShort  Verdict = "cut_short"         // stopped in or after a rep, and the rest not run
	Different Verdict = "different_session" // some other session
)

// Outcome says what became of a planned step.
type Outcome string

// Outcomes, in the words of the JSON contract.
const (
	Done   Outcome = "done"
	Short  Outcome = "short"  // ended well before its amount
	Long   Outcome = "long"   // went on well past its amount
	Missed Outcome = "missed" // not run
	Extra  Outcome = "extra"  // run, not planned
)

// Call is a difference judged against its margin.
type Call string

// Calls. NoCall prints as nothing, Level as "~".
const (
	NoCall  Call = ""        // nothing to compare
	Quicker Call = "quicker" // quicker by more than the margin
	Slower  Call = "slower"
	Level   Call = "level"  // within the margin: cannot be known
	Uneven  Call = "uneven" // of a whole session: the reps differ by more than their margins, without a trend
)

// A Result is a plan held against a session. JSON schema "rungs/check/1".
// NaN marks what could not be measured.
type Result struct {
	Plan    workouts.Workout
	Verdict Verdict
	Reasons []string // why, one sentence each, the weightiest first; empty when as planned
	Found   string   // what was run instead, in the notation, when Verdict is Different and it has a structure
	Nearest string   // of what was run, what comes closest to the plan, when Verdict is Different; empty when nothing does

	Reps       []Rep // planned work in running order, extra reps where they were run; none when Verdict is Different
	Steps      []Step
	Deviations []Deviation

	Progression  Progression   // of the reps that belong together; the row with the most work when there are several
	Progressions []Progression // of every row of two reps and more, in running order

	Warnings []recording.Warning
}

// A Step is any planned step that is not work (warm-up, recovery, easy, cool-down)
// against what was run for it.
type Step struct {
	Planned workouts.Planned
	Outcome Outcome
	Span
	AmountDrift float64 // actual less planned, in the unit of the plan (s or m), off the track by the distance that the device showed; NaN for an open step or a missed one
	AmountUnit  string  // "s" or "m"; empty when open
	Target      Target
	MovingPace  float64 // s/km, stops left out; NaN for one missed or stood
	Drift       float64 // of MovingPace from the target, s/km, as of a Rep; NaN without a pace target
	OnTarget    Call
	TargetSE    float64 // standard error of that, s/km, the odometer's scale counted
}

// A Span is a measured stretch of the recording.
type Span struct {
	StartS, EndS float64 // seconds from the first record, wall clock
	StartSE      float64 // standard error of StartS, s
	EndSE        float64 // standard error of EndS, s
	DistanceM    float64
	Pace         float64 // s/km; +Inf when standing
	PaceSE       float64 // s/km: speed noise and edges
	LeanSE       float64 // s/km: the part of PaceSE that spans of one speed have in common (signal.DistanceError)
}

// ownSE is PaceSE without LeanSE, as which two spans are compared, s/km.
func (s Span) ownSE() float64 { return math.Sqrt(max(0, s.PaceSE*s.PaceSE-s.LeanSE*s.LeanSE)) }

// Seconds is the length of the span.
func (s Span) Seconds() float64 { return s.EndS - s.StartS }

// A Rep is one planned work step and what became of it, or an extra one.
type Rep struct {
	Step int // index into the plan's Expand; -1 for an extra rep
	Set  int // from 1; of the set it was run in for an extra rep
	Rep  int // from 1, as planned; 0 for an extra rep

	Planned  workouts.Planned // zero for an extra rep
	Outcome  Outcome
	Span     // all NaN when missed
	Target   Target
	Drift    float64 // actual less target pace, s/km; for a band the distance to the nearer edge, 0 inside; NaN without a pace target
	DriftPct float64 // of the target pace
	OnTarget Call    // quicker or slower than asked by more than tolerance and margin, Level when on target, NoCall without a target
	TargetSE float64 // standard error of Pace against a target, s/km: that of the odometer's scale counted
	Unsure   bool    // beyond the tolerance, but by no more than the margin

	AmountDrift float64 // actual less planned, in the unit of the plan (s or m); NaN when open, missed or extra
	AmountUnit  string  // "s" or "m"; empty when open or extra
	FadePct     float64 // pace of the second half against the first, percent; positive is slowing
	FadeSE      float64 // percent

	VsPrevious Comparison // against the rep before it in the same row

	HRAvg, HRMax, HREnd float64    // beats/min
	CadenceAvg          float64    // steps/min
	Heart               *HeartTime // for a heart-rate target; nil without one

	Merged        bool             // run through into the next rep without the planned recovery
	Interruptions []recording.Span // stops inside the rep

	Recovery *Recovery // what followed it, when planned or run; nil otherwise
}

// TargetKind says what a rep is held to, once resolved.
type TargetKind string

// Target kinds.
const (
	NoTarget      TargetKind = ""
	PaceTarget    TargetKind = "pace"
	BandTarget    TargetKind = "band"
	RampTarget    TargetKind = "ramp"    // changes within the rep; Drift is of the mean pace
	QuickerTarget TargetKind = "quicker" // than the rep before it
	HeartTarget   TargetKind = "heart"
	UnknownTarget TargetKind = "unresolved" // a named pace that the athlete does not have
)

// A Target is what one rep was held to.
type Target struct {
	Kind       TargetKind
	LowSPerKm  float64 // quick edge, s/km, tolerance left out; NaN without a pace target
	HighSPerKm float64 // slow edge; equal to LowSPerKm for a single pace
	Tolerance  float64 // s/km allowed beyond the edges: as written, else by Options
	QuickerBy  float64 // s/km to gain on the rep before; 0 is any
	LowBPM     float64 // beats/min; 0 is open
	HighBPM    float64
	Name       string // of a pace that was not resolved
}

// A Comparison is one rep against an earlier one.
type Comparison struct {
	With        int     // index in Result.Reps of the earlier rep; -1 when there is none
	DeltaSPerKm float64 // this less the earlier; negative is quicker
	SE          float64 // s/km
	Call        Call
}

// HeartTime is the time a rep with a heart-rate target spent inside, above and
// below it. The first SettleS seconds do not count: the heart needs them to answer.
type HeartTime struct {
	SettleS, InsideS, AboveS, BelowS float64
}

// A Recovery is the rest after a rep, as run against as planned.
type Recovery struct {
	Step    int // index into the plan's Expand; -1 when none was planned
	Outcome Outcome
	Span
	AmountDrift float64 // actual less planned, s or m; NaN when open, missed or unplanned
	AmountUnit  string
	HRStart     float64 // beats/min at the end of the rep
	HREnd       float64 // beats/min at the end of the recovery
	HRDrop      float64 // HRStart less HREnd
	HRDrop60    float64 // fall in the first 60 s; NaN when it was shorter
}

// DeviationKind names a departure from the plan.
type DeviationKind string

// Kinds of deviation.
const (
	MissedRep      DeviationKind = "missed"
	ShortRep       DeviationKind = "short"
	LongRep        DeviationKind = "long"
	ExtraRep       DeviationKind = "extra"
	MergedReps     DeviationKind = "merged"
	InterruptedRep DeviationKind = "interrupted"
	ShortRecovery  DeviationKind = "recovery_short"
	LongRecovery   DeviationKind = "recovery_long"
	SwappedSets    DeviationKind = "sets_swapped"
	OffTarget      DeviationKind = "off_target"
	OffHeart       DeviationKind = "off_heart"
	NotQuicker     DeviationKind = "not_quicker"
	Faded          DeviationKind = "faded"
	UnevenReps     DeviationKind = "uneven"
	WarmAmount     DeviationKind = "warm_amount"
	CoolAmount     DeviationKind = "cool_amount"
	EasyAmount     DeviationKind = "easy_amount"
	EasyPace       DeviationKind = "easy_pace"
	MissedWarm     DeviationKind = "warm_missed"
	MissedCool     DeviationKind = "cool_missed"
	MissedEasy     DeviationKind = "easy_missed"
)

// A Deviation is one departure from the plan.
type Deviation struct {
	Kind    DeviationKind
	Rep     int    // index in Result.Reps of the rep concerned; -1 for none
	Step    int    // index into the plan's Expand of a step that is no work; -1 for none
	Message string // one sentence for a runner
	Counts  bool   // makes the verdict "departed"; a note otherwise

	Size   float64 // how much, in Unit; of off_target with its sign; NaN when it has no size
	Margin float64 // half the 95 % interval of Size; NaN when unknown
	Unit   string  // "s", "m" or "s/km"
	mile   bool    // the plan writes the amount in miles
}

// A Course is what a plan asks of the paces of a row, one after the other.
type Course string

// Courses.
const (
	NoCourse      Course = ""        // unlike reps: nothing is asked of one against the other
	EvenCourse    Course = "even"    // like reps at one target, or at none
	QuickerCourse Course = "quicker" // each quicker than the last
	TargetCourse  Course = "targets" // a target of its own for each, from the first to the last
)

// A Progression is the trend over the reps of one row: the same step repeated,
// or all work steps when none repeats.
type Progression struct {
	Reps   []int  // indexes in Result.Reps, in running order
	Of     int    // reps compared: the ones with a pace
	Course Course // what the plan asks of them

	SlopeSPerKmPerRep float64   // weighted least squares; negative is getting quicker
	SlopeSE           float64   // from the errors of the reps, widened by their scatter about the line
	SlopeMargin       float64   // half the 95 % interval of the slope, s/km per rep, by Student's t
	ChangeSPerKm      float64   // along the line from the first rep to the last of a set, s/km
	ChangeMargin      float64   // half its 95 % interval
	Scatter           float64   // standard deviation of the reps about the line, s/km; NaN below three reps
	Free              int       // degrees of freedom about the line
	TheilSen          float64   // median of the pairwise slopes, s/km per rep
	Fit               []float64 // closest monotone paces (weighted PAVA) in the direction of the slope, s/km

	Test Test    // which test gave P
	P    float64 // two-sided
	Call Call

	QuickerThanPrevious int // reps called quicker than the one before
	SlowerThanPrevious  int
	Compared            int // reps that have one before them

	Sets      []SetProgression // when the row runs over several sets
	AcrossSet *SetTrend        // from set to set; nil for a single set
}

// Test names the test behind a P.
type Test string

// Tests. A trend over reps is judged by SlopeTest from three reps on; of two there
// is only their difference. The other two judge trends over weeks.
const (
	NoTest             Test = ""
	MeasuringErrorTest Test = "measuring error"                 // a slope or difference against its measuring error
	SlopeTest          Test = "weighted slope, scatter counted" // Student's t
	MannKendallTest    Test = "Mann-Kendall"
)

// A SetProgression is the trend within one set.
type SetProgression struct {
	Set, Of           int
	MeanPace, SE      float64 // s/km
	SlopeSPerKmPerRep float64
	SlopeSE           float64
	Call              Call
}

// A SetTrend is the trend of the sets' paces from set to set.
type SetTrend struct {
	Of                int
	SlopeSPerKmPerSet float64
	SlopeSE           float64
	Test              Test
	P                 float64
	Call              Call
}
