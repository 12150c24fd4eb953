package library

import (
	"math"

	"example.org/rungs/workouts/match"
)

// runOf sums up one time that a workout was run.
func runOf(res *match.Result) Run {
	r := Run{Result: res}
	for _, rep := range res.Reps {
		if rep.Step >= 0 {
			r.Planned++
		}
	}
	reps := plannedReps(res)
	r.Done = len(reps)
	r.WorkS, r.WorkM, r.Pace, r.PaceSE = total(reps)
	var drift, heart, rest, over, drop mean
	for _, rep := range reps {
		drift.add(rep.Drift, 1)
		heart.add(rep.HRAvg, rep.Seconds())
		if rec := rep.Recovery; rec != nil && rec.Step >= 0 && rec.Outcome != match.Missed {
			rest.add(rec.Seconds(), 1)
			if rec.AmountUnit == "s" {
				over.add(rec.AmountDrift, 1)
			}
			drop.add(rec.HRDrop60, 1)
		}
	}
	r.Drift, r.HeartBPM = drift.value(), heart.value()
	r.RecoveryS, r.RecoveryDriftS, r.HeartDrop60 = rest.value(), over.value(), drop.value()
	return r
}

// plannedReps are the reps that were planned and run.
func plannedReps(res *match.Result) []match.Rep {
	var reps []match.Rep
	for _, rep := range res.Reps {
		if rep.Step >= 0 && rep.Outcome != match.Missed && rep.DistanceM > 0 {
			reps = append(reps, rep)
		}
	}
	return reps
}

// total is the time, the distance and the mean pace of reps with its standard
// error.
func total(reps []match.Rep) (seconds, metres, pace, se float64) {
	v := 0.0 // variance of metres
	for _, rep := range reps {
		seconds, metres = seconds+rep.Seconds(), metres+rep.DistanceM
		v += sq(rep.DistanceM * rep.PaceSE / rep.Pace)
	}
	if metres <= 0 {
		return seconds, metres, math.NaN(), math.NaN()
	}
	pace = 1000 * seconds / metres
	return seconds, metres, pace, pace * math.Sqrt(v) / metres
}

// mean is a weighted mean of what is known.
type mean struct{ sum, weight float64 }

func (m *mean) add(v, weight float64) {
	if !math.IsNaN(v) && weight > 0 {
		m.sum, m.weight = m.sum+v*weight, m.weight+weight
	}
}

// value is NaN when nothing was known.
func (m mean) value() float64 { return m.sum / m.weight }
