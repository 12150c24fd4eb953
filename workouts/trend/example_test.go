package trend_test

import (
	"fmt"

	"example.org/rungs/workouts/trend"
)

// Five values in falling order: of the 120 orders one is as clear, and one as
// clear the other way (Mann 1945, Kendall 1938; the exact distribution).
func ExampleMannKendall() {
	test := trend.MannKendall([]float64{265, 260, 255, 250, 245}) // s/km
	fmt.Printf("S = %.0f, p = %.4f\n", test.Statistic, test.P)
	// Output:
	// S = -10, p = 0.0167
}

// The closest values that never rise, by pooling neighbours that do.
func ExampleIsotonic() {
	weight := []float64{1, 1, 1, 1}
	rising := trend.Isotonic([]float64{1, 3, 2, 4}, weight)
	fmt.Println(rising)
	// Output:
	// [1 2.5 2.5 4]
}

// The median of the pairwise slopes does not mind one slip.
func ExampleMedianSlope() {
	fmt.Printf("%.1f\n", trend.MedianSlope([]float64{10, 12, 14, 99, 18, 20, 22, 24}))
	// Output:
	// 2.0
}
