package workouts

import (
	"math"

	"example.org/rungs/workouts/figures"
)

// TargetKind says what a step is held to.
type TargetKind string

// Target kinds.
const (
	NoTarget          TargetKind = ""
	PaceTarget        TargetKind = "pace"        // From
	BandTarget        TargetKind = "band"        // between From and To, in either order
	ProgressionTarget TargetKind = "progression" // From at the first rep (or the start of a single step) to To at the last (or the end)
	QuickerTarget     TargetKind = "quicker"     // each rep quicker than the last, by By when that is said
	HeartTarget       TargetKind = "heart"       // Heart
)

// A Target is what a step is held to. The zero Target is none.
type Target struct {
	Kind      TargetKind
	From, To  Pace       // To is zero unless Kind is band or progression
	By        PaceOffset // of quicker: zero when unsaid
	Heart     HeartRange // of heart
	Tolerance PaceOffset // ± so much; zero when unsaid. A heart target has none.
}

// At is the target of pass k of n, from 1, of the repeat around a step: of a progression
// with known paces that of the pass, in the unit of the first one and as finely as a
// workout is written, and the target itself of all others.
func (t Target) At(k, n int) Target {
	if t.Kind != ProgressionTarget || n < 2 || t.From.SecPerKm <= 0 || t.To.SecPerKm <= 0 {
		return t
	}
	unit := t.From.Unit
	if t.From.Name != "" {
		unit = PerKm
	}
	t.Kind = PaceTarget
	t.From, t.To = Pace{SecPerKm: between(t.From, t.To, float64(k-1)/float64(n-1)), Unit: unit}.written(), Pace{}
	return t
}

// written is an absolute pace as the notation can say it: to a tenth of a second, or to
// a hundredth of a speed.
func (p Pace) written() Pace {
	parts := 10.0
	if p.Unit.IsSpeed() {
		parts = 100
	}
	return MakePace(math.Round(p.Value()*parts)/parts, p.Unit)
}

// PaceUnit is the unit a pace or speed was written in.
type PaceUnit string

// Pace units. AthleteUnit means per km or per mile as the athlete counts; of an offset
// also as the pace beside it is written. Until Athlete.Resolve has pinned it a pace
// counts per km.
const (
	AthleteUnit PaceUnit = ""
	PerKm       PaceUnit = "/km"
	PerMile     PaceUnit = "/mi"
	KmPerHour   PaceUnit = "km/h"
	MilesPerH   PaceUnit = "mph"
)

// A Pace is one end of a target: an absolute pace, or a reference pace of the
// athlete's by name.
type Pace struct {
	SecPerKm float64    // s/km; zero for a named pace that is not resolved yet
	Unit     PaceUnit   // as written; AthleteUnit when Name is set or no unit was written
	Name     string     // of a reference pace, lower case; empty when absolute
	Offset   PaceOffset // added to the reference pace; negative is quicker
}

// A PaceOffset is a difference of pace: Seconds per the distance of Unit.
type PaceOffset struct {
	Seconds float64
	Unit    PaceUnit // PerKm, PerMile or AthleteUnit
}

// HeartUnit is what the bounds of a heart target count.
type HeartUnit string

// Heart units.
const (
	BPM            HeartUnit = "bpm"      // beats/min
	PercentMax     HeartUnit = "%max"     // percent of the maximum
	PercentReserve HeartUnit = "%reserve" // percent of the reserve, added to rest (Karvonen 1957)
	Zone           HeartUnit = "zone"     // numbers of the athlete's zones, from 1
)

// A HeartRange bounds the heart rate. A bound of zero is open.
type HeartRange struct {
	Unit      HeartUnit
	Low, High float64 // in Unit, as written

	// In beats/min, filled in by Athlete.Resolve; for BPM always set.
	LowBPM, HighBPM float64
}

// PerKm is the offset in s/km. An offset whose unit is the athlete's counts
// per km until Athlete.Resolve has pinned it.
func (o PaceOffset) PerKm() float64 {
	if o.Unit == PerMile {
		return o.Seconds / kmPerMile
	}
	return o.Seconds
}

const kmPerMile = figures.MetresPerMile / 1000

// IsSpeed tells whether more is quicker.
func (u PaceUnit) IsSpeed() bool { return u == KmPerHour || u == MilesPerH }

// PerDistance is the unit in which differences beside a pace of unit u count:
// PerKm or PerMile, or AthleteUnit beside a named pace.
func (u PaceUnit) PerDistance() PaceUnit {
	switch u {
	case MilesPerH, PerMile:
		return PerMile
	case KmPerHour, PerKm:
		return PerKm
	}
	return AthleteUnit
}

// MakePace is the absolute pace written as value in unit: seconds for /km and
// /mi, the speed for km/h and mph.
func MakePace(value float64, unit PaceUnit) Pace {
	p := Pace{Unit: unit}
	switch unit {
	case PerMile:
		p.SecPerKm = value / kmPerMile
	case KmPerHour:
		p.SecPerKm = 3600 / value
	case MilesPerH:
		p.SecPerKm = 3600 / (value * kmPerMile)
	default:
		p.SecPerKm = value
	}
	return p
}

// Value is the absolute pace in its own unit, the inverse of MakePace.
func (p Pace) Value() float64 {
	switch p.Unit {
	case PerMile:
		return p.SecPerKm * kmPerMile
	case KmPerHour:
		return 3600 / p.SecPerKm
	case MilesPerH:
		return 3600 / p.SecPerKm / kmPerMile
	}
	return p.SecPerKm
}

// The paces that can be asked for, s/km. The 100 m record is near 96 (common
// knowledge, no source); the other end is a stroll of 1 km/h.
const (
	QuickestPace = 90.0
	SlowestPace  = 3600.0
)
