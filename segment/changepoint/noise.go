package changepoint

import (
	"math"
	"slices"
)

// madFactor makes the median absolute deviation of normal noise its standard
// deviation: 1 / Phi^-1(3/4) (Hampel 1974, JASA 69:382-393).
const madFactor = 1.482602218505602

// DifferenceSigma estimates the standard deviation of the noise of a series
// with steps in it: the scaled median absolute deviation of its first
// differences, divided by the square root of two. A few steps and outliers do no
// harm. It is right for independent noise only; for positively correlated noise
// it is too small, often by far, and for negatively correlated noise too large.
//
// NaN marks unknown samples; differences across them are left out. The result is
// NaN when no difference is left. Units are those of y.
func DifferenceSigma(y []float64) float64 {
	var d []float64
	for t := 1; t < len(y); t++ {
		if v := y[t] - y[t-1]; !math.IsNaN(v) {
			d = append(d, v)
		}
	}
	m := median(d)
	for i := range d {
		d[i] = math.Abs(d[i] - m)
	}
	return madFactor * median(d) / math.Sqrt2
}

// median sorts x; NaN when x is empty.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// AR1 is the lag-one autocorrelation of residuals with mean zero, in [-1, 1]:
//
//	sum r[t] r[t-1] / sqrt(sum r[t]^2 sum r[t-1]^2)
//
// over all t where both are known (NaN marks the unknown). It is 0 when there is
// no such pair or nothing varies.
func AR1(resid []float64) float64 {
	var xy, xx, yy float64
	for t := 1; t < len(resid); t++ {
		x, y := resid[t-1], resid[t]
		if v := x * y; !math.IsNaN(v) {
			xy += v
			xx += x * x
			yy += y * y
		}
	}
	if !(xx > 0 && yy > 0) {
		return 0
	}
	return max(-1, min(1, xy/math.Sqrt(xx)/math.Sqrt(yy)))
}

// LongRunVariance estimates the long-run variance of residuals with mean zero,
// the sum of all their autocovariances. The mean of m neighbouring samples has
// variance LongRunVariance/m, whatever the correlation; for independent noise it
// is the plain variance.
//
// The residuals are prewhitened by a first-order autoregression (Andrews &
// Monahan 1992, Econometrica 60:953-966), the rest gets the Newey-West (1987,
// Econometrica 55:703-708) estimate, triangular weights on the autocovariances,
// with the automatic bandwidth of Andrews (1991, Econometrica 59:817-858), and
// is coloured again.
//
// NaN marks unknown residuals; pairs with one are left out. The result is NaN
// for fewer than two known residuals. Units are those of resid, squared.
func LongRunVariance(resid []float64) float64 {
	phi := max(-0.97, min(0.97, AR1(resid)))
	white := make([]float64, 0, len(resid))
	for t := 1; t < len(resid); t++ {
		white = append(white, resid[t]-phi*resid[t-1])
	}
	v := newey(white)
	if math.IsNaN(v) {
		return newey(resid)
	}
	return v / (1 - phi) / (1 - phi)
}

// newey is the Newey-West estimate with automatic bandwidth.
func newey(r []float64) float64 {
	known := 0
	for _, v := range r {
		if !math.IsNaN(v) {
			known++
		}
	}
	if known < 2 {
		return math.NaN()
	}
	rho := max(-0.97, min(0.97, AR1(r)))
	alpha := 4 * rho * rho / ((1 - rho) * (1 - rho) * (1 + rho) * (1 + rho))
	width := 1.1447 * math.Cbrt(alpha*float64(known))
	sum := autocovariance(r, 0)
	variance := sum
	for lag := 1; float64(lag) <= width && lag < len(r); lag++ {
		sum += 2 * (1 - float64(lag)/(width+1)) * autocovariance(r, lag)
	}
	return max(sum, 1e-3*variance)
}

// autocovariance is the mean product of known pairs, mean taken as zero.
func autocovariance(r []float64, lag int) float64 {
	var sum float64
	pairs := 0
	for t := lag; t < len(r); t++ {
		if v := r[t] * r[t-lag]; !math.IsNaN(v) {
			sum += v
			pairs++
		}
	}
	if pairs == 0 {
		return 0
	}
	return sum / float64(pairs)
}
