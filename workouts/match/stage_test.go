package match

import (
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// A scene is a planned workout as a simulated runner means to run it, step by
// step, before and after deviations.
type scene struct {
	plan  workouts.Workout
	steps []workouts.Planned
	acts  []act
	rng   *rand.Rand
}

// An act is one leg of a scene and the planned step it stands for.
type act struct {
	leg  simulate.Leg
	step int // index of the planned step; -1 for none
	want Outcome
}

func parse(t testing.TB, text string) workouts.Workout {
	t.Helper()
	w, err := notation.Parse("plan", text)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return w
}

// stage makes the legs of a plan for a runner of the given 5 km speed, m/s,
// who runs work without a target at workMPS.
func stage(t testing.TB, text string, workMPS float64, seed uint64) *scene {
	t.Helper()
	w := parse(t, text)
	sc := &scene{plan: w, steps: w.Expand(), rng: rand.New(rand.NewPCG(seed, 0xa11))}
	for _, p := range sc.steps {
		sc.acts = append(sc.acts, act{legOf(p, workMPS), p.Index, Done})
	}
	return sc
}

func legOf(p workouts.Planned, workMPS float64) simulate.Leg {
	l := simulate.Leg{Role: string(p.Role), Manner: string(p.Step.Manner), Set: p.Set, Rep: p.Rep}
	switch a := p.Step.Amount; a.Kind {
	case workouts.Time:
		l.Seconds = a.Seconds
	case workouts.Distance:
		l.Metres = a.Metres
	default:
		l.Seconds, l.Open = 120, true
	}
	v := map[workouts.Manner]float64{workouts.Warm: 0.68, workouts.Cool: 0.66, workouts.Easy: 0.72, workouts.Steady: 0.82,
		workouts.Float: 0.82, workouts.Jog: 0.6, workouts.Unsaid: 0.6, workouts.Stand: 0, workouts.Work: 1}[p.Step.Manner] * workMPS
	if p.Step.Manner == workouts.Walk {
		v = 1.5
	}
	if l.Manner == "" {
		l.Manner = "jog"
	}
	l.StartMPS, l.EndMPS = v, v
	if g := goalSpeed(p.Goal); g > 0 {
		l.StartMPS, l.EndMPS = g, g
		if p.Goal.EndPace > 0 {
			l.StartMPS, l.EndMPS = 1000/p.Goal.Pace, 1000/p.Goal.EndPace
		}
	} else if p.Role == segment.Work && p.Goal.Kind == workouts.QuickerGoal {
		f := 1 + 0.015*float64(p.Rep-1)
		l.StartMPS, l.EndMPS = v*f, v*f
	}
	return l
}

// run lets the runner run the scene with a device.
func (sc *scene) run(d simulate.Device, seed uint64, change func(*simulate.Runner)) (*segment.Session, simulate.Truth) {
	s := simulate.Session{Structured: true, Place: recording.Outdoors, Runner: simulate.DefaultRunner()}
	if d.Indoor {
		s.Place = recording.Treadmill
	}
	s.Runner.SpreadPct = 0.8
	if change != nil {
		change(&s.Runner)
	}
	for _, a := range sc.acts {
		s.Legs = append(s.Legs, a.leg)
	}
	rec, truth := simulate.Run(s, d, seed)
	return session(rec), truth
}

func session(rec *recording.Recording) *segment.Session {
	return &segment.Session{Recording: rec, Trace: signal.Build(rec)}
}

func device(t testing.TB, name string) simulate.Device {
	t.Helper()
	d, ok := simulate.DeviceNamed(name)
	if !ok {
		t.Fatalf("no device %q", name)
	}
	return d
}
