package segment

import (
	"math"

	"example.org/rungs/segment/recording"
)

// A ledStep is a lap in which the device led the runner through a planned step.
type ledStep struct {
	recording.Span
	amount Amount
}

// ledSteps lists the laps of planned steps whose end was set in time or distance.
func ledSteps(r *recording.Recording) []ledStep {
	if r.Plan == nil {
		return nil
	}
	amounts := map[int]Amount{}
	for _, s := range r.Plan.Steps {
		if s.Repeat == 0 && (s.TimeS > 0 || s.DistanceM > 0) {
			amounts[s.Index] = Amount{Seconds: s.TimeS, Metres: s.DistanceM}
		}
	}
	var out []ledStep
	for _, l := range r.Laps {
		if a, ok := amounts[l.Step]; ok && l.Step >= 0 {
			out = append(out, ledStep{l.Span, a})
		}
	}
	return out
}

// told is what the device led the runner through between two edges; zero when it was
// not one step.
func (j *judge) told(a, b edge) Amount {
	const slack = 6 // s, from a device's signal to a change of speed
	for _, s := range j.steps {
		if math.Abs(s.StartS-a.at) <= slack && math.Abs(s.EndS-b.at) <= slack {
			return s.amount
		}
	}
	return Amount{}
}
