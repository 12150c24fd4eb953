package session

import (
	"cmp"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// structureFields are the blocks of the structure, nested as they are.
func structureFields(blocks []segment.Block) []report.Object {
	list := make([]report.Object, 0, len(blocks))
	for _, b := range blocks {
		list = append(list, blockFields(b))
	}
	return list
}

func blockFields(b segment.Block) report.Object {
	o := report.Object{{Key: "count", Value: b.Count}}
	if len(b.Body) > 0 {
		o = append(o, report.Field{Key: "body", Value: structureFields(b.Body)})
	} else {
		o = append(o, report.Field{Key: "role", Value: string(b.Role)})
		switch {
		case b.Amount.Metres > 0:
			o = append(o, report.Field{Key: "distance_m", Value: metres(b.Amount.Metres)})
		case b.Amount.Seconds > 0:
			o = append(o, report.Field{Key: "time_s", Value: seconds(b.Amount.Seconds)})
		}
		if figures.Known(b.Pace) && b.Pace > 0 {
			o = append(o, report.Field{Key: "pace_s_per_km", Value: pace(b.Pace)})
		}
		if b.Manner != "" {
			o = append(o, report.Field{Key: "manner", Value: b.Manner})
		}
	}
	if b.Rest != nil {
		o = append(o, report.Field{Key: "rest", Value: blockFields(*b.Rest)})
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
