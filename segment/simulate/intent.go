package simulate

import (
	"time"

	"example.org/rungs/segment/recording"
)

// The roles of a leg, in the words of the split contract.
const (
	warm     = "warm"
	work     = "work"
	recovery = "recovery"
	cool     = "cool"
	easy     = "easy"
	stop     = "stop"
)

// A Leg is a stretch of one intent. Exactly one of Seconds and Metres is
// positive.
type Leg struct {
	Role   string // warm, work, recovery, cool, easy or stop
	Manner string // notation word: work, warm, cool, easy, float, jog, walk or stand
	Set    int    // from 1 within work and recovery, else 0
	Rep    int    // from 1, through the session; a recovery bears the rep before it

	Seconds float64
	Metres  float64
	Mile    bool // Metres was meant as miles
	Open    bool // the length is nobody's intent

	StartMPS, EndMPS float64 // intended speed on the flat at the leg's start and end, m/s
	Grade            float64 // rise over run, added to the session's terrain
	StandS           float64 // seconds stood still before the leg is run
	Halts            []Halt  // unmeant stops
	Shifts           []Shift // unmeant changes of speed
}

// A Halt is an unmeant stop inside a leg, such as a red light.
type Halt struct {
	AfterS float64 // since the leg's start
	ForS   float64
}

// A Shift is an unmeant change of speed inside a leg, such as a corner or company.
type Shift struct {
	AfterS float64 // since the leg's start
	ForS   float64
	Pct    float64 // of the leg's speed; below zero is slower
}

// A Session is what a runner means to do, and where.
type Session struct {
	Name       string
	Legs       []Leg
	Structured bool   // false: no reps must be found
	Notation   string // what a coach would write; empty when not structured
	Main       string // Notation without the ends
	Restless   bool   // the runner's speed wanders much; said by the grammars only

	Place   recording.Place
	Start   time.Time // zero takes a fixed date
	Runner  Runner
	Terrain Terrain
}

// A Runner is a body and its habits. [DefaultRunner] is a plain one.
type Runner struct {
	SpreadPct  float64 // sd of a leg's executed speed about the intent, %
	WanderPct  float64 // sd of the slow wander of speed inside a leg, %
	WanderS    float64 // correlation time of that wander, s
	DriftPct   float64 // sd of a second, slower wander through all legs, %
	DriftS     float64 // its correlation time, s
	RampS      float64 // time constant of a change of speed, s
	LateJogP   float64 // probability of ambling some seconds before a jog
	AmountPct  float64 // sd of a recovery's length, %; reps are kept to a second or a metre or so
	ByEffort   bool    // hills are run at even effort, else at even speed, or as the next three say
	HillUp     float64 // answer k to the cost C of rising ground, v = v0 (C0/C)^k; 0 on both leaves it to ByEffort
	HillDown   float64 // the same for falling ground
	WalkGrade  float64 // rise over run from which the runner walks; 0 is never
	HeartRest  float64 // bpm below which it does not fall between efforts
	HeartBase  float64 // bpm at speed zero, extrapolated from running
	HeartGain  float64 // bpm per m/s
	HeartTauS  float64 // time constant of heart rate, s
	HeartMax   float64 // bpm
	HeartDrift float64 // bpm per hour at work
}

// DefaultRunner is a steady club runner with the mean heart-rate response of
// Hunt et al. 2015 (doi 10.1186/s12938-015-0112-7): 24.2 bpm per m/s, 57.6 s.
func DefaultRunner() Runner {
	return Runner{
		SpreadPct: 1.2, WanderPct: 1.5, WanderS: 25, RampS: 1.8, LateJogP: 0.25, AmountPct: 2,
		ByEffort: true, HeartRest: 75, HeartBase: 72, HeartGain: 24.2, HeartTauS: 57.6, HeartMax: 190, HeartDrift: 6,
	}
}

// Terrain is what lies under and about the runner.
type Terrain struct {
	BaseM    float64 // altitude at the start, m
	MaxGrade float64 // steepest grade of the rolling hills, rise over run
	RollM    float64 // their wavelength, m; zero is flat
	WindPct  float64 // speed gained and lost to wind over each 400 m lap, %
	Canyon   float64 // share of the way with a bad sky, 0 to 1
}
