package library

import (
	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
)

// Known are the workouts that the runner has, for segment.Knowing: those of the library that are
// none of the shelf as it comes, and what the log says that sessions were.
func Known(entries []Entry, l log.Log) (known []segment.Known) {
	add := func(w workouts.Workout) {
		if k, ok := workouts.Known(w); ok {
			k.Name = notation.Print(workouts.Workout{Items: w.Items})
			known = append(known, k)
		}
	}
	for _, e := range entries {
		if borrowed(e) == 0 {
			add(e.Workout)
		}
	}
	for _, e := range l.Entries() {
		if e.Was != "" {
			add(e.Workout)
		}
	}
	return known
}
