package library

import (
	"math"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/match"
)

// TestCourse holds the course of runs to the line through R's data set "women" (weight over height, slope 3.45, standard
// error .09114, 13 degrees of freedom, t at 97.5 % 2.1604; from memory of R's documentation, and computed).
func TestCourse(t *testing.T) {
	weight := []float64{115, 117, 120, 123, 126, 129, 132, 135, 139, 142, 146, 150, 154, 159, 164}
	day := time.Date(2026, 9, 1, 18, 0, 0, 0, time.UTC)
	run := func(k int, pace float64) Run {
		return Run{Start: day.AddDate(0, 0, k), Place: recording.Outdoors, Pace: pace, PaceSE: 0.01, Done: 6, Planned: 6}
	}
	var h History
	for k, w := range weight {
		h.Runs = append(h.Runs, run(k, w))
	}
	c, ok := h.Course()
	if want := 3.45 * 14; !ok || c.Runs != 15 || math.Abs(c.ChangeSPerKm-want) > 1e-9 || math.Abs(c.Margin-2.1604*0.09114*14) > 2e-3 || c.Call != match.Slower {
		t.Errorf("course %+v, %v; want a change of %.2f ±%.3f", c, ok, want, 2.1604*0.09114*14)
	}
	// What is no run of the course: another place, without a date, with reps left out.
	track, undated, part := run(15, 90), run(15, 90), run(15, 90)
	track.Place, undated.Start, part.Done = recording.Track, time.Time{}, 5
	more := h
	more.Runs = append(append([]Run{undated}, h.Runs...), part)
	if again, _ := more.Course(); again != c {
		t.Errorf("with runs that do not count: %+v, want %+v", again, c)
	}
	more.Runs = append(more.Runs, track)
	if _, ok := more.Course(); ok {
		t.Error("one run on the track has a course")
	}
	h.Runs = h.Runs[:3]
	if _, ok := h.Course(); ok {
		t.Error("three runs have a course")
	}
	if _, ok := (History{}).Course(); ok {
		t.Error("no run has a course")
	}
	// Level runs that scatter: it cannot be told.
	h.Runs = []Run{run(0, 240), run(7, 236), run(14, 243), run(21, 238), run(28, 240)}
	if c, ok := h.Course(); !ok || c.Call != match.Level || !(c.Margin > math.Abs(c.ChangeSPerKm)) {
		t.Errorf("level runs: %+v, %v", c, ok)
	}
}
