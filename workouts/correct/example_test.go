package correct_test

import (
	"fmt"
	"log"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/notation"
)

// A session is read again by what the runner says it was.
func ExampleSession() {
	recordings, err := recording.Open("../../testdata/demo/tuesday-treadmill.fit")
	if err != nil {
		log.Fatal(err)
	}
	session, err := segment.Split(recordings[0])
	if err != nil {
		log.Fatal(err)
	}
	was, err := notation.Parse("log", "15:00 warm + 5 x 4:00 off 90s jog + 10:00 cool")
	if err != nil {
		log.Fatal(err)
	}
	reps := 0
	for _, s := range correct.Session(session, was).Segments {
		if s.Role == segment.Work {
			reps++
		}
	}
	fmt.Println(reps, "reps")
	// Output: 5 reps
}
