package main

import (
	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// calibrate corrects a session by what the athlete file says of the odometer, where it
// says something and the session did not measure the odometer itself.
func calibrate(s *segment.Session, a workouts.Athlete) {
	const z95 = 1.96 // standard errors in a 95 % margin (normal quantile at 0.975)
	o := a.Outdoors
	if s.Indoors() {
		o = a.Treadmill
	}
	if o.Within > 0 {
		s.Calibrate(o.Over/100, o.Within/100/z95)
	}
}
