package segment_test

import (
	"fmt"
	"log"
	"math"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// A run is read from a file and split into what a coach would call its parts.
func ExampleSplit() {
	// 10:00 easy, three times 3:00 quicker with 2:00 between, 10:00 easy.
	var csv strings.Builder
	csv.WriteString("t_s,distance_m\n")
	t, metres := 0, 0.0
	for _, leg := range []struct {
		seconds int
		mps     float64
	}{{600, 2.8}, {180, 4.1}, {120, 2.4}, {180, 4.2}, {120, 2.4}, {180, 4.3}, {600, 2.7}} {
		for range leg.seconds {
			fmt.Fprintf(&csv, "%d,%.1f\n", t, metres)
			t, metres = t+1, metres+leg.mps
		}
	}
	recordings, err := recording.Read("run.csv", strings.NewReader(csv.String()))
	if err != nil {
		log.Fatal(err)
	}
	session, err := segment.Split(recordings[0])
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range session.Segments {
		fmt.Printf("%-8s %3.0f s", s.Role, math.Round(s.Seconds()/10)*10)
		if s.Role == segment.Work {
			fmt.Printf(", rep %d: %.0f s/km", s.Rep, s.Pace)
		}
		fmt.Println()
	}
	reps := session.Structure[1] // between the warm-up and the cool-down
	fmt.Printf("%d x %.0f s off %.0f s\n", reps.Count, reps.Body[0].Amount.Seconds, reps.Rest.Amount.Seconds)
	// Output:
	// warm     600 s
	// work     180 s, rep 1: 244 s/km
	// recovery 120 s
	// work     180 s, rep 2: 239 s/km
	// recovery 120 s
	// work     180 s, rep 3: 233 s/km
	// cool     600 s
	// 3 x 180 s off 120 s
}
