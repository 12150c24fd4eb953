package match

import (
	"errors"
	"math"
	"slices"

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
	// Amounts are allowed to be off by so much.
	Amounts Amounts
	// Miles makes the sentences count in miles.
	Miles bool
	// Given says that the plan is known to be what was run: the reps stand where it
	// fits best, even where speed speaks for another session. A warning of the code
	// Contradicted then says why.
	Given bool
}

// Contradicted is the code of the warning that speed does not show a plan that is
// known to be what was run.
const Contradicted = "contradicted"

// Amounts are how far amounts may be off their plan, in percent of it, before they
// count as short or long; 0 means the default. None may pass MostAmountPct.
type Amounts struct {
	Rep  float64 // of a rep; 6
	Rest float64 // of a recovery; 20
	Easy float64 // of easy running, in a plan without work; 15
	Ends float64 // of a warm-up or cool-down; 35
}

// MostAmountPct is the most that an amount may be off and count as planned.
const MostAmountPct = 39

// withDefaults fills in what is not set, and keeps the rest within its limits.
func (a Amounts) withDefaults() Amounts {
	set := func(v *float64, unset float64) {
		if !(*v > 0) {
			*v = unset
		}
		*v = math.Min(*v, MostAmountPct)
	}
	set(&a.Rep, 6)
	set(&a.Rest, 20)
	set(&a.Easy, 15)
	set(&a.Ends, 35)
	return a
}

// ErrNothingPlanned is returned for a plan without a single step.
var ErrNothingPlanned = errors.New("the plan has no steps: write at least one, such as 5 x 3:00 off 90s jog")

// ErrNothingRun is returned for a session without any running in it.
var ErrNothingRun = errors.New("the recording has no usable speed and no heart rate: nothing can be held against the plan")

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
		if s = byHeart(s); s == nil {
			return nil, ErrNothingRun
		}
	}
	if !(o.PaceTolerancePct > 0) || math.IsInf(o.PaceTolerancePct, 0) {
		o.PaceTolerancePct = 3
	}
	o.Amounts = o.Amounts.withDefaults()
	r := lookAgain(compare(plan, steps, s, o, nil, byContrast), plan, steps, s, o)
	if flat := s.Trace.EvenCost(); r.Verdict == Different && flat != nil && byFeel(steps) {
		// Reps up a hill show in the cost of running, not in speed.
		if hills := compare(plan, steps, s, o, flat, byContrast); hills.Verdict != Different {
			hills.warn("hill-reps", "on the hills the reps show in the effort, not in the speed; paces are as they were run")
			r = hills
		}
	}
	return r, nil
}

// lookAgain looks for the reps of a plan in other ways, where they were not all found; what finds the most counts.
func lookAgain(r *Result, plan workouts.Workout, steps []workouts.Planned, s *segment.Session, o Options) *Result {
	try := func(o Options, from anchor) {
		if other := compare(plan, steps, s, o, nil, from); other.closer(r) {
			r = other
		}
	}
	if !r.whole() && targeted(steps) {
		try(o, byTargets) // work of little contrast is easier to find by what was asked of it
	}
	if k, ok := workouts.Known(plan); ok && !r.whole() && !o.Given && s.MayBe(k) {
		o.Given = true // the split, which knows no plan, saw these reps: they were run
		try(o, byContrast)
	}
	return r
}

// compare lays the plan over the session and judges it. Flat is as in
// readSpeeds; from is what reps are first looked for by.
func compare(plan workouts.Workout, steps []workouts.Planned, s *segment.Session, o Options, flat []float64, from anchor) *Result {
	ts := tasks(steps)
	if blind(s) {
		for i := range ts {
			ts[i].open = ts[i].open || ts[i].metres // no distance is known
		}
	}
	sp := readSpeeds(s, shortest(ts), flat)
	if o.Given {
		sp.give(ts)
	}
	r := &Result{Plan: plan, Warnings: append([]recording.Warning(nil), s.Warnings...)}
	m := measurer{sp: sp, lay: layOut(ts, sp, from), o: o, r: r}
	m.fill()
	if blind(s) && asksPace(steps) {
		r.warn("no-pace", "paces and distances that the plan asks for cannot be judged: of this run only time and heart rate are known")
	}
	r.progress()
	m.judge()
	return r
}

// whole tells whether every planned rep was found, and nothing besides.
func (r *Result) whole() bool { return r.Verdict != Different && r.amiss() == 0 }

// amiss counts the reps that are not as planned in number or length.
func (r *Result) amiss() int {
	n := 0
	for _, rep := range r.Reps {
		if rep.Outcome != Done {
			n++
		}
	}
	return n
}

// closer tells whether r finds more of the plan than other does.
func (r *Result) closer(other *Result) bool {
	if a, b := r.Verdict == Different, other.Verdict == Different; a != b {
		return b
	}
	return r.amiss() < other.amiss()
}

// asksPace tells whether a plan asks for a pace or a distance.
func asksPace(steps []workouts.Planned) bool {
	return slices.ContainsFunc(steps, func(p workouts.Planned) bool {
		return p.Step.Amount.Kind == workouts.Distance || p.Goal.Kind == workouts.PaceGoal || p.Goal.Kind == workouts.QuickerGoal
	})
}

// targeted tells whether some work has a target pace.
func targeted(steps []workouts.Planned) bool {
	return slices.ContainsFunc(steps, func(p workouts.Planned) bool { return p.Role == segment.Work && goalSpeed(p.Goal) > 0 })
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
