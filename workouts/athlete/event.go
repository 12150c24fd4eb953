package athlete

import (
	"slices"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
)

// An Event is a length that quickest stretches are told of: a distance or a
// time. One of Metres and Seconds is zero.
type Event struct {
	Name            string
	Metres, Seconds float64
	standard        bool // told when the athlete names none
}

// events are all that sums are kept of, distances first, the shorter first.
// The standard ones are the middle and long distances of athletics that most
// runners race; the others are further distances that World Athletics keeps
// lists of, and times that are common practice, no source (12 minutes: Cooper
// 1968, JAMA 203(3):201-204, from memory).
var events = []Event{
	{"400 m", 400, 0, false}, {"800 m", 800, 0, true}, {"1000 m", 1000, 0, false}, {"1500 m", 1500, 0, true},
	{"mile", figures.MetresPerMile, 0, true}, {"2000 m", 2000, 0, false}, {"3000 m", 3000, 0, true}, {"2 miles", 2 * figures.MetresPerMile, 0, false},
	{"5 km", 5000, 0, true}, {"10 km", 10000, 0, true}, {"15 km", 15000, 0, false}, {"10 miles", 10 * figures.MetresPerMile, 0, false},
	{"20 km", 20000, 0, false}, {"half", 21097.5, 0, true}, {"25 km", 25000, 0, false}, {"30 km", 30000, 0, false},
	{"marathon", 42195, 0, true}, {"50 km", 50000, 0, false}, {"100 km", 100000, 0, false},
	{"1:00", 0, 60, false}, {"5:00", 0, 300, false}, {"10:00", 0, 600, false}, {"12:00", 0, 720, false},
	{"20:00", 0, 1200, false}, {"30:00", 0, 1800, false}, {"1:00:00", 0, 3600, false},
}

// Events gives all lengths that quickest stretches can be told of.
func Events() []Event { return slices.Clone(events) }

// eventNamed finds an event by the name of its distance, such as "mile" or
// "5km", or by its time, such as "12:00".
func eventNamed(name string) (Event, bool) {
	metres, isDistance := workouts.DistanceOf(name)
	seconds, err := workouts.ParseClock(name)
	for _, e := range events {
		if isDistance && e.Metres == metres || err == nil && e.Metres == 0 && e.Seconds == seconds {
			return e, true
		}
	}
	return Event{}, false
}

// Events are the lengths that the athlete's quickest stretches are told of: those
// of the athlete file, else the standard events of athletics.
func (a Athlete) Events() []Event {
	if len(a.Quickest) > 0 {
		return slices.Clone(a.Quickest)
	}
	var out []Event
	for _, e := range events {
		if e.standard {
			out = append(out, e)
		}
	}
	return out
}
