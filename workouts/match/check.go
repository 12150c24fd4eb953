package match

import (
	"errors"
	"math"

	"example.org/rungs/segment"
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
	ts := tasks(steps)
	sp := readSpeeds(s, shortest(ts))
	lay := layOut(ts, sp)
	r := &Result{Plan: plan}
	r.Warnings = append(r.Warnings, s.Warnings...)
	m := measurer{sp: sp, lay: lay, o: o, r: r}
	m.fill()
	r.progress()
	m.judge()
	return r, nil
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
