package simulate

import (
	"hash/fnv"
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/recording"
)

// An athlete draws one runner with consistent paces, and the random amounts
// of one session.
type athlete struct {
	*rand.Rand
	v5      float64 // 5 km race speed, m/s
	easyMPS float64
	jogMPS  float64
	place   recording.Place
	runner  Runner
	terrain Terrain
}

func newAthlete(kind string, seed uint64) *athlete {
	h := fnv.New64a()
	h.Write([]byte(kind))
	a := &athlete{Rand: rand.New(rand.NewPCG(seed, h.Sum64())), place: recording.Outdoors, runner: DefaultRunner()}
	a.v5 = a.between(3.3, 5.2)
	a.easyMPS = a.v5 * a.between(0.69, 0.77)
	a.jogMPS = a.v5 * a.between(0.55, 0.66)
	r := &a.runner
	r.SpreadPct = a.between(0.6, 2)
	r.WanderPct = a.between(0.6, 1.8)
	r.WanderS = a.between(12, 40)
	r.RampS = a.between(1.2, 2.6)
	r.LateJogP = a.between(0, 0.5)
	r.AmountPct = a.between(0.5, 4)
	if a.Float64() < 0.2 {
		r.AmountPct *= 2
	}
	r.HeartGain = min(34, max(16, 24.2+4*a.NormFloat64()))
	r.HeartTauS = min(85, max(38, 57.6+10*a.NormFloat64()))
	r.HeartBase = a.between(136, 148) - r.HeartGain*a.easyMPS
	r.HeartRest = a.between(62, 90)
	r.HeartMax = a.between(178, 198)
	r.HeartDrift = a.between(2, 10)
	a.terrain = Terrain{BaseM: a.between(5, 400), MaxGrade: a.between(0, 0.012), RollM: a.between(600, 2500)}
	return a
}

func (a *athlete) between(lo, hi float64) float64 { return lo + (hi-lo)*a.Float64() }

// pick is one of the values.
func pick[T any](a *athlete, values ...T) T { return values[a.IntN(len(values))] }

// race is the speed at which the athlete races a distance: Riegel 1981,
// American Scientist 69:285-290, T2 = T1 (D2/D1)^1.06.
func (a *athlete) race(km float64) float64 { return a.v5 * math.Pow(km/5, -0.06) }

// threshold is about the speed of an hour's race.
func (a *athlete) threshold() float64 { return a.race(15) }

// warmUp and coolDown are meant in whole minutes or kilometres.
func (a *athlete) warmUp() node {
	if a.Float64() < 0.3 {
		return metres(1000 * pick(a, 1.0, 2, 3)).warm(a.easyMPS * a.between(0.94, 1))
	}
	return secs(60 * pick(a, 8.0, 10, 12, 15, 20)).warm(a.easyMPS * a.between(0.94, 1))
}

func (a *athlete) coolDown() node {
	if a.Float64() < 0.3 {
		return metres(1000 * pick(a, 1.0, 2)).cool(a.easyMPS * a.between(0.88, 0.98))
	}
	return secs(60 * pick(a, 5.0, 8, 10, 15)).cool(a.easyMPS * a.between(0.88, 0.98))
}

// framed is the usual session: warm-up, main set, cool-down.
func (a *athlete) framed(name string, main ...node) Session {
	nodes := append([]node{a.warmUp()}, main...)
	return a.session(name, append(nodes, a.coolDown())...)
}

func (a *athlete) onTrack() *athlete {
	a.place, a.terrain.MaxGrade = recording.Track, 0
	return a
}

func (a *athlete) onTreadmill() *athlete {
	a.place, a.terrain = recording.Treadmill, Terrain{}
	return a
}

// quicker speeds a leg of work up by pct percent each pass.
func quicker(pct float64) func(int, *Leg) {
	return func(pass int, l *Leg) {
		if l.Role == work {
			f := 1 + pct/100*float64(pass)
			l.StartMPS *= f
			l.EndMPS *= f
		}
	}
}
