package changepoint

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// steps is white noise of unit variance on a level that goes up and down by size at
// so many evenly spaced changes.
func steps(n, changes int, size float64) []float64 {
	r := rand.New(rand.NewPCG(7, uint64(n+changes)))
	y := make([]float64, n)
	for t := range y {
		y[t] = size*float64(t*(changes+1)/n%2) + r.NormFloat64()
	}
	return y
}

func BenchmarkSearch(b *testing.B) {
	for _, size := range []struct{ n, changes int }{{3600, 0}, {3600, 1}, {3600, 20}, {100_000, 0}, {100_000, 9}} {
		c, err := NewL2(steps(size.n, size.changes, 3), nil)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("n=%d/changes=%d", size.n, size.changes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				got, _, err := Search(c, 30, 10)
				if err != nil || len(got) != size.changes {
					b.Fatalf("%d changes, %v; want %d", len(got), err, size.changes)
				}
			}
		})
	}
}
