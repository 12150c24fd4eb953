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
