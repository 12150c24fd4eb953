package report

import "math"

// difference prints a difference of pace given in s/km, without its sign, with the half
// width of its 95 % interval; a negative margin is none.
func (u unit) difference(d, margin float64) string {
	if !known(d) {
		return "an unknown amount"
	}
	return decimal(math.Abs(d)*u.perKm, 0) + u.marginText(margin) + " " + u.spoken
}

// signedDifference is difference with the sign.
func (u unit) signedDifference(d, margin float64) string {
	return signed(d*u.perKm, 0) + u.marginText(margin) + " " + u.spoken
}

// difference2 is signedDifference in tenths.
func (u unit) difference2(d, margin float64) string {
	s := signed(d*u.perKm, 1)
	if known(margin) {
		s += " ±" + decimal(math.Ceil(10*margin*u.perKm)/10, 1)
	}
	return s + " " + u.spoken
}

// marginText is a margin in whole seconds, rounded up.
func (u unit) marginText(margin float64) string {
	if !known(margin) || margin < 0 {
		return ""
	}
	return " ±" + decimal(math.Max(1, math.Ceil(margin*u.perKm)), 0)
}
