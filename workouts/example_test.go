package workouts_test

import (
	"fmt"
	"log"

	"example.org/rungs/workouts"
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

// Names of paces become paces, once it is known whose they are.
func ExampleAthlete_Resolve() {
	a, err := workouts.ParseAthlete("athlete.toml", `
[paces]
half = "4:24/km"
`)
	if err != nil {
		log.Fatal(err)
	}
	w, err := notation.Parse("plan", "8 x ( 800m @ half -5s + 800m easy ) + 5:00 @ marathon")
	if err != nil {
		log.Fatal(err)
	}
	resolved, warnings := a.Resolve(w)
	first := resolved.Expand()[0]
	fmt.Printf("%s at %.0f s/km\n", notation.TargetText(first.Step.Target), first.Goal.Pace)
	for _, x := range warnings {
		fmt.Println(x.Message)
	}
	// Output:
	// half -5s at 259 s/km
	// no reference pace is called "marathon", so steps held to it have no target: set it under [paces] in the athlete file, or set a [race] to estimate it from
}

// Riegel's formula (American Scientist 69:285-290, 1981): the time over one
// distance from that over another, T2 = T1 (D2/D1)^1.06.
func ExampleRiegel() {
	seconds := workouts.Riegel(1215, 5000, 10000)
	fmt.Printf("20:15 over 5 km is worth %d:%02.0f over 10 km\n", int(seconds)/60, seconds-float64(int(seconds)/60*60))
	// Output:
	// 20:15 over 5 km is worth 42:13 over 10 km
}
