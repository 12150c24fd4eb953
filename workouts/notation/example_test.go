package notation_test

import (
	"errors"
	"fmt"
	"log"

	"example.org/rungs/workouts/notation"
)

// However a workout is written, it is printed in one way.
func ExampleParse() {
	w, err := notation.Parse("plan", "15min warm+5x4min@4:05->3:45/km off 90s jog\n10min cool # home")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(notation.Print(w))
	seconds, _ := w.Length()
	fmt.Printf("%d items, %.0f minutes\n", len(w.Items), seconds/60)
	// Output:
	// 15:00 warm + 5 x 4:00 @ 4:05 -> 3:45/km off 1:30 jog + 10:00 cool
	// 3 items, 51 minutes
}

// A mistake has its place, and a hint.
func ExampleDiagnostics() {
	_, err := notation.Parse("tuesday.plan", "15:00 warm\n5 x 4:00 @ 3:50/km of 90s jog")
	var found notation.Diagnostics
	if errors.As(err, &found) {
		d := found[0]
		fmt.Printf("line %d, column %d: %s; %s\n", d.Line, d.Column, d.Message, d.Hint)
	}
	fmt.Println(err)
	// Output:
	// line 2, column 20: did not expect "of" here; after a step comes "+", "off" or a new line
	// tuesday.plan:2:20: did not expect "of" here
	//     5 x 4:00 @ 3:50/km of 90s jog
	//                        ^^
	// after a step comes "+", "off" or a new line
}

// Format keeps comments, and what is formatted already stays as it is.
func ExampleFormat() {
	text, err := notation.Format("plan", "# by feel\n15min warm\n5x4min @ quicker off 90s jog  # each a bit quicker\n")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Print(text)
	again, err := notation.Format("plan", text)
	fmt.Println(again == text, err)
	// Output:
	// # by feel
	// 15:00 warm
	// 5 x 4:00 @ quicker off 1:30 jog  # each a bit quicker
	// true <nil>
}
