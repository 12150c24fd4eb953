package fitfile

import (
	"io"
	"strings"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// Read reads a workout from a FIT file, which Write or any other program
// wrote. What could not be kept is in the warnings. The name stands for the
// file in messages; errors are of type *recording.Error.
func Read(name string, r io.Reader) (workouts.Workout, []recording.Warning, error) {
	p, err := recording.ReadPlan(name, r)
	if err != nil {
		return workouts.Workout{}, nil, err
	}
	w, warnings := FromPlan(*p)
	return w, warnings, nil
}

// FromPlan is workouts.FromPlan, and understands besides what Write puts
// into names, notes and repeats.
func FromPlan(p recording.Plan) (workouts.Workout, []recording.Warning) {
	w, warnings := workouts.FromPlan(p)
	var steps []recording.PlanStep // in the order of the steps of w
	for _, s := range p.Steps {
		if s.Repeat == 0 {
			steps = append(steps, s)
		}
	}
	w.Items = fold(restore(w.Items, &steps))
	unmark(w.Items)
	if about, err := notation.Parse("", p.About+"\n1s"); err == nil && len(about.Items) == 1 {
		w.Tags, w.Note = about.Tags, about.Note
	} else {
		w.Note = p.About
	}
	return w.Normal(), warnings
}

// restore gives steps back what stands in their names and notes.
func restore(items []workouts.Item, steps *[]recording.PlanStep) []workouts.Item {
	for i := range items {
		it := &items[i]
		if len(it.Body) > 0 {
			it.Body = restore(it.Body, steps)
			continue
		}
		s := (*steps)[0]
		*steps = (*steps)[1:]
		if noted, ok := stepFromNote(s); ok {
			noted.Manner = it.Step.Manner
			it.Step = noted
		}
		if m, ok := mannerFromName(s); ok {
			if it.Step.Amount.Kind == workouts.Distance { // nobody stands a distance
				m = workouts.Manner(strings.Replace(string(m), string(workouts.Stand), string(workouts.Walk), 1))
			}
			it.Step.Manner = m
		}
	}
	return items
}

// stepFrom reads the fields of a step, not its name and note.
func stepFrom(s recording.PlanStep) workouts.Step {
	w, _ := workouts.FromPlan(recording.Plan{Steps: []recording.PlanStep{s}})
	return w.Items[0].Step
}

// stepFromNote reads the note of a step as a step. It is believed only when it
// does not contradict the fields, which a watch or its owner may have changed.
func stepFromNote(s recording.PlanStep) (workouts.Step, bool) {
	w, err := notation.Parse("", s.Notes)
	if err != nil || len(w.Items) != 1 || len(w.Items[0].Body) > 0 || w.Items[0].Count != 1 || strings.ContainsRune(s.Notes, '\n') {
		return workouts.Step{}, false
	}
	step := w.Items[0].Step
	amount, target := fieldsOf(planStep(step))
	wantAmount, wantTarget := fieldsOf(s)
	// A target that only the athlete's values turn into fields says nothing here.
	agrees := amount == wantAmount && (target == wantTarget || target == fitTarget{})
	return step, agrees && step.Manner == workouts.Work
}

// fitAmount and fitTarget are the fields of a step in the units of the format.
type (
	fitAmount struct{ ms, cm uint32 }
	fitTarget struct {
		speedLow, speedHigh, heartLow, heartHigh uint32
		percent                                  bool
		zone                                     int
	}
)

func fieldsOf(s recording.PlanStep) (fitAmount, fitTarget) {
	return fitAmount{scaled(s.TimeS, 1000), scaled(s.DistanceM, 100)},
		fitTarget{scaled(s.SpeedLow, 1000), scaled(s.SpeedHigh, 1000), scaled(s.HeartLow, 1), scaled(s.HeartHigh, 1), s.HeartPercent, s.HeartZone}
}

// mannerFromName reads the manner that Write put into the name of a step,
// as long as it agrees with the intensity.
func mannerFromName(s recording.PlanStep) (workouts.Manner, bool) {
	if s.Name == restName && s.Intensity == recording.Rest {
		return marked, true
	}
	if m, ok := strings.CutPrefix(s.Name, marked); ok {
		return marked + workouts.Manner(m), isManner(m) && s.Intensity == recording.Rest
	}
	return workouts.Manner(s.Name), isManner(s.Name) && intensityOf(workouts.Manner(s.Name)) == s.Intensity
}

func isManner(s string) bool {
	for _, m := range workouts.Manners {
		if string(m) == s {
			return true
		}
	}
	return false
}
