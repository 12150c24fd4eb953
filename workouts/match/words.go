package match

import (
	"fmt"
	"math"

	"example.org/rungs/workouts/figures"
)

// unit is the distance that differences of pace count by, km, and its name.
func (o Options) unit() (perKm float64, name string) {
	if o.Miles {
		return figures.MetresPerMile / 1000, "s/mi"
	}
	return 1, "s/km"
}

// difference writes a difference of pace, given in s/km and without its sign, with
// the half width of its 95 % interval unless that is NaN.
func (o Options) difference(d, margin float64) string { return o.write(math.Abs(d), margin, "%.0f") }

// signed is difference with the sign.
func (o Options) signed(d, margin float64) string { return o.write(d, margin, "%+.0f") }

// fine is signed, in tenths, and positive for a gain.
func (o Options) fine(d, margin float64) string {
	k, name := o.unit()
	return fmt.Sprintf("%.1f ±%.1f %s", k*d, math.Max(math.Ceil(10*k*margin)/10, 0.1), name)
}

func (o Options) write(d, margin float64, format string) string {
	k, name := o.unit()
	s := fmt.Sprintf(format, k*d)
	if !math.IsNaN(margin) {
		s += fmt.Sprintf(" ±%.0f", math.Max(1, math.Ceil(k*margin)))
	}
	return s + " " + name
}

// name is what the rep at index i is called.
func (r *Result) name(i int) string {
	rep := r.Reps[i]
	if rep.Step < 0 {
		return "an extra rep"
	}
	return fmt.Sprintf("rep %d", rep.Rep)
}

// clock writes seconds as 45s or 3:05.
func clock(s float64) string { return figures.Brief(s) }

// amountText writes seconds or metres, in the unit that the plan writes the amount in:
// metres, from a kilometre on kilometres, or miles.
func amountText(x float64, unit string, mile bool) string {
	switch {
	case unit != "m":
		return clock(x)
	case mile && math.Abs(x) < figures.MetresPerMile:
		return fmt.Sprintf("%.3f mi", x/figures.MetresPerMile)
	case mile:
		return fmt.Sprintf("%.2f mi", x/figures.MetresPerMile)
	case math.Abs(x) >= 1000:
		return fmt.Sprintf("%.2f km", x/1000)
	}
	return fmt.Sprintf("%.0f m", x)
}
