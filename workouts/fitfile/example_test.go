package fitfile_test

import (
	"bytes"
	"fmt"
	"log"

	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/notation"
)

// A plan goes to the watch and comes back.
func ExampleWrite() {
	plan, err := notation.Parse("plan", "15:00 warm + 5 x 1km @ 3:50/km off 90s jog + 10:00 cool")
	if err != nil {
		log.Fatal(err)
	}
	var file bytes.Buffer
	lost, err := fitfile.Write(&file, plan)
	if err != nil {
		log.Fatal(err)
	}
	back, _, err := fitfile.Read("plan.fit", &file)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(len(lost), "things lost:", notation.Print(back))
	// Output:
	// 0 things lost: 15:00 warm + 5 x 1km @ 3:50/km off 1:30 jog + 10:00 cool
}
