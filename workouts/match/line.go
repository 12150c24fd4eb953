package match

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// z95 is the normal quantile of a two-sided 95 % interval (any table, such as
// NIST/SEMATECH e-Handbook 1.3.6.7.1). Differences are called at the margin that is
// printed beside them, which is this many standard errors.
const z95 = 1.959963984540054

// alpha is the two-sided level of every test (common practice, no source).
const alpha = 0.05

// A line is a weighted least-squares slope over places with a common slope
// and, for several sets, an own level each.
type line struct {
	slope float64
	se    float64 // of slope, the scatter about the line counted
	known float64 // of slope, from the errors of the values alone
	free  int     // degrees of freedom about the line; below 1 the scatter cannot be known

	misfit    float64 // weighted squares about the levels of the sets, without a slope
	levelFree int     // degrees of freedom of misfit
	scatter   float64 // standard deviation about the line, in the unit of y; NaN when free < 1
}

// fitLine fits sets of values y with standard errors se, one place apart.
//
// The scatter of the values about the line counts: where it is more than their
// errors explain, the error of the slope is widened by the ratio (Birge's ratio,
// never below 1; name from memory, value checked with R's lm), and the slope is
// judged by Student's t with the degrees of freedom about the line. A runner's reps
// scatter by more than a good device errs, and a trend is what stands out of that.
func fitLine(sets [][]float64, se [][]float64) line {
	var sxx, sxy float64
	l := line{slope: nan, se: nan, known: nan, scatter: nan}
	n := 0
	for s, y := range sets {
		var w, mx, my float64
		for i := range y {
			k := 1 / (se[s][i] * se[s][i])
			w, mx, my = w+k, mx+k*float64(i), my+k*y[i]
		}
		mx, my = mx/w, my/w
		for i := range y {
			k := 1 / (se[s][i] * se[s][i])
			dx, dy := float64(i)-mx, y[i]-my
			sxx, sxy, l.misfit = sxx+k*dx*dx, sxy+k*dx*dy, l.misfit+k*dy*dy
		}
		l.levelFree += len(y) - 1
		n += len(y)
	}
	l.free = l.levelFree - 1
	if !(sxx > 0) { // a single rep
		return l
	}
	l.slope, l.known = sxy/sxx, 1/math.Sqrt(sxx)
	l.se = l.known
	if l.free < 1 {
		return l
	}
	about := math.Max(l.misfit-sxy*sxy/sxx, 0)
	l.se *= math.Max(1, math.Sqrt(about/float64(l.free)))
	var ss float64
	for s, y := range sets {
		level, _ := weightedMean(y, se[s])
		place, _ := weightedMean(places(len(y)), se[s])
		for i, v := range y {
			d := v - level - l.slope*(float64(i)-place)
			ss += d * d
		}
	}
	l.scatter = math.Sqrt(ss / float64(l.free))
	return l
}

func places(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = float64(i)
	}
	return x
}

// p is the two-sided p of the slope.
func (l line) p() float64 {
	t := math.Abs(l.slope) / l.se
	if l.free < 1 {
		return math.Min(1, 2*distuv.UnitNormal.Survival(t))
	}
	return math.Min(1, 2*distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.free)}.Survival(t))
}

// quantile is how many standard errors of the slope its 95 % margin is.
func (l line) quantile() float64 {
	if l.free < 1 {
		return z95
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.free)}.Quantile(1 - alpha/2)
}

// margin is the half width of the 95 % interval of the slope.
func (l line) margin() float64 { return l.quantile() * l.se }

// call judges a trend: beyond its margin, else uneven when the values differ by
// more than their errors, else level, which is to say that it cannot be known.
func (l line) call() Call {
	switch {
	case l.levelFree < 1 || math.IsNaN(l.slope):
		return NoCall
	case math.Abs(l.slope) > l.margin():
		return bySign(l.slope)
	case distuv.ChiSquared{K: float64(l.levelFree)}.Survival(l.misfit) < alpha:
		return Uneven
	}
	return Level
}

func weightedMean(y, se []float64) (mean, meanSE float64) {
	var w, s float64
	for i, v := range y {
		k := 1 / (se[i] * se[i])
		w, s = w+k, s+k*v
	}
	return s / w, 1 / math.Sqrt(w)
}
