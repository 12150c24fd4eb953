package fitfile

import (
	"testing"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

func parse(t testing.TB, src string) workouts.Workout {
	t.Helper()
	w, err := notation.Parse("test", src)
	if err != nil {
		t.Fatal(err)
	}
	return w
}
