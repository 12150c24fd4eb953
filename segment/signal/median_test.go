package signal

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// slowMedian9 is the definition: the median of the cells at most four away, of
// those that there are, with the mean of the two middle ones of an even number.
func slowMedian9(speed []float64) []float64 {
	out := make([]float64, len(speed))
	for i := range speed {
		w := slices.Clone(speed[max(0, i-4):min(len(speed), i+5)])
		slices.Sort(w)
		m := len(w) / 2
		out[i] = w[m]
		if len(w)%2 == 0 {
			out[i] = (w[m-1] + w[m]) / 2
		}
		out[i] = min(out[i], fastest)
	}
	return out
}

func TestMedian9IsTheMedian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.OneOf(
			rapid.Float64Range(0, 7),
			rapid.Map(rapid.IntRange(0, 3), func(i int) float64 { return float64(i) }), // ties
			rapid.Float64Range(0, 1e9),
		)
		speed := rapid.SliceOfN(value, 0, 60).Draw(t, "speed")
		before := slices.Clone(speed)
		if got, want := median9(speed), slowMedian9(speed); !slices.Equal(got, want) {
			t.Fatalf("of %v\nis %v\nnot %v", speed, got, want)
		}
		if !slices.Equal(speed, before) {
			t.Fatal("the input was changed")
		}
	})
}

// A running median keeps an edge where it is and drops what lasts less than
// half its width: four seconds and less (Tukey 1977, Exploratory Data
// Analysis, from memory).
func TestMedian9KeepsEdgesAndDropsSpikes(t *testing.T) {
	edge := slices.Concat(slices.Repeat([]float64{2.5}, 30), slices.Repeat([]float64{4.5}, 30))
	if got := median9(edge); !slices.Equal(got, edge) {
		t.Errorf("an edge became %v", got)
	}
	for width := 1; width <= 6; width++ {
		spiked := slices.Repeat([]float64{3}, 40)
		for i := range width {
			spiked[20+i] = 11
		}
		if gone := slices.Max(median9(spiked)) == 3; gone != (width <= 4) {
			t.Errorf("a spike of %d s is gone: %v", width, gone)
		}
	}
}
