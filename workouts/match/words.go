package match

import (
	"fmt"
	"math"

	"example.org/rungs/workouts/figures"
)

// difference writes a difference of pace, given in s/km and without its sign, with
// the half width of its 95 % interval unless that is NaN.
func (o Options) difference(d, margin float64) string {
	return figures.UnitOf(o.Miles).Difference(d, margin)
}

// signed is difference with the sign, of a zero as well.
func (o Options) signed(d, margin float64) string {
	u := figures.UnitOf(o.Miles)
	return fmt.Sprintf("%+.0f", u.PerKm()*d) + u.MarginText(margin) + " " + u.Spoken()
}

// fine is difference in tenths, and positive for a gain.
func (o Options) fine(d, margin float64) string {
	u := figures.UnitOf(o.Miles)
	return fmt.Sprintf("%.1f ±%.1f %s", u.PerKm()*d, math.Max(math.Ceil(10*u.PerKm()*margin)/10, 0.1), u.Spoken())
}

// name is what the rep at index i is called.
func (r *Result) name(i int) string {
	rep := r.Reps[i]
	if rep.Step < 0 {
		return "an extra rep"
	}
	return fmt.Sprintf("rep %d", rep.Rep)
}

// amountText writes seconds or metres, in the unit that the plan writes the amount in:
// metres, from a kilometre on kilometres, or miles.
func amountText(x float64, unit string, mile bool) string {
	switch {
	case unit != "m":
		return figures.Brief(x)
	case mile && math.Abs(x) < figures.MetresPerMile:
		return fmt.Sprintf("%.3f mi", x/figures.MetresPerMile)
	case mile:
		return fmt.Sprintf("%.2f mi", x/figures.MetresPerMile)
	case math.Abs(x) >= 1000:
		return fmt.Sprintf("%.2f km", x/1000)
	}
	return fmt.Sprintf("%.0f m", x)
}
