package changepoint

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// steps is white noise of unit variance on a level that moves by size at each of
// so many evenly spaced changes.
func steps(n, changes int, size float64) []float64 {
	r := rand.New(rand.NewPCG(7, uint64(n+changes)))
	y := make([]float64, n)
	for t := range y {
		y[t] = size*float64(t*(changes+1)/n%2) + r.NormFloat64()
	}
	return y
}

func BenchmarkSearchL2(b *testing.B) {
	for _, c := range []struct{ n, changes int }{{3600, 0}, {3600, 1}, {3600, 20}, {100_000, 0}, {100_000, 9}} {
		b.Run(fmt.Sprintf("n=%d/changes=%d", c.n, c.changes), func(b *testing.B) {
			cost, err := NewL2(steps(c.n, c.changes, 3), nil)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				got, _, err := Search(cost, 30, Options{MinLen: 10})
				if err != nil || len(got) != c.changes {
					b.Fatal(len(got), err)
				}
			}
		})
	}
}
