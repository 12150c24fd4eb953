package signal

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestSelect(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 5000 {
		x := make([]float64, 1+rng.IntN(40))
		for i := range x {
			x[i] = float64(rng.IntN(1 + rng.IntN(40))) // with many ties
		}
		k := rng.IntN(len(x))
		sorted := slices.Sorted(slices.Values(x))
		shuffled := slices.Clone(x)
		if got := Select(shuffled, k); got != sorted[k] {
			t.Fatalf("value %d of %v is %v, want %v", k, x, got, sorted[k])
		}
		slices.Sort(shuffled)
		if !slices.Equal(shuffled, sorted) {
			t.Fatalf("values of %v were lost: %v", x, shuffled)
		}
	}
}
