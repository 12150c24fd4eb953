package report

import (
	"example.org/rungs/workouts/figures"
)

// A unit is the distance that a runner counts pace by, and the words of it.
type unit struct {
	name   string
	perKm  float64 // length in km
	spoken string
}

var (
	perKm   = unit{"/km", 1, "s/km"}
	perMile = unit{"/mi", figures.MetresPerMile / 1000, "s/mi"}
)

func (u unit) length() figures.Unit { return figures.Unit{Name: u.name[1:], Metres: 1000 * u.perKm} }

func (u unit) pace(p float64) string    { return u.length().Pace(p) }
func (u unit) margin(se float64) string { return u.length().Margin(se) }

// standing is the pace, in s/km, from which on nobody walks.
const standing = figures.Standing

// Short names for what the words of a session are made of.
func known(v float64) bool             { return figures.Known(v) }
func clock(s float64) string           { return figures.Clock(s) }
func decimal(v float64, n int) string  { return figures.Decimal(v, n) }
func signed(v float64, n int) string   { return figures.Signed(v, n) }
func metresText(m float64) string      { return figures.Metres(m) }
func kilometresText(m float64) string  { return figures.Kilometres(m) }
func beatsText(v float64) string       { return figures.Beats(v) }
func plural(n int, noun string) string { return figures.Plural(n, noun) }
