package listing_test

import (
	"context"
	"fmt"
	"log"
	"strings"
	"time"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/listing"
)

// The sessions of a folder, listed.
func Example() {
	g := block.Gatherer{}
	runs, errs := g.Gather(context.Background(), []string{"../../../testdata/demo"})
	if len(errs) > 0 {
		log.Fatal(errs)
	}
	merged, _ := g.Merge(runs)
	b := block.New(merged, runs, athlete.New(), block.Calendar{Home: time.UTC, FirstDay: time.Monday})
	var text strings.Builder
	if err := listing.Report(b, listing.Telling{}).Text(&text, report.Page{Columns: 80}); err != nil {
		log.Fatal(err)
	}
	fmt.Println(len(b.Weeks), strings.Contains(text.String(), "5 x 4:00"))
	// Output: 2 true
}
