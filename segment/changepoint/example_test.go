package changepoint_test

import (
	"fmt"
	"log"
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/changepoint"
)

// A reservoir is read every minute by a gauge that averages, so the noise of the
// readings is correlated. When was the level changed, and how sure is that?
func Example() {
	r := rand.New(rand.NewPCG(1, 2))
	level := func(minute int) float64 {
		if minute >= 400 && minute < 700 {
			return 3
		}
		return 2
	}
	readings := make([]float64, 1000)
	noise := 0.0
	for minute := range readings {
		noise = 0.8*noise + 0.15*r.NormFloat64()
		readings[minute] = level(minute) + noise
	}

	cost, err := changepoint.NewL2(readings, nil)
	if err != nil {
		log.Fatal(err)
	}
	least := changepoint.Options{MinLen: 30}
	twoLogN := 2 * math.Log(float64(len(readings)))

	// The usual penalty takes the noise for independent.
	sigma := changepoint.DifferenceSigma(readings)
	changes, _, err := changepoint.Search(cost, twoLogN*sigma*sigma, changepoint.Options{MinLen: 1})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("noise taken for independent: %d changes\n", len(changes))

	// The long-run variance does not. The first estimate needs no segments, the
	// second has them.
	variance := changepoint.BlockVariance(readings, 20)
	for range 2 {
		if changes, _, err = changepoint.Search(cost, twoLogN*variance, least); err != nil {
			log.Fatal(err)
		}
		variance = changepoint.LongRunVariance(residuals(cost, readings, changes))
	}
	fmt.Printf("long-run variance %.2f: changes at %v\n", variance, changes)

	borders := append(append([]int{0}, changes...), len(readings))
	for k, change := range changes {
		before, after := cost.Mean(borders[k], change), cost.Mean(change, borders[k+2])
		low, high, err := changepoint.Interval(change, after-before, variance, variance, 0.95)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("minute %d (95 %%: %d to %d): %.2f to %.2f m\n", change, low, high, before, after)
	}
	// Output:
	// noise taken for independent: 64 changes
	// long-run variance 0.40: changes at [400 700]
	// minute 400 (95 %: 395 to 405): 2.02 to 2.98 m
	// minute 700 (95 %: 694 to 706): 2.98 to 2.05 m
}

// residuals are the readings less the mean of their segment.
func residuals(cost *changepoint.L2, readings []float64, changes []int) []float64 {
	resid := make([]float64, len(readings))
	start := 0
	for _, end := range append(append([]int(nil), changes...), len(readings)) {
		mean := cost.Mean(start, end)
		for t := start; t < end; t++ {
			resid[t] = readings[t] - mean
		}
		start = end
	}
	return resid
}

func ExamplePath() {
	cost, err := changepoint.NewL2([]float64{1, 1, 2, 1, 6, 7, 6, 6, 3, 3, 2, 3}, nil)
	if err != nil {
		log.Fatal(err)
	}
	path, err := changepoint.Path(cost, 1, 1000, changepoint.Options{MinLen: 2})
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range path {
		fmt.Printf("penalty %.4g to %.4g: cost %.4g, changes %v\n", s.Low, s.High, s.Cost, s.Changes)
	}
	// Output:
	// penalty 1 to 24.5: cost 2.25, changes [4 8]
	// penalty 24.5 to 28.17: cost 26.75, changes [4]
	// penalty 28.17 to 1000: cost 54.92, changes []
}

func ExampleNewL2() {
	// Three readings, the last held for ten minutes; the second is unknown.
	minutes := []float64{0, 1, 2, 12}
	cost, err := changepoint.NewL2([]float64{4, math.NaN(), 6}, []float64{1, 0, 10})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("mean over time %.3f\n", cost.Mean(0, 3))
	changes, _, err := changepoint.Search(cost, 1, changepoint.Options{MinLen: 1, Position: minutes, MinSpan: 2})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println("changes with segments of two minutes or more:", changes)
	// Output:
	// mean over time 5.818
	// changes with segments of two minutes or more: [2]
}
