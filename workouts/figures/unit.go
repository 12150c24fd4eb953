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
// seconds rounded up.
func (u Unit) Margin(se float64) string {
	if !Known(se) || se < 0 {
		return ""
	}
	return "±" + Decimal(wholeMargin(trend.Z95*se*u.PerKm()), 0)
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
// width of its 95 % interval; a negative margin is none. A difference beyond its margin never looks as if it were within:
// where whole seconds would, both are told in tenths.
func (u Unit) Difference(d, margin float64) string {
	if !Known(d) {
		return "an unknown amount"
	}
	return Decimal(math.Abs(d)*u.PerKm(), u.places(d, margin)) + u.marginText(margin, u.places(d, margin)) + " " + u.Spoken()
}

// SignedDifference is Difference with the sign.
func (u Unit) SignedDifference(d, margin float64) string {
	return u.SignedText(d, margin) + " " + u.Spoken()
}

// SignedText is SignedDifference without the unit.
func (u Unit) SignedText(d, margin float64) string {
	return Signed(d*u.PerKm(), u.places(d, margin)) + u.marginText(margin, u.places(d, margin))
}

// places are the decimals that tell a difference from its margin: one where whole seconds would not, else none.
func (u Unit) places(d, margin float64) int {
	if margin > 0 && math.Abs(d) > margin && math.Round(math.Abs(d)*u.PerKm()) < wholeMargin(margin*u.PerKm()) {
		return 1
	}
	return 0
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
func (u Unit) MarginText(margin float64) string { return u.marginText(margin, 0) }

func (u Unit) marginText(margin float64, places int) string {
	switch {
	case !Known(margin) || margin < 0:
		return ""
	case places > 0:
		return " ±" + Decimal(margin*u.PerKm(), places)
	}
	return " ±" + Decimal(wholeMargin(margin*u.PerKm()), 0)
}

// wholeMargin is a margin rounded up: it must not look smaller than it is.
func wholeMargin(margin float64) float64 { return math.Max(1, math.Ceil(margin)) }
