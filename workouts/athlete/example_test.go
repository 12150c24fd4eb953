package athlete_test

import (
	"fmt"
	"log"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/notation"
)

// Names of paces become paces, once it is known whose they are.
func ExampleAthlete_Resolve() {
	a, err := athlete.Parse("athlete.toml", `
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
	seconds := athlete.Riegel(1215, 5000, 10000)
	fmt.Printf("20:15 over 5 km is worth %d:%02.0f over 10 km\n", int(seconds)/60, seconds-float64(int(seconds)/60*60))
	// Output:
	// 20:15 over 5 km is worth 42:13 over 10 km
}
