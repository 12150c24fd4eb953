package likeness_test

import (
	"fmt"
	"log"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
)

// How unlike two workouts are, from 0 to 1: the share that does not correspond.
func ExampleDistance() {
	parse := func(text string) workouts.Workout {
		w, err := notation.Parse("plan", text)
		if err != nil {
			log.Fatal(err)
		}
		return w
	}
	tuesday := parse("15:00 warm + 5 x 4:00 off 90s jog + 10:00 cool")
	fmt.Printf("%.2f\n", likeness.Distance(tuesday, tuesday))
	one := likeness.Distance(tuesday, parse("15:00 warm + 6 x 4:00 off 90s jog + 10:00 cool"))
	other := likeness.Distance(tuesday, parse("2km warm + 10 x 400m off 200m jog + 1km cool"))
	fmt.Println("one rep more is nearer than another session:", one < other)
	// Output:
	// 0.00
	// one rep more is nearer than another session: true
}
