package session

import (
	"math"
	"slices"
	"strconv"

	"example.org/rungs/segment"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// sessionProfile draws the speeds of a session; nil when it has none.
func sessionProfile(s *segment.Session, reps []report.Mark, u figures.Unit) *report.Profile {
	tr := s.Trace
	if tr == nil || tr.Source == signal.Nothing || tr.Len() == 0 {
		return nil
	}
	return &report.Profile{
		Seconds: float64(tr.Len()), Unit: u, Scale: true,
		Reps: reps,
		Speed: func(from, to float64) float64 {
			sum, n := 0.0, 0
			for i := int(from); i < int(math.Ceil(to)) && i < tr.Len(); i++ {
				if tr.Known[i] {
					sum += tr.Speed[i]
					n++
				}
			}
			return sum / float64(n) // NaN for none
		},
	}
}

// foundReps marks the reps that were found.
func foundReps(s *segment.Session) (reps []report.Mark) {
	for _, x := range s.Segments {
		if x.Role == segment.Work {
			reps = append(reps, report.Mark{StartS: x.StartS, EndS: x.EndS, Set: x.Set, Label: strconv.Itoa(x.Rep)})
		}
	}
	return reps
}

// checkedReps marks the reps that were run, those with an alert in the table
// likewise.
func checkedReps(res *match.Result) (reps []report.Mark) {
	for _, r := range res.Reps {
		if !figures.Known(r.StartS) || !(r.EndS > r.StartS) {
			continue
		}
		m := report.Mark{StartS: r.StartS, EndS: r.EndS, Set: r.Set, Label: "+"}
		if r.Rep > 0 {
			m.Label = strconv.Itoa(r.Rep)
		}
		if r.Outcome != match.Done || driftStyle(r) == report.Alert {
			m.Style = report.Alert
		}
		reps = append(reps, m)
	}
	slices.SortStableFunc(reps, func(a, b report.Mark) int { return int(math.Copysign(1, a.StartS-b.StartS)) })
	return reps
}

// outlineProfile draws the speeds of a plan.
func outlineProfile(o athlete.Outline) *report.Profile {
	p := &report.Profile{Seconds: o.Seconds.Value, Speed: o.Speed}
	for _, s := range o.Steps {
		if s.Role == segment.Work && s.Seconds.Value > 0 {
			p.Reps = append(p.Reps, report.Mark{StartS: s.BeginsS.Value, EndS: s.BeginsS.Value + s.Seconds.Value, Set: s.Set, Label: strconv.Itoa(s.Rep)})
		}
	}
	return p
}
