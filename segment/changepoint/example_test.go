package changepoint_test

import (
	"fmt"
	"log"
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/changepoint"
)

// A reservoir is read every minute by a gauge that averages, so that the readings hang
// together: their noise has a variance of 0.0625, but a long-run variance of
// (0.15/(1-0.8))^2 = 0.5625. When was the level changed?
func Example() {
	r := rand.New(rand.NewPCG(1, 2))
	readings := make([]float64, 1000)
	noise := 0.0
	for minute := range readings {
		noise = 0.8*noise + 0.15*r.NormFloat64()
		readings[minute] = 2 + noise
		if minute >= 400 && minute < 700 {
			readings[minute]++
		}
	}
	cost, err := changepoint.NewL2(readings, nil)
	if err != nil {
		log.Fatal(err)
	}
	penalty := 2 * 0.5625 * math.Log(float64(len(readings)))
	changes, _, err := changepoint.Search(cost, penalty, 30)
	if err != nil {
		log.Fatal(err)
	}
	lo := 0
	for _, hi := range append(changes, len(readings)) {
		fmt.Printf("minute %d to %d: %.2f m\n", lo, hi, cost.Mean(lo, hi))
		lo = hi
	}
	// Output:
	// minute 0 to 400: 2.02 m
	// minute 400 to 700: 2.98 m
	// minute 700 to 1000: 2.05 m
}

func ExampleNewL2() {
	// Three readings, the last held for ten minutes; the second is unknown.
	cost, err := changepoint.NewL2([]float64{4, math.NaN(), 6}, []float64{1, 0, 10})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("mean over time %.3f\n", cost.Mean(0, 3))
	// Output:
	// mean over time 5.818
}
