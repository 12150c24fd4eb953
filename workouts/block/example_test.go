package block_test

import (
	"context"
	"fmt"
	"log"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
)

// Two weeks of recordings, one of them made by two devices.
func Example() {
	var g block.Gatherer
	runs, errs := g.Gather(context.Background(), []string{"../../testdata/demo"})
	if len(errs) > 0 {
		log.Fatal(errs)
	}
	sessions, warnings := g.Merge(runs)
	calendar, err := block.ParseCalendar("Europe/Berlin")
	if err != nil {
		log.Fatal(err)
	}
	b := block.New(sessions, runs, athlete.New(), calendar)
	for _, w := range b.Weeks {
		var work float64
		for i, role := range block.LedgerRoles {
			if role == segment.Work {
				work = w.Ledger[i].DistanceM
			}
		}
		fmt.Printf("%s: %d recordings, %d sessions, %.0f km; %d hard, with %.0f km of work\n",
			w.Name, w.Recordings, w.Sessions, w.DistanceM/1000, w.Hard, work/1000)
	}
	for _, w := range warnings {
		if w.Code == block.RecordedTwice {
			fmt.Println("one run was recorded twice")
		}
	}
	// Output:
	// 2026-W37: 5 recordings, 4 sessions, 44 km; 3 hard, with 18 km of work
	// 2026-W38: 3 recordings, 3 sessions, 27 km; 2 hard, with 9 km of work
	// one run was recorded twice
}

// Weeks are those of the runner's clock, also on the move.
func ExampleParseCalendar() {
	c, err := block.ParseCalendar("Europe/Berlin, 2026-10-20 America/New_York")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(c)
	_, err = block.ParseCalendar("Europe/Berlinn")
	fmt.Println(err)
	// Output:
	// Europe/Berlin, 2026-10-20 America/New_York
	// "Europe/Berlinn" is no time zone; they have names such as Europe/Berlin
}
