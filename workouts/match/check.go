package match

import (
	"errors"
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
)

// Options tune a check. The zero Options are the defaults.
type Options struct {
	// PaceTolerancePct is allowed around a pace target that has no tolerance
	// of its own, in percent of the target; 0 means 3.
	PaceTolerancePct float64
}

// ErrNothingPlanned is returned for a plan without a single step.
var ErrNothingPlanned = errors.New("the plan has no steps: write at least one, such as 5 x 3:00 off 90s jog")

// ErrNothingRun is returned for a session without any running in it.
var ErrNothingRun = errors.New("the recording has no usable speed: nothing can be held against the plan")

// Check holds a plan against a session.
//
// It returns ErrNothingPlanned or ErrNothingRun when there is nothing to
// compare. Named paces and heart zones count only when the plan was resolved
// for the athlete before. The session is not changed.
func Check(plan workouts.Workout, s *segment.Session, o Options) (*Result, error) {
	steps := plan.Expand()
	if len(steps) == 0 {
		return nil, ErrNothingPlanned
	}
	if !usable(s) {
		return nil, ErrNothingRun
	}
	if !(o.PaceTolerancePct > 0) || math.IsInf(o.PaceTolerancePct, 0) {
		o.PaceTolerancePct = 3
	}
	r := compare(plan, steps, s, o, nil, 1)
	if share := offPace(steps, s); r.Verdict == Different && share > 0 {
		// The reps may be the planned ones at quite another pace.
		if far := compare(plan, steps, s, o, nil, share); far.Verdict != Different {
			return far, nil
		}
	}
	if flat := s.Trace.EvenCost(); r.Verdict == Different && flat != nil && byFeel(steps) {
		// Reps up a hill show in the cost of running, not in speed.
		if hills := compare(plan, steps, s, o, flat, 1); hills.Verdict != Different {
			hills.warn("hill-reps", "the reps show in the cost of running up and down, not in speed; paces are as run")
			r = hills
		}
	}
	return r, nil
}

// compare lays the plan over the session and judges it. Flat is as in
// readSpeeds; pace is the share of the target speeds at which the reps are looked
// for.
func compare(plan workouts.Workout, steps []workouts.Planned, s *segment.Session, o Options, flat []float64, pace float64) *Result {
	ts := tasks(steps)
	sp := readSpeeds(s, shortest(ts), flat)
	r := &Result{Plan: plan, Warnings: append([]recording.Warning(nil), s.Warnings...)}
	m := measurer{sp: sp, lay: layOut(ts, sp, pace), offPace: pace != 1, o: o, r: r}
	m.fill()
	r.progress()
	m.judge()
	return r
}

// offPace is the speed of the work that a split without the plan saw, as a share of
// what the plan asks for; 0 when that is near, or when the two do not have as many
// reps of about the same amounts.
func offPace(steps []workouts.Planned, s *segment.Session) float64 {
	const near, about = 0.05, 0.2
	var seen []segment.Segment
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			seen = append(seen, g)
		}
	}
	var asked, ran, seconds float64
	planned := 0
	for _, p := range steps {
		if p.Role != segment.Work {
			continue
		}
		v := goalSpeed(p.Goal)
		if v == 0 || planned == len(seen) {
			return 0 // reps without a target are looked for at any pace
		}
		g := seen[planned]
		share := 1.0
		switch a := p.Step.Amount; a.Kind {
		case workouts.Time:
			share = g.Seconds() / a.Seconds
		case workouts.Distance:
			share = g.DistanceM / a.Metres
		}
		if !(math.Abs(share-1) < about) {
			return 0
		}
		planned, asked = planned+1, asked+v
		ran, seconds = ran+g.DistanceM, seconds+g.Seconds()
	}
	share := ran / seconds / (asked / float64(planned))
	if planned < len(seen) || !(math.Abs(share-1) >= near) {
		return 0
	}
	return share
}

// byFeel tells whether a plan may have been run on a hill: repeats by time or
// distance with recoveries, and no pace asked of any rep.
func byFeel(steps []workouts.Planned) bool {
	reps, rests := 0, 0
	for _, p := range steps {
		switch {
		case p.Role == segment.Recovery:
			rests++
		case p.Role == segment.Work:
			if p.Goal.Kind == workouts.PaceGoal {
				return false
			}
			reps++
		}
	}
	return reps >= 4 && rests >= 3
}

// usable tells whether there is speed to compare: something was covered, and
// every cell is a number.
func usable(s *segment.Session) bool {
	if s == nil || s.Trace == nil {
		return false
	}
	tr := s.Trace
	n := len(tr.Speed)
	if tr.Source == signal.Nothing || n < 2 || len(tr.Dist) != n+1 || !(tr.Dist[n] > tr.Dist[0]) {
		return false
	}
	for _, d := range tr.Dist {
		if math.IsNaN(d) || math.IsInf(d, 0) {
			return false
		}
	}
	return true
}
