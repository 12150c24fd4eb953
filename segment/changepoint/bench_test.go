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

func benchmarkSearch(b *testing.B, c Cost, changes int) {
	b.ReportAllocs()
	for b.Loop() {
		got, _, err := Search(c, 30, Options{MinLen: 10})
		if err != nil || len(got) != changes {
			b.Fatalf("%d changes, %v; want %d", len(got), err, changes)
		}
	}
}

func BenchmarkSearch(b *testing.B) {
	for _, size := range []struct{ n, changes int }{{3600, 0}, {3600, 1}, {3600, 20}, {100_000, 0}, {100_000, 9}} {
		y := steps(size.n, size.changes, 3)
		l2, err := NewL2(y, nil)
		if err != nil {
			b.Fatal(err)
		}
		huber, err := NewHuber(y, nil, 1.345)
		if err != nil {
			b.Fatal(err)
		}
		gaussian, err := NewGaussian(y, nil, 0.1)
		if err != nil {
			b.Fatal(err)
		}
		name := func(cost string) string { return fmt.Sprintf("%s/n=%d/changes=%d", cost, size.n, size.changes) }
		b.Run(name("L2"), func(b *testing.B) { benchmarkSearch(b, l2, size.changes) })
		b.Run(name("Huber"), func(b *testing.B) { benchmarkSearch(b, huber, size.changes) })
		if size.n <= 3600 {
			b.Run(name("Gaussian"), func(b *testing.B) { benchmarkSearch(b, gaussian, size.changes) })
		}
	}
}

func BenchmarkBest(b *testing.B) {
	c, err := NewL2(steps(3600, 20, 3), nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if sets, _, err := Best(c, 40, Options{MinLen: 10}); err != nil || len(sets) != 41 {
			b.Fatal(len(sets), err)
		}
	}
}

func BenchmarkPath(b *testing.B) {
	c, err := NewL2(steps(3600, 20, 3), nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	solutions := 0
	for b.Loop() {
		path, err := Path(c, 10, 10_000, Options{MinLen: 10})
		if err != nil {
			b.Fatal(err)
		}
		solutions = len(path)
	}
	b.ReportMetric(float64(solutions), "solutions")
}
