package simulate

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"example.org/rungs/segment/recording"
)

// A view is what a device knows at each whole second since it was started,
// lateS seconds after the body.
type view struct {
	n        int
	lateS    int
	odometer []float64 // m
	scale    []float64 // of the odometer
	speed    []float64 // m/s; NaN where not known
	heart    []float64 // bpm
	cadence  []float64 // steps/min
	altitude []float64 // m
	canyon   []bool    // bad sky
	lost     []bool    // no sky at all
	paused   []bool    // the timer stands still
	pauses   []recording.Span
}

const perS = 4 // body steps a second: 1/stepS

// body is the index of the body's step that ends at the device's second k.
func (v *view) body(k int) int { return (k+v.lateS)*perS - 1 }

func observe(s Session, m *motion, d Device, sky *sky, odo *odometer, lateS int, rng *rand.Rand) *recording.Recording {
	v := &view{n: int(m.legs[len(m.legs)-1].EndS) - lateS + 1, lateS: lateS}
	v.pauses = pauses(m, d, float64(lateS), rng)
	v.paused = make([]bool, v.n)
	for _, p := range v.pauses {
		for k := max(0, int(math.Ceil(p.StartS))); k < v.n && float64(k) < p.EndS; k++ {
			v.paused[k] = true
		}
	}
	odo.level = m.meanMPS()
	v.count(m, sky, odo)
	if d.OweS > 0 {
		v.owe(d, rng)
	}
	v.gauge(m, d, odo, rng)
	v.hear(m, d, rng)

	at := v.clock(d, rng)
	r := &recording.Recording{
		Name: s.Name, Format: "simulated", Sport: recording.Running, Place: s.Place,
		Start: s.Start.Add(time.Duration(lateS) * time.Second),
		T:     make([]float64, len(at)),
		Stops: v.pauses,
	}
	for i, k := range at {
		r.T[i] = float64(k)
	}
	r.Distance = sample(d.Distance, v.written(d, rng), at, d.DistanceStepM)
	r.Laps = v.laps(m, d, rng)
	if d.Laps == StepLaps {
		r.Plan = m.plan(s.Name)
	}
	v.respeed(d, at, r.Laps)
	r.Speed = sample(d.Speed, v.speed, at, d.SpeedStepMPS)
	r.HeartRate = sample(d.Heart != NoHeart, v.heart, at, 1)
	r.Cadence = sample(d.Cadence, v.cadence, at, 1)
	r.Altitude = sample(d.Altitude, v.altitude, at, 0.2)
	if d.Positions {
		r.Latitude, r.Longitude = v.fixes(s, m, d, at, rng)
	}
	r.Summary = recording.Summary{ElapsedS: r.Duration(), TimerS: r.Duration(), DistanceM: math.NaN()}
	for _, p := range r.Stops {
		r.Summary.TimerS -= p.Seconds()
	}
	if d.Distance {
		r.Summary.DistanceM = r.Distance.Value[len(at)-1]
	}
	return r
}

// sample takes the values at the recorded seconds, in steps of quantum.
func sample(on bool, value []float64, at []int, quantum float64) recording.Stream {
	if !on {
		return recording.Stream{}
	}
	st := recording.MakeStream(len(at))
	for i, k := range at {
		if !math.IsNaN(value[k]) {
			st.Set(i, math.Round(value[k]/quantum)*quantum)
		}
	}
	return st
}

// count runs the odometer under the sky. The last second is never lost: the runner
// stops the device in the open.
func (v *view) count(m *motion, sky *sky, odo *odometer) {
	v.odometer, v.canyon, v.lost = make([]float64, v.n), make([]bool, v.n), make([]bool, v.n)
	v.scale = slices.Repeat([]float64{odo.scale}, v.n)
	at := 0.0
	if i := v.body(0); i >= 0 {
		at = m.metres[i]
	}
	for k := 1; k < v.n; k++ {
		v.canyon[k], v.lost[k] = sky.next()
		v.lost[k] = v.lost[k] && k < v.n-1
		now := m.metres[v.body(k)]
		v.odometer[k] = odo.next(now-at, v.canyon[k], v.lost[k], v.paused[k])
		v.scale[k] = odo.now
		at = now
	}
}

