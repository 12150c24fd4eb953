package athlete

import (
	"fmt"

	"github.com/BurntSushi/toml"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/trend"
)

// An Odometer is what is known of how far a device's distances are off. The zero Odometer
// knows nothing.
type Odometer struct {
	Over   float64 // percent that it counts too much; negative is too little
	Within float64 // the 95 % margin of Over, percent; 0 for an odometer that was not measured
}

func (r *reader) over(key toml.Key, v any) float64 {
	return r.percent(key, v, -20, "the percent that it counts too much, negative for too little")
}

func (r *reader) within(key toml.Key, v any) float64 {
	return r.percent(key, v, 0.1, "the margin of that in percent")
}

// percent is number with a decimal, up to 20.
func (r *reader) percent(key toml.Key, v any, low float64, what string) float64 {
	n, ok := v.(float64)
	if whole, is := v.(int64); is {
		n, ok = float64(whole), true
	}
	if !ok || !(n >= low && n <= 20) {
		r.fail(key, fmt.Sprintf("write %s, a number between %v and 20", what, low))
		return 0
	}
	return n
}

// wholeOdometers asks for the margin of what an odometer is said to be off.
func (r *reader) wholeOdometers() {
	a := &r.athlete
	for _, o := range []struct {
		name string
		Odometer
	}{{"outdoors", a.Outdoors}, {"treadmill", a.Treadmill}} {
		if o.Over != 0 && o.Within == 0 {
			r.fail(toml.Key{"odometer", o.name, "over"}, "say how sure that is, too: within = 1 for a margin of 1 %")
		}
	}
}

// Calibrate corrects a session by what is known of the odometer, where something is and the
// session did not measure the odometer itself.
func (a Athlete) Calibrate(s *segment.Session) {
	if o := a.odometerOf(s); o.Within > 0 {
		s.Calibrate(o.Over/100, o.Within/100/trend.Z95)
	}
}

// Calibrates tells whether Calibrate would change a session.
func (a Athlete) Calibrates(s *segment.Session) bool {
	return a.odometerOf(s).Within > 0 && !s.Measured()
}

func (a Athlete) odometerOf(s *segment.Session) Odometer {
	if s.Indoors() {
		return a.Treadmill
	}
	return a.Outdoors
}
