package library

import (
	"math"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/trend"
)

// A Course is how the pace of a workout went over the times that it was run in one kind of place.
type Course struct {
	Place        recording.Place
	Runs         int
	From, To     time.Time
	ChangeSPerKm float64 // along a line through all of them, from the first to the last; negative is quicker
	Margin       float64 // of the change, half the width of its 95 % interval, s/km
	Call         match.Call
}

// fewestOfCourse is of how many runs a course is told: with three, one degree of freedom tells next to nothing.
const fewestOfCourse = 4

// Course is the course of the runs in the same kind of place as the last; ok is false for too few. Only dated runs with
// all reps count. By how much the odometer differs from run to run shows in the scatter about the line, so nothing is
// assumed of it.
func (h History) Course() (c Course, ok bool) {
	if len(h.Runs) == 0 {
		return c, false
	}
	c.Place = h.Runs[len(h.Runs)-1].Place
	var days, paces, errors []float64
	for _, r := range h.Runs {
		if r.Place != c.Place || r.Start.IsZero() || r.Done < r.Planned || !(r.PaceSE > 0) {
			continue
		}
		if c.Runs++; c.Runs == 1 {
			c.From = r.Start
		}
		c.To = r.Start
		days, paces, errors = append(days, r.Start.Sub(c.From).Hours()/24), append(paces, r.Pace), append(errors, r.PaceSE)
	}
	if c.Runs < fewestOfCourse {
		return c, false
	}
	l := trend.FitLineAt([][]float64{days}, [][]float64{paces}, [][]float64{errors})
	span := days[len(days)-1]
	c.ChangeSPerKm, c.Margin, c.Call = l.Slope*span, l.Margin()*span, match.Level
	switch {
	case math.IsNaN(c.ChangeSPerKm) || math.IsNaN(c.Margin):
		return c, false
	case math.Abs(c.ChangeSPerKm) > c.Margin && c.ChangeSPerKm < 0:
		c.Call = match.Quicker
	case math.Abs(c.ChangeSPerKm) > c.Margin:
		c.Call = match.Slower
	}
	return c, true
}
