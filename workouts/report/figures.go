package report

import (
	"fmt"
	"math"
	"strconv"

	"example.org/rungs/workouts"
)

// z95 turns a standard error into the half width of a 95 % interval (the
// normal quantile at 0.975).
const z95 = 1.96

// A unit is the distance that a runner counts by.
type unit struct {
	name   string
	perKm  float64 // length in km
	spoken string
	counts workouts.PaceUnit
}

var (
	perKm   = unit{"/km", 1, "s/km", workouts.PerKm}
	perMile = unit{"/mi", workouts.MetresPerMile / 1000, "s/mi", workouts.PerMile}
)

// stretch prints the length of a part of a run: in metres, or for who counts in miles in
// these, to about the metre below one mile (a thousandth is 1.6 m).
func (u unit) stretch(m float64) string {
	switch {
	case !known(m):
		return ""
	case u != perMile:
		return decimal(m, 0) + " m"
	case m < workouts.MetresPerMile:
		return decimal(m/workouts.MetresPerMile, 3) + " mi"
	}
	return u.length(m)
}

// length prints the length of a whole run, in hundredths of the unit.
func (u unit) length(m float64) string {
	if !known(m) {
		return ""
	}
	return decimal(m/1000/u.perKm, 2) + " " + u.name[1:]
}

func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// clock prints seconds as 4:05 or 1:02:11, rounded to whole seconds. Nothing
// that takes thirty years is a time.
func clock(s float64) string {
	if !known(s) || math.Abs(s) > 1e9 {
		return ""
	}
	n := int64(math.Round(math.Abs(s)))
	text := fmt.Sprintf("%d:%02d", n/60, n%60)
	if n >= 3600 {
		text = fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	if s < 0 && n > 0 {
		return "-" + text
	}
	return text
}

// standing is the pace, in s/km, from which on nobody walks.
const standing = 3600

// pace prints a pace given in s/km.
func (u unit) pace(p float64) string {
	switch {
	case math.IsInf(p, 1) || p >= standing:
		return "stood"
	case !known(p) || p <= 0:
		return ""
	}
	return clock(p * u.perKm)
}

// margin prints the 95 % margin that belongs to a standard error in s/km, in
// whole seconds rounded up: a margin must not look smaller than it is.
func (u unit) margin(se float64) string {
	if !known(se) || se < 0 {
		return ""
	}
	return "±" + decimal(max(1, math.Ceil(z95*se*u.perKm)), 0)
}

// decimal prints v with so many decimals, never as a negative zero.
func decimal(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if x, _ := strconv.ParseFloat(s, 64); x == 0 && s[0] == '-' {
		return s[1:]
	}
	return s
}

// signed prints a difference with its sign, or plain zero.
func signed(v float64, decimals int) string {
	if !known(v) {
		return ""
	}
	s := decimal(v, decimals)
	if x, _ := strconv.ParseFloat(s, 64); x > 0 {
		return "+" + s
	}
	return s
}

func beatsText(v float64) string {
	if !known(v) || v <= 0 {
		return ""
	}
	return decimal(v, 0)
}

// plural prints a count with its noun.
func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
