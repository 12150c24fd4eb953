package athlete

import (
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
)

// An Outline is an unrolled workout with running totals.
type Outline struct {
	Steps    []OutlineStep
	Seconds  Estimate // of the whole
	Metres   Estimate
	Open     int // steps of open amount, which add nothing to the totals
	Warnings []recording.Warning
}

// An Estimate is a quantity that was worked out from a pace. It is rough when
// the pace was not written but assumed from the manner of a step.
type Estimate struct {
	Value float64
	Rough bool
}

// Plus is the sum, rough where one of both is.
func (e Estimate) Plus(o Estimate) Estimate {
	return Estimate{e.Value + o.Value, e.Rough || o.Rough}
}

// An OutlineStep is a planned step, its length both in time and in distance,
// and where it begins.
type OutlineStep struct {
	workouts.Planned
	Seconds, Metres  Estimate
	BeginsS, BeginsM Estimate
	SecPerKm         float64 // the pace both were worked out with, s/km; 0 when standing
	Open             bool
}

// Paces that stand in for one that was not written, as shares of the easy
// pace: common practice, no source. A walker covers 6 km/h.
var assumedShare = map[workouts.Manner]float64{
	workouts.Warm: 1.05, workouts.Cool: 1.1, workouts.Easy: 1, workouts.Steady: 0.9, workouts.Work: 0.78, workouts.Float: 0.9, workouts.Jog: 1.2, workouts.Unsaid: 1.2,
}

const (
	assumedWalk = 600.0 // s/km
	assumedEasy = 360.0 // s/km, when nothing is known of the athlete
	easyOver10k = 1.28  // easy pace as a multiple of the 10 km race pace; common practice, no source
)

// assumedPace is the pace, in s/km, that stands in for one that was not
// written; 0 for standing.
func (a Athlete) assumedPace(m workouts.Manner) float64 {
	switch m {
	case workouts.Stand:
		return 0
	case workouts.Walk:
		return assumedWalk
	}
	easy := assumedEasy
	if r, ok := a.Reference("easy"); ok {
		easy = r.SecPerKm
	} else if r, ok := a.Reference("10k"); ok {
		easy = r.SecPerKm * easyOver10k
	}
	return easy * assumedShare[m]
}

// Outline unrolls a workout for the athlete, with running totals of time and
// distance. A total is rough from the first step on whose pace was assumed and
// mattered.
func (a Athlete) Outline(w workouts.Workout) Outline {
	var o Outline
	w, o.Warnings = a.Resolve(w)
	for _, p := range w.Expand() {
		s := OutlineStep{Planned: p, BeginsS: o.Seconds, BeginsM: o.Metres}
		s.measure(a)
		if s.Open {
			o.Open++
		}
		o.Seconds = o.Seconds.Plus(s.Seconds)
		o.Metres = o.Metres.Plus(s.Metres)
		o.Steps = append(o.Steps, s)
	}
	return o
}

// measure works out the length of the step in the quantity that was not
// written.
func (s *OutlineStep) measure(a Athlete) {
	amount, rough := s.Step.Amount, false
	switch {
	case s.Step.Manner == workouts.Stand:
	case s.Goal.Kind == workouts.PaceGoal && s.Goal.EndPace > 0:
		s.SecPerKm = (s.Goal.Pace + s.Goal.EndPace) / 2
	case s.Goal.Kind == workouts.PaceGoal:
		s.SecPerKm = s.Goal.Pace
	default:
		s.SecPerKm, rough = a.assumedPace(s.Step.Manner), true
	}
	switch amount.Kind {
	case workouts.Time:
		s.Seconds.Value = amount.Seconds
		if s.SecPerKm > 0 {
			s.Metres = Estimate{amount.Seconds / s.SecPerKm * 1000, rough}
		}
	case workouts.Distance:
		s.Metres.Value = amount.Metres
		s.Seconds = Estimate{amount.Metres / 1000 * s.SecPerKm, rough}
	default:
		s.Open = true
	}
}

// Speed is the mean speed over a span of seconds, in m/s: 0 for standing, NaN
// outside the outline.
func (o Outline) Speed(from, to float64) float64 {
	metres, seconds := 0.0, 0.0
	for _, s := range o.Steps {
		begins := s.BeginsS.Value
		share := min(to, begins+s.Seconds.Value) - max(from, begins)
		if share <= 0 {
			continue
		}
		seconds += share
		if s.SecPerKm > 0 {
			metres += share * 1000 / s.SecPerKm
		}
	}
	return metres / seconds
}
