package changepoint

import (
	"math"
	"testing"
)

// TestScores: the values are in the tests of the scorer of the annotated benchmark
// (van den Burg & Williams 2020, analysis/scripts/metrics.py).
func TestScores(t *testing.T) {
	one, two := [][]int{{10, 20}, {11, 20}, {10}, {0, 5}}, [][]int{{}, {10}, {50}}
	for _, c := range []struct {
		annotations [][]int
		predicted   []int
		want        float64
	}{
		{one, []int{10, 20}, 1},
		{two, []int{10}, 0.9090909090909091},
		{two, []int{}, 0.8},
	} {
		if got, err := FMeasure(c.annotations, c.predicted, 5); err != nil || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("FMeasure(%v, %v) = %v, %v; want %v", c.annotations, c.predicted, got, err, c.want)
		}
	}
	three, four := [][]int{{10, 20}, {10}, {0, 5}}, [][]int{{}, {10}, {40}}
	for _, c := range []struct {
		annotations [][]int
		predicted   []int
		n           int
		want        float64
	}{
		{three, []int{10, 20}, 45, 0.7962962963},
		{four, []int{10}, 45, 0.7954144621},
		{four, []int{}, 45, 0.8189300412},
		{[][]int{{3}}, []int{3, 5}, 6, 0.8333333333}, // {1 2 3} {4 5 6} by {1 2 3} {4 5} {6}
	} {
		if got, err := Covering(c.annotations, c.predicted, c.n); err != nil || math.Abs(got-c.want) > 5e-11 {
			t.Errorf("Covering(%v, %v, %d) = %v, %v; want %v", c.annotations, c.predicted, c.n, got, err, c.want)
		}
	}
}

// TestFMeasureCountsOnce: a prediction near two true changes finds one of them. By
// hand: precision 1, recall (1 + 1)/3, as 0 is known to all.
func TestFMeasureCountsOnce(t *testing.T) {
	got, err := FMeasure([][]int{{50, 52}}, []int{51}, 5)
	if want := 2 * (2. / 3) / (1 + 2./3); err != nil || math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
}
