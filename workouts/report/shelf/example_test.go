package shelf_test

import (
	"fmt"
	"log"
	"strings"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/shelf"
)

// The workouts to start from, as a list.
func ExampleListing() {
	var text strings.Builder
	if err := shelf.Listing("The shelf", library.Shelf(), athlete.New()).Text(&text, report.Page{Columns: 80}); err != nil {
		log.Fatal(err)
	}
	fmt.Println(strings.Contains(text.String(), "five-minute-reps"))
	// Output: true
}
