package workouts

import "example.org/rungs/segment"

// Known is a workout as one that the runner has, for segment.Knowing; what it is told by is for
// the caller to set. The second result is false for a workout without reps, and for one with a rep
// of which nobody meant the length.
func Known(w Workout) (segment.Known, bool) {
	var k segment.Known
	rest, parts := segment.Amount{}, 0 // since the last rep
	for _, p := range w.Expand() {
		a := segment.Amount{Seconds: p.Step.Amount.Seconds, Metres: p.Step.Amount.Metres, Mile: p.Step.Amount.Mile}
		if p.Role != segment.Work {
			rest = a
			parts++
			continue
		}
		if p.Step.Amount.Kind == Open {
			return segment.Known{}, false
		}
		if len(k.Reps) > 0 {
			if parts != 1 {
				rest = segment.Amount{} // of any length
			}
			k.Rests = append(k.Rests, rest)
		}
		k.Reps = append(k.Reps, a)
		rest, parts = segment.Amount{}, 0
	}
	return k, len(k.Reps) > 0
}
