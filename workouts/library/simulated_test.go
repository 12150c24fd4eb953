package library

import (
	"math"
	"math/rand/v2"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
)

// A change is what the runner does to the workout.
type change int

const (
	asWritten change = iota
	oneMissing
	oneAdded
)

// simulated is a simulated running of a workout: the paces are the runner's, as
// races predict each other (Riegel 1981, American Scientist 69:285-290).
func simulated(w workouts.Workout, seed uint64, c change) simulate.Session {
	kind, _ := simulate.KindNamed("4 minute reps")
	base := kind.Make(seed)
	rng := rand.New(rand.NewPCG(seed, 77))
	v5 := 3.3 + 1.9*rng.Float64()
	easy := v5 * (0.69 + 0.08*rng.Float64())
	jog := v5 * (0.55 + 0.11*rng.Float64())
	base.Runner.HeartBase = 142 - base.Runner.HeartGain*easy
	race := func(km float64) float64 { return v5 * math.Pow(km/5, -0.06) }
	races := map[string]float64{"1500m": 1.5, "3k": 3, "5k": 5, "10k": 10, "half": 17, "marathon": 35}
	s := simulate.Session{Name: w.Name, Structured: true, Place: recording.Outdoors, Runner: base.Runner, Terrain: base.Terrain}
	gain := 0.008 + 0.017*rng.Float64() // of a progression, a rep
	set, inSet := 0, 0
	lastWork := 0.0
	for _, p := range w.Expand() {
		l := simulate.Leg{Role: string(p.Role), Manner: string(p.Step.Manner), Set: p.Set, Rep: p.Rep,
			Seconds: p.Step.Amount.Seconds, Metres: p.Step.Amount.Metres, Mile: p.Step.Amount.Mile}
		v := 0.0
		switch p.Step.Manner {
		case workouts.Warm:
			v = easy * 0.97
		case workouts.Cool:
			v = easy * 0.93
		case workouts.Easy:
			v = easy
		case workouts.Steady:
			v = easy * 1.02
		case workouts.Float:
			v = lastWork * 0.88
		case workouts.Jog, workouts.Unsaid:
			v, l.Manner = jog, "jog"
		case workouts.Walk:
			v = 1.5
		case workouts.Stand:
		default:
			km := races[p.Step.Target.From.Name]
			if km == 0 {
				km = 10
			}
			v = race(km)
			if p.Step.Target.Kind == workouts.QuickerTarget {
				if p.Set != set {
					set, inSet = p.Set, 0
				}
				v *= 1 + gain*float64(inSet)
				inSet++
			}
			lastWork = v
		}
		l.StartMPS, l.EndMPS = v, v
		s.Legs = append(s.Legs, l)
	}
	s.Legs = altered(s.Legs, c, rng)
	return s
}

// altered leaves out one rep with the recovery after it (the one before it
// for the last), or runs one twice.
func altered(legs []simulate.Leg, c change, rng *rand.Rand) []simulate.Leg {
	var works []int
	for i, l := range legs {
		if l.Role == string(segment.Work) {
			works = append(works, i)
		}
	}
	if c == asWritten || len(works) < 2 {
		return legs
	}
	i := works[rng.IntN(len(works))]
	from, to := i, i+2
	if to > len(legs) || i == works[len(works)-1] || legs[i+1].Role != string(segment.Recovery) {
		from, to = i-1, i+1
	}
	out := append([]simulate.Leg{}, legs[:from]...)
	if c == oneAdded {
		out = append(out, legs[from:to]...)
		out = append(out, legs[from:]...)
	} else {
		out = append(out, legs[to:]...)
	}
	// Numbers are for the truth only, but must count up.
	rep := 0
	for k := range out {
		if out[k].Role == string(segment.Work) {
			rep++
		}
		if out[k].Rep > 0 {
			out[k].Rep = rep
		}
	}
	return out
}
