package changepoint

import (
	"fmt"
	"math"
)

// Interval gives the confidence interval of a change in mean: with probability
// level, in (0, 1), the true change lies in [low, high]. change is the first
// index of the new segment as Search gives it, step the difference of the two
// means; before and after are the variances of the noise on either side, per
// sample, or its long-run variances when the noise is correlated (see
// LongRunVariance).
//
// The borders are those of Offsets, rounded outward, and are not cut at the
// ends of the series.
func Interval(change int, step, before, after, level float64) (low, high int, err error) {
	l, h, err := Offsets(step, before, after, level)
	if err != nil {
		return 0, 0, err
	}
	if h-l > 1e15 {
		return 0, 0, fmt.Errorf("changepoint: a step of %v in noise of variance %v and %v has an interval wider than can be counted", step, before, after)
	}
	return change + int(math.Floor(l)), change + int(math.Ceil(h)), nil
}

// Offsets gives the same interval as distances from the estimated change, low
// <= 0 <= high, in samples and not rounded. With variances per unit of position
// (long-run variance times duration of a sample) the distances are in units of
// position.
//
// For a step that is small against the noise the error of the least-squares
// estimate is distributed as the place of the maximum of
//
//	V(s) = sd(before) |step| B1(-s) - step^2 |s|/2   for s <= 0,
//	V(s) = sd(after)  |step| B2(s)  - step^2 s/2     for s > 0,
//
// with independent standard Brownian motions B1 and B2 (Bai 1997, Rev. Econ.
// Stat. 79:551-563). For equal variances the half-width is c variance/step^2
// with c = 7.687, 11.033, 19.767 at 90, 95, 99 %. For a large step, where this
// is less than a sample, it is cautious.
//
// The theory wants segments that are long against the interval, and takes the
// change for granted: it does not test whether there is one.
func Offsets(step, before, after, level float64) (low, high float64, err error) {
	if err := checkStep(step, before, after); err != nil {
		return 0, 0, err
	}
	if !(level > 0 && level < 1) {
		return 0, 0, fmt.Errorf("changepoint: level is %v; it must lie between 0 and 1", level)
	}
	// An estimate that is late by its upper quantile puts the truth that far
	// before the estimate; being late is a matter of the noise after the change.
	tail := (1 - level) / 2
	low = -quantile(after/step/step, before/step/step, tail)
	high = quantile(before/step/step, after/step/step, tail)
	return low, high, nil
}

// StandardError is the root of the mean squared error of the estimated place of
// a change under the same theory and in the same units as Offsets:
// sqrt(26) variance/step^2 for equal variances (Yao 1987, Ann. Statist.
// 15:1321-1328).
func StandardError(step, before, after float64) (float64, error) {
	if err := checkStep(step, before, after); err != nil {
		return 0, err
	}
	h, t := before/step/step, after/step/step
	return math.Sqrt(secondMoment(h, t) + secondMoment(t, h)), nil
}

func checkStep(step, before, after float64) error {
	if step == 0 || math.IsNaN(step) || math.IsInf(step, 0) {
		return fmt.Errorf("changepoint: step is %v; it must be finite and not 0", step)
	}
	for _, v := range []float64{before, after} {
		if !(v >= 0) || math.IsInf(v/step/step, 1) {
			return fmt.Errorf("changepoint: variance is %v; it must be finite and not negative", v)
		}
	}
	return nil
}

// quantile is the x >= 0 with P(place of the maximum > x) = tail. here is
// variance/step^2 on the side of x, there on the other side.
func quantile(here, there, tail float64) float64 {
	if here == 0 || beyond(0, here, there) <= tail {
		return 0
	}
	lo, hi := 0.0, here
	for beyond(hi, here, there) > tail {
		lo, hi = hi, 2*hi
	}
	for range 100 {
		if mid := lo + (hi-lo)/2; beyond(mid, here, there) > tail {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// beyond is P(place of the maximum > x) for x >= 0.
//
// Brownian motion with drift -a and variance b^2 per unit has a maximum M with
// density l exp(-l m), l = 2a/b^2, reached at the first passage T(m) to it. With k
// the rate l of the other side, whose maximum must be less than m,
//
//	P = l int_0^inf (1 - exp(-k m)) P(x < T(m) < inf) dm,
//	P(x < T(m) < inf) = exp(-l m) Phi((m-ax)/(b sqrt x)) - Phi((-m-ax)/(b sqrt x)).
//
// Integrated by parts all terms share the factor phi(z), z = a sqrt(x)/b; R is
// Mills' ratio and r = k/l.
func beyond(x, here, there float64) float64 {
	z := math.Sqrt(x/here) / 2
	phi := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	own := mills(z)
	p := 2*own - 2*z + 2*z*z*own
	if there > 0 {
		r := here / there
		other := mills(z * (1 + 2*r))
		p += (own-other)/r - (own+other)/(1+r)
	}
	return max(0, phi*p)
}

// mills is (1 - Phi(z))/phi(z) for z >= 0.
func mills(z float64) float64 {
	if z < 5 {
		return math.Sqrt(math.Pi/2) * math.Exp(z*z/2) * math.Erfc(z/math.Sqrt2)
	}
	// Laplace's continued fraction z + 1/(z + 2/(z + 3/...)), of the inverse.
	f := z
	for i := 60; i >= 1; i-- {
		f = z + float64(i)/f
	}
	return 1 / f
}

// secondMoment is the part that the side called here adds to the mean squared
// distance: E[T(m)^2; T(m) < inf] = exp(-l m)(m^2/a^2 + m b^2/a^3), integrated as
// in beyond.
func secondMoment(here, there float64) float64 {
	if here == 0 {
		return 0
	}
	f := 0.0 // l/(l+k)
	if there > 0 {
		f = there / (here + there)
	}
	return 8 * here * here * (2 - f*f - f*f*f)
}
