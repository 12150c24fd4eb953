package report

import (
	"cmp"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
)

// structureFields are the blocks of the structure, nested as they are.
func structureFields(blocks []segment.Block) []Object {
	list := make([]Object, 0, len(blocks))
	for _, b := range blocks {
		list = append(list, blockFields(b))
	}
	return list
}

func blockFields(b segment.Block) Object {
	o := Object{{"count", b.Count}}
	if len(b.Body) > 0 {
		o = append(o, Field{"body", structureFields(b.Body)})
	} else {
		o = append(o, Field{"role", string(b.Role)})
		switch {
		case b.Amount.Metres > 0:
			o = append(o, Field{"distance_m", metres(b.Amount.Metres)})
		case b.Amount.Seconds > 0:
			o = append(o, Field{"time_s", seconds(b.Amount.Seconds)})
		}
		if figures.Known(b.Pace) && b.Pace > 0 {
			o = append(o, Field{"pace_s_per_km", pace(b.Pace)})
		}
		if b.Manner != "" {
			o = append(o, Field{"manner", b.Manner})
		}
	}
	if b.Rest != nil {
		o = append(o, Field{"rest", blockFields(*b.Rest)})
	}
	return o
}

// covered is the time that the spans cover between them within 0 to end, in
// seconds.
func covered(spans []recording.Span, end float64) float64 {
	spans = slices.Clone(spans)
	slices.SortFunc(spans, func(a, b recording.Span) int { return cmp.Compare(a.StartS, b.StartS) })
	total, upTo := 0.0, 0.0
	for _, s := range spans {
		from, to := max(s.StartS, upTo), min(s.EndS, end)
		if to > from {
			total += to - from
			upTo = to
		}
	}
	return total
}
