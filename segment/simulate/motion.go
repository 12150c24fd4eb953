package simulate

import (
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/recording"
)

// stepS is the time step of the simulated body, s.
const stepS = 0.25

// A motion is what the body did: a value per stepS.
type motion struct {
	mps, metres []float64 // speed during the step; distance at its end
	altitude    []float64
	heart       []float64
	legs        []TruthLeg
	stops       []recording.Span
	waySeed     uint64 // of the path on the map
}

// A Truth is what really happened.
type Truth struct {
	Legs       []TruthLeg // touching, from 0 to the end
	Stops      []recording.Span
	Notation   string
	Main       string
	Structured bool
	Scale      float64 // device's odometer over true distance
}

// A TruthLeg is one leg as it was run. Times are seconds from the first record.
type TruthLeg struct {
	Role, Manner string
	Set, Rep     int
	MeantS       float64 // intended length; one of the two is zero, both when open
	MeantM       float64

	StartS, EndS float64
	DistanceM    float64 // true
	PaceSPerKm   float64 // mean true pace; +Inf when standing
}

// move runs a session. A runner who reads no display knows true distances, by the
// marks of a track or from the belt; a belt holds its speed in steps of belt m/s; a led
// runner is told the moment of each change by the device.
func move(s Session, reads *display, belt float64, led bool, rng *rand.Rand) *motion {
	r := s.Runner
	if r == (Runner{}) {
		r = DefaultRunner()
	}
	if led {
		r.AmountPct = 0
	}
	m := &motion{waySeed: rng.Uint64()}
	b := &body{s: s, r: r, rng: rng, reads: reads, belt: belt, led: led, m: m}
	b.h = heart{r: r, bpm: r.HeartBase + 20 + 8*rng.Float64()}
	b.phase = 2 * math.Pi * rng.Float64()
	decay := math.Exp(-stepS / max(1, r.WanderS))
	b.decay, b.kick = decay, r.WanderPct/100*math.Sqrt(1-decay*decay)
	day := 1 + 0.01*rng.NormFloat64()
	if r.DriftPct > 0 {
		fade := math.Exp(-stepS / max(1, r.DriftS))
		b.fade, b.push = fade, r.DriftPct/100*math.Sqrt(1-fade*fade)
		b.drift = r.DriftPct / 100 * rng.NormFloat64()
	}
	for _, l := range s.Legs {
		b.run(l, day)
	}
	return m
}

// A body is the state of a runner between two steps.
type body struct {
	s     Session
	r     Runner
	rng   *rand.Rand
	m     *motion
	reads *display // nil for a runner who knows the true distance
	belt  float64
	led   bool
	h     heart

	v, x, wander float64 // m/s, m, relative
	decay, kick  float64 // of the wander
	drift        float64 // the slower wander, relative
	fade, push   float64 // of the drift
	walking      bool    // since the ground is too steep to run
	phase        float64 // of the hills
	climb        float64 // m, on the grades of the legs
	edgeS, edgeM float64 // where the last leg ended
	edgeShown    float64 // m, what the runner read there
}

// run runs one leg to its end, adding steps to the motion.
func (b *body) run(l Leg, day float64) {
	factor := day * (1 + b.r.SpreadPct/100*b.rng.NormFloat64())
	burst := 0.02 * b.rng.NormFloat64() // reps start too fast or too slow
	if b.belt > 0 || l.Manner == "walk" {
		factor, burst = 1, 0
	}
	lengthS, lengthM := l.Seconds, l.Metres // as shown
	slack := b.rng.NormFloat64()
	if b.led {
		slack = 0
	}
	switch {
	case l.Open:
	case l.Role == work:
		lengthS += 0.5 * slack
		lengthM += 1 * slack
	case l.Role == recovery:
		lengthS *= 1 + b.r.AmountPct/100*slack
		lengthM *= 1 + 0.2*b.r.AmountPct/100*slack
	default:
		lengthS += min(20, 4*math.Abs(slack)) // nobody ends a warm-up early
		lengthM += 3 * math.Abs(slack)
	}
	standS := l.StandS
	lateS := 0.0
	if l.Manner == "jog" && b.belt == 0 && b.rng.Float64() < b.r.LateJogP {
		lateS = 2 + 5*b.rng.Float64()
	}
	startS, startM := b.edgeS, b.edgeM
	for {
		now := float64(len(b.m.mps)) * stepS
		in := now - startS
		done := (b.x - startM) / max(1, lengthM)
		if l.Metres == 0 {
			done = in / lengthS
		}
		want := (l.StartMPS + (l.EndMPS-l.StartMPS)*min(1, max(0, done))) * factor * (1 + burst*math.Exp(-in/15))
		change, halted := l.unmeant(in)
		want *= change
		switch {
		case in < standS:
			want = 0
		case in < standS+lateS:
			want = min(want, 1.2)
		}
		b.step(want, l, halted)
		if endS, endM, over := b.past(l, startS+lengthS, b.edgeShown+lengthM); over {
			b.close(l, startS, startM, endS, endM)
			return
		}
	}
}

// unmeant is what speed is multiplied by, so many seconds into the leg, and whether the
// runner is halted.
func (l Leg) unmeant(in float64) (change float64, halted bool) {
	change = 1
	for _, c := range l.Shifts {
		if in >= c.AfterS && in < c.AfterS+c.ForS {
			change *= 1 + c.Pct/100
		}
	}
	for _, h := range l.Halts {
		if in >= h.AfterS && in < h.AfterS+h.ForS {
			return 0, true
		}
	}
	return change, false
}

