package trend

import (
	"math"
	"testing"
)

// A weighted line through six values with known errors, and the same with the scatter
// counted: slope, error and p computed with R's lm (weights one over the square of the
// error). By the errors alone p would be .000188.
func TestLineOfPublishedValues(t *testing.T) {
	y := []float64{4.02, 4.05, 4.01, 4.10, 4.12, 4.09}
	l := FitLine([][]float64{y}, [][]float64{{.020, .025, .020, .030, .020, .025}})
	near(t, "slope", l.Slope, .01980771, 5e-9)
	near(t, "error by the errors alone", l.KnownSE, .00530465, 5e-9)
	near(t, "error with the scatter", l.SE, .00781631, 5e-9)
	near(t, "p", l.P(), .064380, 5e-7)
	if l.Free != 4 {
		t.Errorf("%d degrees of freedom", l.Free)
	}
	// Student's t on 4 degrees of freedom (any table: 2.776).
	near(t, "margin", l.Margin(), 2.776445*.00781631, 1e-6)
	if math.Abs(l.Slope) > l.Margin() {
		t.Errorf("slope %v is beyond its margin %v", l.Slope, l.Margin())
	}
}

// Values that lie closer to a line than their errors allow have the error that these
// give them, never less.
func TestErrorNeverBelowMeasuring(t *testing.T) {
	l := FitLine([][]float64{{240, 238, 236, 234}}, [][]float64{{2, 2, 2, 2}})
	near(t, "error", l.SE, 2/math.Sqrt(5), 1e-12)
	near(t, "scatter", l.Scatter, 0, 1e-9)
	// 2 s/km a rep within ±4.303 x .894 (t on 2 degrees of freedom).
	near(t, "margin", l.Margin(), 4.302653*2/math.Sqrt(5), 1e-5)
	if math.Abs(l.Slope) > l.Margin() || l.Uneven() {
		t.Errorf("%+v is not level", l)
	}
}

// Sets share a slope and keep their levels: as many degrees of freedom as reps less
// sets less one.
func TestLineOverSets(t *testing.T) {
	one := []float64{1, 1, 1}
	l := FitLine([][]float64{{250, 248, 246}, {240, 238, 236}}, [][]float64{one, one})
	near(t, "slope", l.Slope, -2, 1e-12)
	near(t, "error", l.KnownSE, 0.5, 1e-12) // two sums of squares of 2
	if l.Free != 3 {
		t.Errorf("%d degrees of freedom", l.Free)
	}
}
