package weeks

import (
	"fmt"
	"math"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
)

// nameOf is the workout with its place.
func nameOf(x block.Trend) string {
	if x.Place == "" {
		return x.Workout
	}
	return x.Workout + ", " + string(x.Place)
}

// called says the trend in a few words.
func called(x block.Trend, u figures.Unit) string {
	per := u.Metres / 1000
	switch x.Call {
	case match.Quicker, match.Slower:
		return fmt.Sprintf("%s by %.0f %s s/%s in 4 weeks", x.Call, math.Abs(x.SlopeSPerKm)*per, u.Margin(x.SlopeSE), u.Name)
	case match.Level:
		return "level"
	}
	return ""
}
