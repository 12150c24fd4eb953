package figures

import (
	"math"
	"testing"
)

// By hand, from what a runner reads on a watch.
func TestFigures(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct{ name, got, want string }{
		{"clock", Clock(245), "4:05"}, {"clock of hours", Clock(3731.4), "1:02:11"}, {"clock that rounds up", Clock(3599.6), "1:00:00"},
		{"clock below zero", Clock(-61), "-1:01"}, {"clock of almost nothing", Clock(-0.2), "0:00"}, {"clock of nobody", Clock(nan), ""},
		{"clock without end", Clock(2e9), ""}, {"sum", Sum(61), "1:01"}, {"sum of nothing", Sum(0.3), ""}, {"sum of nobody", Sum(nan), ""},
		{"brief", Brief(45.2), "45s"}, {"brief minute", Brief(59.6), "1:00"}, {"brief hours", Brief(3600), "1:00:00"},
		{"pace", Kilometre.Pace(245), "4:05"}, {"pace of a mile", Mile.Pace(240), "6:26"}, // 240 x 1.609344 = 386.2
		{"standing", Kilometre.Pace(math.Inf(1)), "stood"}, {"no pace", Kilometre.Pace(0), ""}, {"pace of nobody", Mile.Pace(nan), ""},
		{"margin", Kilometre.Margin(1), "±2"}, {"margin of a mile", Mile.Margin(1), "±4"}, {"least margin", Kilometre.Margin(0), "±1"}, {"no margin", Kilometre.Margin(nan), ""},
		{"distance", Kilometre.Distance(12340), "12.3 km"}, {"miles", Mile.Distance(16093.44), "10.0 mi"}, {"no distance", Mile.Distance(0), ""},
		{"signed", Signed(3.4, 0), "+3"}, {"signed zero", Signed(-0.2, 0), "0"}, {"signed nobody", Signed(nan, 0), ""},
		{"whole", Whole(3.6), "4"}, {"metres", Metres(399.6), "400 m"}, {"kilometres", Kilometres(1234), "1.23 km"},
		{"beats", Beats(151.6), "152"}, {"no beats", Beats(0), ""}, {"percent", Percent(.125), "12 %"},
		{"count", Count(3), "3"}, {"no count", Count(0), ""}, {"one", Plural(1, "rep"), "1 rep"}, {"more", Plural(0, "rep"), "0 reps"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

func TestNumbers(t *testing.T) {
	for want, list := range map[string][]int{"": nil, "4": {4}, "2 and 4": {2, 4}, "2 and 3": {2, 3}, "5 to 7": {5, 6, 7}, "1, 3 and 5": {1, 3, 5}} {
		if got := Numbers(list); got != want {
			t.Errorf("%v are %q, want %q", list, got, want)
		}
	}
}

// TestDifference: a difference beyond its margin looks so, and one within it does not.
func TestDifference(t *testing.T) {
	for _, c := range []struct {
		u         Unit
		d, margin float64
		want      string
	}{
		{Kilometre, 4.13, 4.08, "4.1 ±4.1 s/km"},
		{Kilometre, -4.6, 4.08, "5 ±5 s/km"},
		{Kilometre, 3.9, 4.02, "4 ±5 s/km"},
		{Kilometre, 0.9, 0.2, "1 ±1 s/km"},
		{Kilometre, 0.4, 0.2, "0.4 ±0.2 s/km"},
		{Kilometre, 12, -1, "12 s/km"},
		{Mile, 4.13, 4.08, "7 ±7 s/mi"},
	} {
		if got := c.u.Difference(c.d, c.margin); got != c.want {
			t.Errorf("%g ±%g is %q, want %q", c.d, c.margin, got, c.want)
		}
	}
}
