package library

import (
	"math"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/trend"
)

// A BesideRow is one rep of a workout in several runs of it.
type BesideRow struct {
	Planned workouts.Planned
	Reps    []match.Rep // by run, as asked for; missed where the run does not have it
	// The last run less the one that it is held against (Run.Versus), s/km, with the error
	// that both do not share, the odometer's included; NaN where one does not have the rep.
	DeltaSPerKm, SE float64
	Call            match.Call
}

// Beside lays the last runs of a history side by side, rep by rep as the workout has
// them, at most so many runs. It gives the index of each run, the oldest first, and the
// rows.
func (h History) Beside(most int) (runs []int, rows []BesideRow) {
	for i := max(0, len(h.Runs)-most); i < len(h.Runs); i++ {
		runs = append(runs, i)
	}
	if len(runs) == 0 {
		return nil, nil
	}
	steps := map[int]bool{}
	for step, p := range h.Entry.Workout.Expand() {
		var reps []match.Rep
		for _, i := range runs {
			reps = append(reps, h.Runs[i].rep(step))
			steps[step] = steps[step] || reps[len(reps)-1].Step == step
		}
		if !steps[step] { // no work, or never run
			continue
		}
		row := BesideRow{Planned: p, Reps: reps, DeltaSPerKm: math.NaN(), SE: math.NaN()}
		last := h.Runs[len(h.Runs)-1]
		if v := last.Versus; v != nil {
			then := h.Runs[v.With]
			a, b := last.rep(step), then.rep(step)
			given := h.OdometerPct / 100
			row.DeltaSPerKm = a.Pace - b.Pace
			row.SE = math.Sqrt(sq(a.PaceSE) + sq(b.PaceSE) + sq(a.Pace*last.OdometerSE(given)) + sq(b.Pace*then.OdometerSE(given)))
			row.Call = called(row.DeltaSPerKm, row.SE)
		}
		rows = append(rows, row)
	}
	return runs, rows
}

// rep is the rep of a step as it was run; without a step when it was not.
func (r Run) rep(step int) match.Rep {
	for _, x := range plannedReps(r.Result) {
		if x.Step == step {
			return x
		}
	}
	return match.Rep{Step: -1, Outcome: match.Missed, Span: match.Span{Pace: math.NaN(), PaceSE: math.NaN()}, HRAvg: math.NaN()}
}

// called says what a difference of pace comes to.
func called(delta, se float64) match.Call {
	switch {
	case math.IsNaN(delta) || math.IsNaN(se):
		return match.NoCall
	case delta < -trend.Z95*se:
		return match.Quicker
	case delta > trend.Z95*se:
		return match.Slower
	}
	return match.Level
}
