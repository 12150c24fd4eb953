package session_test

import (
	"fmt"
	"log"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/session"
)

// From a file and a plan to a report.
func Example() {
	recordings, err := recording.Open("../../../testdata/demo/next-tuesday-treadmill.fit")
	if err != nil {
		log.Fatal(err)
	}
	read, err := segment.Split(recordings[0])
	if err != nil {
		log.Fatal(err)
	}
	plan, err := notation.Parse("plan", "15:00 warm + 5 x 4:00 @ 4:25 -> 4:05/km off 90s jog + 10:00 cool")
	if err != nil {
		log.Fatal(err)
	}
	result, err := match.Check(plan, read, match.Options{})
	if err != nil {
		log.Fatal(err)
	}
	var text strings.Builder
	if err := session.Check(result, read, session.Options{}).Text(&text, report.Page{Columns: 80}); err != nil {
		log.Fatal(err)
	}
	fmt.Println(result.Verdict, strings.Contains(text.String(), "As planned."))
	// Output: as_planned true
}
