package match

import (
	"errors"

	"example.org/rungs/segment"
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
// for the athlete before.
func Check(plan workouts.Workout, s *segment.Session, o Options) (*Result, error) {
	if len(plan.Expand()) == 0 {
		return nil, ErrNothingPlanned
	}
	if s == nil || s.Trace == nil || len(s.Trace.Speed) == 0 {
		return nil, ErrNothingRun
	}
	return nil, errors.New("matching is not available yet")
}
