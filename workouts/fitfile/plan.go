package fitfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// restName begins the name of a step that stands between repeats. The names of
// other steps are their manners.
const restName = "rest"

// planOf writes a workout as the flat list of steps that a device stores, and
// tells what such steps cannot say.
//
// A repeat of the format runs all its steps in every pass, but the last pass
// of "5 x A off R" has no R: it becomes 4 passes of A and R, and A once more.
func planOf(w workouts.Workout) (recording.Plan, []string) {
	w = w.Normal()
	p := planner{plan: recording.Plan{Name: w.Name}}
	p.items(w.Items)
	if p.nested {
		p.lose("there are repeats within repeats, which not every watch follows")
	}
	if len(p.plan.Steps) <= maxSteps {
		back, _ := FromPlan(p.plan)
		if is, was := notation.Print(back), notation.Print(w); is != was {
			p.lose("it is run the same, but reads back as %s", is)
		}
	}
	return p.plan, p.lost
}

type planner struct {
	plan   recording.Plan
	lost   []string
	again  bool // a last pass, of which everything was said
	depth  int
	nested bool
}

func (p *planner) lose(format string, args ...any) {
	if !p.again {
		p.lost = append(p.lost, fmt.Sprintf(format, args...))
	}
}

func (p *planner) add(s recording.PlanStep) {
	s.Index = len(p.plan.Steps)
	p.plan.Steps = append(p.plan.Steps, s)
}

func (p *planner) items(items []workouts.Item) {
	for _, it := range items {
		p.item(it)
	}
}

func (p *planner) item(it workouts.Item) {
	if progresses(it) {
		p.unrolled(it)
		return
	}
	from := len(p.plan.Steps)
	passes := it.Count
	if it.Rest != nil {
		passes--
	}
	if passes > 1 {
		p.nested = p.nested || p.depth > 0
		p.depth++
	}
	p.pass(it)
	if it.Rest != nil {
		p.step(*it.Rest, true)
	}
	if passes > 1 {
		p.depth--
		p.add(recording.PlanStep{Repeat: passes, BackTo: from})
	}
	if it.Rest != nil && from+len(p.plan.Steps) <= 3*maxSteps { // a bound on what is too long anyway
		again := p.again
		p.again = true
		p.pass(it)
		p.again = again
	}
}

// progresses tells whether the target of an item changes from pass to pass: a step has
// one target in every repeat of the format, so that each pass needs steps of its own.
func progresses(it workouts.Item) bool {
	if it.Count < 2 {
		return false
	}
	if len(it.Body) == 0 {
		return it.Step.Target.At(1, it.Count) != it.Step.Target
	}
	return slices.ContainsFunc(it.Body, func(x workouts.Item) bool {
		return x.Count < 2 && len(x.Body) == 0 && x.Step.Target.At(1, it.Count) != x.Step.Target
	})
}

// unrolled writes every pass of an item by itself, with the targets of that pass.
func (p *planner) unrolled(it workouts.Item) {
	for k := 1; k <= it.Count && len(p.plan.Steps) <= maxSteps; k++ {
		one := workouts.Item{Count: 1, Step: it.Step, Body: slices.Clone(it.Body)}
		one.Step.Target = it.Step.Target.At(k, it.Count)
		for i := range one.Body {
			if x := &one.Body[i]; x.Count < 2 && len(x.Body) == 0 {
				x.Step.Target = x.Step.Target.At(k, it.Count)
			}
		}
		p.pass(one)
		if it.Rest != nil && k < it.Count {
			p.step(*it.Rest, true)
		}
	}
}

// pass writes an item once, without its rest.
func (p *planner) pass(it workouts.Item) {
	if len(it.Body) > 0 {
		p.items(it.Body)
	} else {
		p.step(it.Step, false)
	}
}

func (p *planner) step(s workouts.Step, rest bool) {
	out := planStep(s)
	out.Name, out.Intensity = string(s.Manner), intensityOf(s.Manner)
	if rest {
		out.Name, out.Intensity = strings.TrimSuffix(restName+" "+out.Name, " "), recording.Rest
	}
	said := saidOf(s)
	if saidOf(stepFrom(out)) != said {
		out.Notes = said
	}
	targeted := out.SpeedHigh > 0 || out.HeartLow > 0 || out.HeartHigh > 0 || out.HeartZone > 0
	switch kind := s.Target.Kind; {
	case kind == workouts.QuickerTarget:
		p.lose("%s: a FIT step has no such target; it stands in the note of the step", said)
	case kind == workouts.ProgressionTarget && targeted:
		p.lose("%s: a FIT step has one target; it is given as a band, and as it is in the note of the step", said)
	case kind != workouts.NoTarget && !targeted:
		p.lose("%s: the athlete's value is not known; it stands in the note of the step", said)
	}
	p.add(out)
}

// saidOf is the amount and the target of a step in the notation.
func saidOf(s workouts.Step) string {
	s.Manner = workouts.Work
	return notation.Print(workouts.Workout{Items: []workouts.Item{{Count: 1, Step: s}}})
}

func intensityOf(m workouts.Manner) recording.Intensity {
	switch m {
	case workouts.Warm:
		return recording.WarmUp
	case workouts.Cool:
		return recording.CoolDown
	case workouts.Work, workouts.Steady, workouts.Easy:
		return recording.Active
	}
	return recording.Rest
}

// planStep puts the amount and the target of a step into fields, as far as
// they go, in the units of the format: ms, cm, mm/s.
func planStep(s workouts.Step) recording.PlanStep {
	out := recording.PlanStep{TimeS: to(s.Amount.Seconds, 1000), DistanceM: to(s.Amount.Metres, 100)}
	switch t := s.Target; t.Kind {
	case workouts.PaceTarget:
		setSpeeds(&out, t.From.SecPerKm, t.From.SecPerKm, t.Tolerance.PerKm())
	case workouts.BandTarget, workouts.ProgressionTarget:
		setSpeeds(&out, t.From.SecPerKm, t.To.SecPerKm, t.Tolerance.PerKm())
	case workouts.HeartTarget:
		setHeart(&out, t.Heart)
	}
	return out
}

// setSpeeds sets the target to the speeds of two paces (s/km, in either order),
// widened by a tolerance; a pace of 0 is not known.
func setSpeeds(out *recording.PlanStep, a, b, tolerance float64) {
	quick, slow := min(a, b)-tolerance, max(a, b)+tolerance
	if min(a, b) <= 0 || quick <= 0 {
		return
	}
	out.SpeedLow, out.SpeedHigh = to(1000/slow, 1000), to(1000/quick, 1000)
}

// setHeart sets the target to a heart rate. Zones count as the watch has them.
func setHeart(out *recording.PlanStep, h workouts.HeartRange) {
	switch {
	case h.Unit == workouts.Zone && h.Low == h.High && h.Low <= 5:
		out.HeartZone = int(h.Low)
	case h.Unit == workouts.PercentMax:
		out.HeartLow, out.HeartHigh, out.HeartPercent = h.Low, h.High, true
	default:
		out.HeartLow, out.HeartHigh = h.LowBPM, h.HighBPM
	}
	out.HeartLow, out.HeartHigh = to(out.HeartLow, 1), to(out.HeartHigh, 1)
}

// to rounds to so many parts of a unit.
func to(v, parts float64) float64 { return math.Round(v*parts) / parts }
