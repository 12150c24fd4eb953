package library_test

import (
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/report/shelf"
)

func init() { library.Tell = shelf.History }
