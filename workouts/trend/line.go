package trend

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Z95 is how many standard errors the half width of a two-sided 95 % interval is: the
// normal quantile at 0.975 (any table, such as NIST/SEMATECH e-Handbook 1.3.6.7.1).
const Z95 = 1.959963984540054

// Alpha is the two-sided level of every test (common practice, no source).
const Alpha = 0.05

// A Line is a weighted least-squares line through one set of values or several: one
// slope for all of them and a level for each. What is not known is NaN.
type Line struct {
	Slope   float64 // unit of y for each unit of x
	SE      float64 // of Slope, the scatter about the line counted
	KnownSE float64 // of Slope, from the errors of the values alone
	Free    int     // degrees of freedom about the line; below 1 the scatter cannot be known

	Misfit    float64 // weighted squares about the levels of the sets, without a slope
	LevelFree int     // degrees of freedom of Misfit
	Scatter   float64 // standard deviation about the line, in the unit of y; NaN when Free < 1
}

// FitLine fits sets of values y with standard errors se, one place apart in each set.
func FitLine(y, se [][]float64) Line {
	x := make([][]float64, len(y))
	for s := range y {
		x[s] = make([]float64, len(y[s]))
		for i := range x[s] {
			x[s][i] = float64(i)
		}
	}
	return FitLineAt(x, y, se)
}

// FitLineAt fits sets of values y with standard errors se at places x; the three have
// the same lengths.
//
// The scatter of the values about the line counts: where it is more than their
// errors explain, the error of the slope is widened by the ratio (Birge's ratio,
// never below 1; name from memory, value checked with R's lm), and the slope is
// judged by Student's t with the degrees of freedom about the line. A runner's reps
// scatter by more than a good device errs, and a trend is what stands out of that.
func FitLineAt(x, y, se [][]float64) Line {
	var sxx, sxy float64
	l := Line{Slope: math.NaN(), SE: math.NaN(), KnownSE: math.NaN(), Scatter: math.NaN()}
	for s := range y {
		my, _ := WeightedMean(y[s], se[s])
		mx, _ := WeightedMean(x[s], se[s])
		for i := range y[s] {
			k := 1 / (se[s][i] * se[s][i])
			dx, dy := x[s][i]-mx, y[s][i]-my
			sxx, sxy, l.Misfit = sxx+k*dx*dx, sxy+k*dx*dy, l.Misfit+k*dy*dy
		}
		l.LevelFree += len(y[s]) - 1
	}
	l.Free = l.LevelFree - 1
	if !(sxx > 0) { // a single place
		return l
	}
	l.Slope, l.KnownSE = sxy/sxx, 1/math.Sqrt(sxx)
	l.SE = l.KnownSE
	if l.Free < 1 {
		return l
	}
	about := math.Max(l.Misfit-sxy*sxy/sxx, 0)
	l.SE *= math.Max(1, math.Sqrt(about/float64(l.Free)))
	var ss float64
	for s := range y {
		level, _ := WeightedMean(y[s], se[s])
		place, _ := WeightedMean(x[s], se[s])
		for i, v := range y[s] {
			d := v - level - l.Slope*(x[s][i]-place)
			ss += d * d
		}
	}
	l.Scatter = math.Sqrt(ss / float64(l.Free))
	return l
}

// P is the two-sided p of the slope.
func (l Line) P() float64 {
	t := math.Abs(l.Slope) / l.SE
	if l.Free < 1 {
		return math.Min(1, 2*distuv.UnitNormal.Survival(t))
	}
	return math.Min(1, 2*distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.Free)}.Survival(t))
}

// Margin is the half width of the 95 % interval of the slope.
func (l Line) Margin() float64 {
	if l.Free < 1 {
		return Z95 * l.SE
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.Free)}.Quantile(1-Alpha/2) * l.SE
}

// Uneven tells whether the values differ by more than their errors explain, whatever the slope.
func (l Line) Uneven() bool {
	return distuv.ChiSquared{K: float64(l.LevelFree)}.Survival(l.Misfit) < Alpha
}

// WeightedMean is the mean of values with standard errors, and its own standard error.
func WeightedMean(y, se []float64) (mean, meanSE float64) {
	var w, s float64
	for i, v := range y {
		k := 1 / (se[i] * se[i])
		w, s = w+k, s+k*v
	}
	return s / w, 1 / math.Sqrt(w)
}
