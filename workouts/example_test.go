package workouts_test

import (
	"fmt"
	"log"

	"example.org/rungs/workouts/notation"
)

// A workout unrolls into the steps in running order, each with its own goal.
func ExampleWorkout_Expand() {
	w, err := notation.Parse("plan", "3 x 4:00 @ 4:05 -> 3:45/km off 90s jog")
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range w.Expand() {
		fmt.Printf("%s %d: %.0f s", p.Role, p.Rep, p.Step.Amount.Seconds)
		if p.Goal.Pace > 0 {
			fmt.Printf(" at %.0f s/km", p.Goal.Pace)
		}
		fmt.Println()
	}
	// Output:
	// work 1: 240 s at 245 s/km
	// recovery 1: 90 s
	// work 2: 240 s at 235 s/km
	// recovery 2: 90 s
	// work 3: 240 s at 225 s/km
}
