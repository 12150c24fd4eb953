// Package workouts says what a run means: the Workout type (steps, repeats,
// targets, progressions) and how it unrolls.
//
// The text form is in workouts/notation, the runner it is for in workouts/athlete.
package workouts

import "example.org/rungs/workouts/figures"

// A Workout is a planned session.
type Workout struct {
	Name  string
	Tags  []string
	Note  string
	Items []Item // in running order
}

// An Item is a step or a group of items, done Count times.
//
// The normal form, which notation.Parse gives and Normal restores: a group
// is repeated (Count above 1), and holds either several items or a repeat.
type Item struct {
	Count int    // 1 or more
	Step  Step   // when Body is empty
	Body  []Item // the group; nil for a single step
	Rest  *Step  // between the repeats only, so Count-1 times; nil when none
}

// A Step is one stretch of running or resting.
type Step struct {
	Amount Amount
	Manner Manner
	Target Target
}

// AmountKind says what ends a step.
type AmountKind string

// Amount kinds.
const (
	Time     AmountKind = "time"
	Distance AmountKind = "distance"
	Open     AmountKind = "open" // the runner ends it
)

// An Amount is the length of a step. Kind tells which field counts; the other
// is zero.
type Amount struct {
	Kind    AmountKind
	Seconds float64
	Metres  float64
	Mile    bool // the distance was written in miles and prints so
}

// Seconds makes a time amount.
func Seconds(s float64) Amount { return Amount{Kind: Time, Seconds: s} }

// Metres makes a distance amount.
func Metres(m float64) Amount { return Amount{Kind: Distance, Metres: m} }

// Miles makes a distance amount that prints in miles.
func Miles(mi float64) Amount {
	return Amount{Kind: Distance, Metres: mi * figures.MetresPerMile, Mile: true}
}

// A Manner is how a step is to be run.
type Manner string

// Manners, in the words of the notation.
const (
	Unsaid Manner = "" // only of a rest: left to the runner
	Warm   Manner = "warm"
	Cool   Manner = "cool"
	Easy   Manner = "easy"
	Steady Manner = "steady"
	Work   Manner = "work" // the default outside rests
	Float  Manner = "float"
	Jog    Manner = "jog"
	Walk   Manner = "walk"
	Stand  Manner = "stand"
)

// Manners lists all that can be written, in the order of the manual.
var Manners = []Manner{Warm, Cool, Easy, Steady, Work, Float, Jog, Walk, Stand}

// Limits that keep a workout within what a person can run and a program can
// unroll. The notation reports them at the place where they are passed.
const (
	MaxCount   = 999             // repeats of one item
	MaxDepth   = 8               // groups within groups
	MaxPlanned = 5000            // steps after unrolling
	MaxSeconds = 7 * 24 * 3600.0 // of one step or of all together
	MaxMetres  = 1000 * 1000.0   // likewise
	MaxBytes   = 64 * 1024       // of one notation text
)
