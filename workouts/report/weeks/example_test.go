package weeks_test

import (
	"context"
	"fmt"
	"log"
	"strings"
	"time"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/weeks"
)

// A folder of recordings, added up by weeks and told.
func Example() {
	g := block.Gatherer{}
	runs, errs := g.Gather(context.Background(), []string{"../../../testdata/demo"})
	if len(errs) > 0 {
		log.Fatal(errs)
	}
	sessions, _ := g.Merge(runs)
	b := block.New(sessions, runs, athlete.New(), block.Calendar{Home: time.UTC, FirstDay: time.Monday})
	var text strings.Builder
	if err := weeks.Report(b, weeks.Telling{}).Text(&text, report.Page{Columns: 80}); err != nil {
		log.Fatal(err)
	}
	fmt.Println(len(b.Weeks), strings.Contains(text.String(), "2026-W37"))
	// Output: 2 true
}
