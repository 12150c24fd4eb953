package library

import (
	"testing"

	"example.org/rungs/workouts/likeness"
)

func BenchmarkRecognition(b *testing.B) {
	run := likeness.CourseOf(parse(b, "15:00 warm + 10 x 400m off 200m jog + 10:00 cool"))
	var shelf []likeness.Course
	for _, e := range Shelf() {
		shelf = append(shelf, likeness.CourseOf(e.Workout))
	}
	for b.Loop() {
		for _, c := range shelf {
			c.Compare(run)
		}
	}
	b.ReportMetric(float64(len(shelf)), "workouts/op")
}