// gauge fills the speed, cadence and altitude streams.
func (v *view) gauge(m *motion, d Device, odo *odometer, rng *rand.Rand) {
	v.speed, v.cadence, v.altitude = make([]float64, v.n), make([]float64, v.n), make([]float64, v.n)
	err := noise(rng, d.SpeedNoise, d.SpeedS)
	steps := noise(rng, 1.5, 3)
	air := noise(rng, 1.2, 400)
	up, down := lag(d.LagUpS), lag(d.LagDownS)
	shown, base := 0.0, 3*rng.NormFloat64()
	for k := range v.n {
		for j := range perS {
			i := v.body(k) - perS + 1 + j
			if i < 0 {
				continue
			}
			now := odo.flattened(m.mps[i]) * v.scale[k]
			if now > shown {
				shown += (now - shown) * up
			} else {
				shown += (now - shown) * down
			}
		}
		i := max(0, v.body(k))
		if d.SpeedOfS > 0 {
			shown = v.scale[k] * (m.metres[i] - m.metres[max(0, i-int(d.SpeedOfS)*perS)]) / d.SpeedOfS
		}
		e := err.next()
		if v.canyon[k] {
			e *= 3
		}
		v.speed[k] = max(0, shown+e)
		if shown < 0.25 {
			v.speed[k] = 0
		}
		if v.lost[k] {
			v.speed[k] = math.NaN()
		}
		if c := cadence(m.mps[i]); c > 0 {
			v.cadence[k] = math.Round(c + steps.next())
		}
		v.altitude[k] = m.altitude[i] + base + air.next()
	}
}

// respeed replaces the speed stream where the device has odd ways with it.
func (v *view) respeed(d Device, at []int, laps []recording.Lap) {
	if d.ZeroSpeed {
		clear(v.speed)
	}
	if d.Increments {
		for i, k := range at[1:] {
			v.speed[k] = (v.odometer[k] - v.odometer[at[i]]) / float64(k-at[i])
		}
	}
	if d.LapZero {
		i := 0
		for _, l := range laps {
			for i < len(at)-1 && float64(at[i]) < l.StartS {
				i++
			}
			v.speed[at[i]] = 0
		}
	}
}

// lag is the weight of a new value each body step for a time constant.
func lag(tauS float64) float64 {
	if tauS == 0 {
		return 1
	}
	return 1 - math.Exp(-stepS/tauS)
}

// hear fills the heart-rate stream.
func (v *view) hear(m *motion, d Device, rng *rand.Rand) {
	v.heart = make([]float64, v.n)
	if d.Heart == NoHeart {
		return
	}
	beat, behind := noise(rng, 1, 4), 1.0
	if d.Heart == Optical {
		beat, behind = noise(rng, 2.5, 15), 1-math.Exp(-1.0/8)
	}
	lockFrom, lockTo := -1, -1
	if rng.Float64() < d.LockP {
		lockFrom = rng.IntN(v.n)
		lockTo = lockFrom + 180 + rng.IntN(720)
	}
	silentTo := -1
	shown := m.heart[max(0, v.body(0))]
	for k := range v.n {
		shown += (m.heart[max(0, v.body(k))] - shown) * behind
		v.heart[k] = shown + beat.next()
		if k >= lockFrom && k < lockTo && v.cadence[k] > 0 {
			v.heart[k] = v.cadence[k] + rng.NormFloat64()
		}
		if rng.Float64() < 0.4/3600 {
			silentTo = k + 10 + rng.IntN(90)
		}
		if k < silentTo {
			v.heart[k] = math.NaN()
		}
	}
}

// clock is the seconds at which the device writes records.
func (v *view) clock(d Device, rng *rand.Rand) []int {
	at := make([]int, 0, v.n)
	next := 0
	for k := range v.n {
		if v.paused[k] {
			next = k + 1
			continue
		}
		turn := d.EveryS == 0 && k > 1 && math.Abs(v.speed[k]-v.speed[k-1]) > 0.35
		if k < next && !turn && k != v.n-1 || d.DropRecord && v.lost[k] && k > 0 {
			continue
		}
		at = append(at, k)
		next = k + d.gap(rng)
	}
	return at
}

// gap is the seconds to the next record. Smart recording writes a burst of
// single seconds now and then, and seldom lets more than nine pass.
func (d Device) gap(rng *rand.Rand) int {
	if d.EveryS > 0 {
		return int(d.EveryS)
	}
	switch p := rng.Float64(); {
	case p < 0.18:
		return 1
	case p < 0.97 || d.MaxGapS <= 9:
		return min(d.MaxGapS, 2+rng.IntN(7))
	}
	return 9 + rng.IntN(d.MaxGapS-8)
}
