package match_test

import (
	"fmt"
	"log"
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
)

// On the track the eighth rep was cut short.
func ExampleCheck() {
	recordings, err := recording.Open("../../testdata/demo/thursday-track.fit")
	if err != nil {
		log.Fatal(err)
	}
	session, err := segment.Split(recordings[0])
	if err != nil {
		log.Fatal(err)
	}
	plan, err := notation.Parse("plan", "2km warm + 2 x ( 5 x 400m @ 3:40/km off 200m jog ) off 800m jog + 1km cool")
	if err != nil {
		log.Fatal(err)
	}
	result, err := match.Check(plan, session, match.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(result.Verdict)
	for _, r := range result.Reps {
		if r.Outcome != match.Done {
			fmt.Printf("set %d, rep %d: %s, about %.0f m instead of 400 m\n", r.Set, r.Rep, r.Outcome, math.Round(r.DistanceM/10)*10)
		}
	}
	// Output:
	// departed
	// set 2, rep 8: short, about 240 m instead of 400 m
}

// Five values in falling order: of the 120 orders one is as clear, and one as
// clear the other way (Mann 1945, Kendall 1938; the exact distribution).
func ExampleMannKendall() {
	trend := match.MannKendall([]float64{265, 260, 255, 250, 245}) // s/km
	fmt.Printf("S = %.0f, p = %.4f\n", trend.Statistic, trend.P)
	// Output:
	// S = -10, p = 0.0167
}

// The closest values that never rise, by pooling neighbours that do.
func ExampleIsotonic() {
	weight := []float64{1, 1, 1, 1}
	rising := match.Isotonic([]float64{1, 3, 2, 4}, weight)
	fmt.Println(rising)
	// Output:
	// [1 2.5 2.5 4]
}

// The median of the pairwise slopes does not mind one slip.
func ExampleTheilSen() {
	slope, low, high := match.TheilSen([]float64{1, 2, 3, 4, 5, 6, 7, 8}, []float64{10, 12.5, 13.7, 99, 18.4, 19.8, 22.3, 24}, 0.95)
	fmt.Printf("%.1f (95 %%: %.1f to %.1f)\n", slope, low, high)
	// Output:
	// 2.0 (95 %: 1.4 to 2.3)
}
