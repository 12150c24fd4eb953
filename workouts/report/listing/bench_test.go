package listing

import (
	"fmt"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
)

// BenchmarkReport lists years of sessions, five a week, and tells each week; beside it stands
// what adding them up takes. A session costs the same however many there are.
func BenchmarkReport(b *testing.B) {
	for _, n := range []int{500, 5000} {
		var runs []block.Run
		for i := range n {
			day := utc(1, 1+i/5*7+i%5, 7)
			if i%5 == 1 {
				runs = append(runs, reps(day, 250, 245, 240))
				continue
			}
			runs = append(runs, easy(day, 10, recording.Outdoors))
		}
		add := func() *block.Block {
			return block.New(runs, runs, athlete.New(), block.Calendar{Home: time.UTC, FirstDay: time.Monday})
		}
		sums := add()
		for _, part := range []struct {
			name string
			do   func()
		}{{"add", func() { add() }}, {"list", func() { Report(sums, Telling{Today: sums.Sessions[n-1].Day}) }}} {
			b.Run(fmt.Sprintf("%s/%d", part.name, n), func(b *testing.B) {
				for b.Loop() {
					part.do()
				}
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/session")
			})
		}
	}
}
