package match

import (
	"math"

	"example.org/rungs/workouts/trend"
)

// A line is the course of paces over the reps of a row, in s/km a rep.
type line struct{ trend.Line }

func fitLine(paces, se [][]float64) line { return line{trend.FitLine(paces, se)} }

// test names the method that judged a line.
func (l line) test() Test {
	switch {
	case l.LevelFree < 1:
		return NoTest
	case l.Free < 1:
		return MeasuringErrorTest
	}
	return SlopeTest
}

// call judges a trend: beyond its margin, else uneven when the values differ by
// more than their errors, else level, which is to say that it cannot be known.
func (l line) call() Call {
	switch {
	case l.LevelFree < 1 || math.IsNaN(l.Slope):
		return NoCall
	case math.Abs(l.Slope) > l.Margin():
		return bySign(l.Slope)
	case l.Uneven():
		return Uneven
	}
	return Level
}
