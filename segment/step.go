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

// ledWork lists the steps of work that the device led through; nil where all its steps were work. Laps that end within a step
// are its parts.
func ledWork(laps []recording.Lap) (out []recording.Span) {
	last, others := -1, false
	for _, l := range laps {
		switch {
		case l.Step < 0 || l.Intensity != recording.Active:
			others = others || l.Step >= 0
		case l.Step == last && len(out) > 0 && out[len(out)-1].EndS == l.StartS:
			out[len(out)-1].EndS = l.EndS
		default:
			out = append(out, l.Span)
		}
		last = l.Step
	}
	if !others {
		return nil
	}
	return out
}

// led is the labelling with the steps of work as its reps; false without them.
func (j *judge) led() (labelling, bool) {
	var reps [][2]int
	last := 0
	for _, s := range j.ledWork {
		lo, hi := max(last, int(math.Round(s.StartS))), min(len(j.speed), int(math.Round(s.EndS)))
		if hi-lo >= shortest {
			reps, last = append(reps, [2]int{lo, hi}), hi
		}
	}
	return j.labelled(reps), len(reps) > 0
}

// asLed reads how many reps are steps of work that the device led through.
func (j *judge) asLed(r *reading) {
	if len(j.ledWork) == 0 {
		return
	}
	hits, k := 0.0, 0
	for _, w := range r.works {
		for k < len(j.ledWork) && j.ledWork[k].StartS < float64(w.lo)-pressSlack {
			k++
		}
		if k < len(j.ledWork) && isStep(j.ledWork[k], float64(w.lo), float64(w.hi)) {
			hits++
		}
	}
	r.features[ledReps] = math.Log1p(hits) * 2 * hits / float64(len(r.works)+len(j.ledWork))
}

// isStep says whether a stretch, s, is a step that the device led through.
func isStep(step recording.Span, from, to float64) bool {
	return math.Abs(step.StartS-from) <= pressSlack && math.Abs(step.EndS-to) <= pressSlack
}

// told is what the device led the runner through between two edges; zero when it was
// not one step.
func (j *judge) told(a, b edge) Amount {
	for _, s := range j.steps {
		if isStep(s.Span, a.at, b.at) {
			return s.amount
		}
	}
	return Amount{}
}
