package figures

import (
	"math"
	"strconv"

	"example.org/rungs/workouts/trend"
)

// A Unit is the distance that a runner counts by.
type Unit struct {
	Name   string // "km"
	Metres float64
}

// The units.
var (
	Kilometre = Unit{"km", 1000}
	Mile      = Unit{"mi", MetresPerMile}
)

// UnitOf is the mile or the kilometre.
func UnitOf(miles bool) Unit {
	if miles {
		return Mile
	}
	return Kilometre
}

// PerKm is the length of the unit in km, by which s/km are multiplied.
func (u Unit) PerKm() float64 { return u.Metres / 1000 }

// Per is the unit of a pace as a head says it: "/km".
func (u Unit) Per() string { return "/" + u.Name }

// Pace prints a pace given in s/km; "stood" for one at which nobody walks.
func (u Unit) Pace(secPerKm float64) string {
	switch {
	case math.IsInf(secPerKm, 1) || secPerKm >= Standing:
		return "stood"
	case !Known(secPerKm) || secPerKm <= 0:
		return ""
	}
	return Clock(secPerKm * u.PerKm())
}

// Margin prints the 95 % margin that belongs to a standard error in s/km, in whole
// seconds rounded up: a margin must not look smaller than it is.
func (u Unit) Margin(se float64) string {
	if !Known(se) || se < 0 {
		return ""
	}
	return "±" + Decimal(max(1, math.Ceil(trend.Z95*se*u.PerKm())), 0)
}

// Distance prints metres in the unit to a tenth, nothing when there are none.
func (u Unit) Distance(m float64) string {
	if !(m > 0) {
		return ""
	}
	return strconv.FormatFloat(m/u.Metres, 'f', 1, 64) + " " + u.Name
}

// Length prints the length of a whole run, in hundredths of the unit.
func (u Unit) Length(m float64) string {
	if !Known(m) {
		return ""
	}
	return Decimal(m/u.Metres, 2) + " " + u.Name
}

// Stretch prints the length of a part of a run: in metres, or for who counts in miles in
// these, to about the metre below one mile (a thousandth is 1.6 m).
func (u Unit) Stretch(m float64) string {
	switch {
	case !Known(m):
		return ""
	case u != Mile:
		return Metres(m)
	case m < MetresPerMile:
		return Decimal(m/MetresPerMile, 3) + " mi"
	}
	return u.Length(m)
}

// Spoken is the unit of a difference of pace: "s/km".
func (u Unit) Spoken() string { return "s" + u.Per() }

// Difference prints a difference of pace given in s/km, without its sign, with the half
// width of its 95 % interval; a negative margin is none.
func (u Unit) Difference(d, margin float64) string {
	if !Known(d) {
		return "an unknown amount"
	}
	return Decimal(math.Abs(d)*u.PerKm(), 0) + u.MarginText(margin) + " " + u.Spoken()
}

// SignedDifference is Difference with the sign.
func (u Unit) SignedDifference(d, margin float64) string {
	return Signed(d*u.PerKm(), 0) + u.MarginText(margin) + " " + u.Spoken()
}

// FineDifference is SignedDifference in tenths.
func (u Unit) FineDifference(d, margin float64) string {
	s := Signed(d*u.PerKm(), 1)
	if Known(margin) {
		s += " ±" + Decimal(math.Ceil(10*margin*u.PerKm())/10, 1)
	}
	return s + " " + u.Spoken()
}

// MarginText is a margin in whole seconds, rounded up.
func (u Unit) MarginText(margin float64) string {
	if !Known(margin) || margin < 0 {
		return ""
	}
	return " ±" + Decimal(math.Max(1, math.Ceil(margin*u.PerKm())), 0)
}
