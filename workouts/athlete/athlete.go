// Package athlete says what is known of the runner, as the athlete file has it: paces, heart
// rates and zones, a race, odometers. With it the targets of a workout become figures.
package athlete

import (
	"slices"
	"strings"

	"example.org/rungs/workouts"
)

// An Athlete is what is known of the runner. One from New knows nothing, and that is enough
// to start.
type Athlete struct {
	Source string // the file it was read from; empty when there was none
	Miles  bool   // counts in miles

	// Training is the training folder as it is written: whole, from the home folder (~/), or from
	// the folder of the file; empty when it is not named.
	Training string

	Age           int     // years; 0 unknown
	MaxHR, RestHR float64 // beats/min; 0 unknown

	ZoneScheme string    // name of a published classification; empty is the first of them
	OwnZones   []float64 // beats/min at which the zones begin; they override ZoneScheme

	Paces map[string]workouts.Pace // reference paces by name
	Race  *Race                    // a recent result, nil when there is none
	Hard  Hard

	Quickest            []Event // the lengths that quickest stretches are told of; nil for the standard ones
	Outdoors, Treadmill Odometer
}

// Hard says when a session counts as hard.
type Hard struct {
	WorkS    float64 // least time of work in it, s
	Pace     float64 // work slower than this does not count, s/km; 0 unsaid
	HeartBPM float64 // nor does work below this heart rate; 0 unsaid
}

// New is the athlete of whom nothing is known. Five minutes of work
// make a session hard, so that a few strides do not: common practice, no
// source.
func New() Athlete { return Athlete{Hard: Hard{WorkS: 300}} }

// MaxHeart is the maximum heart rate in beats/min, estimated from the age when
// it is not known itself. It is 0 when neither is known.
func (a Athlete) MaxHeart() (bpm float64, estimated bool) {
	switch {
	case a.MaxHR > 0:
		return a.MaxHR, false
	case a.Age > 0:
		return Tanaka(float64(a.Age)), true
	}
	return 0, false
}

// Zones are the athlete's heart-rate zones; ok is false when the rates they
// follow from are not known.
func (a Athlete) Zones() (z Zones, ok bool) {
	if len(a.OwnZones) > 0 {
		return Zones{Name: "own", Source: "the athlete file", Lower: slices.Clone(a.OwnZones)}, true
	}
	maxHR, _ := a.MaxHeart()
	for _, c := range classifications {
		if c.name == a.ZoneScheme || a.ZoneScheme == "" {
			return c.zones(maxHR, a.RestHR)
		}
	}
	return Zones{}, false
}

// A Reference is a reference pace of the athlete's.
type Reference struct {
	Name      string
	SecPerKm  float64
	Estimated bool   // from the race, not set by the athlete
	Caution   string // about an estimate; empty when there is nothing to say
}

// Reference looks a reference pace up: among those the athlete set, by name or
// by the distance it names, and else, for a race distance, from the race.
func (a Athlete) Reference(name string) (r Reference, ok bool) {
	r.Name = strings.ToLower(name)
	if p, ok := a.Paces[r.Name]; ok {
		r.SecPerKm = p.SecPerKm
		return r, true
	}
	metres, ok := workouts.DistanceOf(r.Name)
	if !ok {
		return r, false
	}
	for _, other := range a.paceNames() {
		if m, ok := workouts.DistanceOf(other); ok && m == metres {
			r.SecPerKm = a.Paces[other].SecPerKm
			return r, true
		}
	}
	if a.Race == nil {
		return r, false
	}
	r.Estimated = metres != a.Race.Metres
	r.SecPerKm, r.Caution = a.Race.Seconds/a.Race.Metres*1000, ""
	if r.Estimated {
		r.SecPerKm, r.Caution = a.Race.Estimate(metres)
	}
	return r, true
}

// paceNames are the names of the reference paces, in order.
func (a Athlete) paceNames() []string {
	names := make([]string, 0, len(a.Paces))
	for name := range a.Paces {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
