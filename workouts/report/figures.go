package report

import (
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
)

// A unit is the distance that a runner counts by, and the words of it.
type unit struct {
	name   string
	perKm  float64 // length in km
	spoken string
	counts workouts.PaceUnit
}

var (
	perKm   = unit{"/km", 1, "s/km", workouts.PerKm}
	perMile = unit{"/mi", figures.MetresPerMile / 1000, "s/mi", workouts.PerMile}
)

func (u unit) of() figures.Unit { return figures.Unit{Name: u.name[1:], Metres: 1000 * u.perKm} }

func (u unit) pace(p float64) string    { return u.of().Pace(p) }
func (u unit) margin(se float64) string { return u.of().Margin(se) }

// stretch prints the length of a part of a run: in metres, or for who counts in miles in
// these, to about the metre below one mile (a thousandth is 1.6 m).
func (u unit) stretch(m float64) string {
	switch {
	case !known(m):
		return ""
	case u != perMile:
		return figures.Metres(m)
	case m < figures.MetresPerMile:
		return decimal(m/figures.MetresPerMile, 3) + " mi"
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

// standing is the pace, in s/km, from which on nobody walks.
const standing = figures.Standing

// Short names for what the words of a session are made of.
func known(v float64) bool             { return figures.Known(v) }
func clock(s float64) string           { return figures.Clock(s) }
func decimal(v float64, n int) string  { return figures.Decimal(v, n) }
func signed(v float64, n int) string   { return figures.Signed(v, n) }
func beatsText(v float64) string       { return figures.Beats(v) }
func plural(n int, noun string) string { return figures.Plural(n, noun) }
func sentence(s string) string         { return figures.Sentence(s) }
