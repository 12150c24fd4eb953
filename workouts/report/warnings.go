package report

import (
	"math"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
)

// JoinWarnings puts lists of warnings one behind the other and leaves out what
// an earlier stage has said already.
func JoinWarnings(lists ...[]recording.Warning) []recording.Warning {
	type key struct {
		code, message string
		start, end    uint64
	}
	var all []recording.Warning
	seen := map[key]bool{}
	for _, list := range lists {
		for _, w := range list {
			k := key{w.Code, w.Message, math.Float64bits(w.StartS), math.Float64bits(w.EndS)}
			if !seen[k] {
				seen[k] = true
				all = append(all, w)
			}
		}
	}
	return all
}

// warningText prints a warning with its place in the recording.
func warningText(w recording.Warning) string {
	place := ""
	switch {
	case !figures.Known(w.StartS):
	case figures.Known(w.EndS) && figures.Clock(w.EndS) != figures.Clock(w.StartS):
		place = " from " + figures.Clock(w.StartS) + " to " + figures.Clock(w.EndS)
	default:
		place = " at " + figures.Clock(w.StartS)
	}
	return "warning" + place + ": " + w.Message + " [" + w.Code + "]"
}

func warningFields(w recording.Warning) Object {
	return Object{
		{"code", w.Code},
		{"message", w.Message},
		Num("start_s", w.StartS, 1),
		Num("end_s", w.EndS, 1),
	}
}