// shown is the distance that the runner goes by at some true metres.
func (b *body) shown(metres float64) float64 {
	if b.reads == nil {
		return metres
	}
	return b.reads.shows(metres)
}

// past says whether the step just made passed the end of the leg, in s or in metres as
// shown, and where.
func (b *body) past(l Leg, endS, endShown float64) (atS, atM float64, over bool) {
	now := float64(len(b.m.mps)) * stepS
	if l.Metres == 0 {
		if now < endS {
			return 0, 0, false
		}
		atM = b.x - b.v*(now-endS)
		b.edgeShown = b.shown(atM)
		return endS, atM, true
	}
	surplus := b.shown(b.x) - endShown
	if surplus < 0 {
		return 0, 0, false
	}
	atS = now
	if b.v > 0 { // the display may leap
		atS -= min(stepS, surplus/b.v)
	}
	atM = b.x - b.v*(now-atS)
	b.edgeShown = max(endShown, b.shown(atM))
	return atS, atM, true
}

func (b *body) close(l Leg, startS, startM, endS, endM float64) {
	t := TruthLeg{Role: l.Role, Manner: l.Manner, Set: l.Set, Rep: l.Rep, StartS: startS, EndS: endS, DistanceM: endM - startM}
	if !l.Open {
		t.MeantS, t.MeantM = l.Seconds, l.Metres
	}
	t.PaceSPerKm = math.Inf(1)
	if t.DistanceM > 0.2*(endS-startS) {
		t.PaceSPerKm = (endS - startS) / t.DistanceM * 1000
	}
	b.m.legs = append(b.m.legs, t)
	b.edgeS, b.edgeM = endS, endM
}

// step moves the body for stepS towards a wanted flat speed.
func (b *body) step(want float64, l Leg, halted bool) {
	t := b.s.Terrain
	grade, rise := l.Grade, 0.0
	if t.RollM > 0 {
		// Two waves, so that no two hills are alike; 2.04 is their steepest sum.
		k := 2 * math.Pi / t.RollM
		rise = t.MaxGrade / 2.04 / k * (math.Sin(k*b.x+b.phase) + 0.4*math.Sin(2.6*k*b.x+2*b.phase))
		grade += t.MaxGrade / 2.04 * (math.Cos(k*b.x+b.phase) + 1.04*math.Cos(2.6*k*b.x+2*b.phase))
	}
	if b.belt > 0 {
		b.v = belted(b.v, math.Round(want/b.belt)*b.belt)
	} else {
		b.wander = b.wander*b.decay + b.kick*b.rng.NormFloat64()
		if b.push > 0 {
			b.drift = b.drift*b.fade + b.push*b.rng.NormFloat64()
		}
		if want > 0 {
			want *= 1 + b.wander + b.drift + t.WindPct/100*math.Sin(2*math.Pi*b.x/400)
			want = b.onGrade(want, grade)
		}
		b.v = ramped(b.v, want, b.r.RampS)
	}
	n := len(b.m.mps)
	b.x += b.v * stepS
	b.h.step(flatSpeed(b.v, grade), float64(n)*stepS, stepS)
	b.climb += l.Grade * b.v * stepS
	if b.reads != nil && (n+1)%perS == 0 {
		b.reads.second(b.x)
	}
	b.m.mps = append(b.m.mps, b.v)
	b.m.metres = append(b.m.metres, b.x)
	b.m.altitude = append(b.m.altitude, t.BaseM+rise+b.climb)
	b.m.heart = append(b.m.heart, b.h.bpm)
	if halted && b.v == 0 {
		at := float64(n) * stepS
		if k := len(b.m.stops) - 1; k >= 0 && b.m.stops[k].EndS >= at-0.01 {
			b.m.stops[k].EndS = at + stepS
		} else {
			b.m.stops = append(b.m.stops, recording.Span{StartS: at, EndS: at + stepS})
		}
	}
}

// onGrade is the speed that the runner makes of a wanted flat speed on a grade.
func (b *body) onGrade(want, grade float64) float64 {
	switch {
	case b.r.HillUp > 0 || b.r.HillDown > 0:
		want = answeredSpeed(want, grade, b.r.HillUp, b.r.HillDown)
	case b.r.ByEffort:
		want = effortSpeed(want, grade)
	}
	if from := b.r.WalkGrade; from > 0 {
		// Who walks goes on walking until the ground is clearly less steep.
		b.walking = grade > from || b.walking && grade > 0.8*from
		if b.walking {
			want = min(want, walkSpeed(grade))
		}
	}
	return want
}

// ramped approaches a speed exponentially, no harder than legs allow.
func ramped(v, want, tauS float64) float64 {
	if want == 0 {
		tauS = 0.8
	}
	d := (want - v) * (1 - math.Exp(-stepS/tauS))
	v += max(-2*stepS, min(1.5*stepS, d))
	if want == 0 && v < 0.3 {
		return 0
	}
	return v
}

// belted moves a belt's speed at its fixed rate, from memory about 0.3 m/s
// each second.
func belted(v, want float64) float64 {
	return v + max(-0.4*stepS, min(0.3*stepS, want-v))
}
