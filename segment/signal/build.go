package signal

import (
	"math"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
)

const (
	// longestGap is the longest time between records that smart recording
	// leaves while the runner runs on, with a margin (common practice, no source).
	longestGap = 16.0
	// odometerDelay is by how much an odometer lags, s: the filters in it, about
	// half a second, and the second it counts over (measured on simulated devices
	// that match open recordings).
	odometerDelay = 0.6
	// fastest is beyond any runner over a whole second; the men's 100 m record
	// holds about 12 m/s for a moment.
	fastest = 12.0
)

// Build makes the trace of a recording, which it leaves as it is. It never
// fails: a recording without any source of speed gives a trace with Source
// Nothing and no distance, whose speed is the demand on the heart where there is
// heart rate, and otherwise zero and nowhere known. Times must increase from
// zero; values that no sensor measures are left out. Memory grows with the
// recording's duration, not with its records.
func Build(r *recording.Recording) *Trace {
	n := int(math.Ceil(r.Duration()))
	tr := &Trace{
		Speed: make([]float64, n),
		Known: make([]bool, n),
		Timer: make([]bool, n),
		Dist:  make([]float64, n+1),
		Step:  medianStep(r.T),

		DelayS: odometerDelay,
	}
	for i := range tr.Timer {
		tr.Timer[i] = true
	}
	for _, s := range r.Stops {
		for i := max(0, int(math.Round(s.StartS))); i < min(n, int(math.Round(s.EndS))); i++ {
			tr.Timer[i] = false
		}
	}
	tr.HeartRate = heartRate(r, n)
	t, d := tr.choose(r)
	if tr.Source == Positions {
		tr.DelayS = 0 // they are averaged to both sides
	}
	if len(t) >= 2 {
		tr.lay(t, calm(t, d))
		tr.Shown = tr.Dist
		if onFoot(r) {
			tr.dropImpossible(r)
		}
		tr.useDeviceSpeed(r)
		tr.useSpeedAlone(r)
		for i := range n {
			tr.Speed[i] = tr.Dist[i+1] - tr.Dist[i]
		}
		tr.Speed = median9(tr.Speed)
		tr.usual = meanMoving(tr.Speed)
	} else {
		tr.Shown = tr.Dist
	}
	tr.Cadence = even(r.T, r.Cadence, n)
	tr.Locked = recording.Locked(r.T, r.HeartRate, r.Cadence)
	for i := range tr.Locked { // the last record stands for a second of its own
		tr.Locked[i].EndS = math.Min(tr.Locked[i].EndS, float64(n))
	}
	tr.Grade = grade(r, tr)
	if tr.Source == Nothing && tr.HeartRate != nil {
		tr.Speed, tr.Known = demand(tr.HeartRate)
	}
	tr.measureNoise(r.Place)
	if tr.Source == Odometer && !tr.Fused {
		tr.Noise.Grain = grainOf(r.Distance)
	}
	tr.Effort = tr.effort()
	return tr
}

// onFoot says whether a recording may be that of a runner.
func onFoot(r *recording.Recording) bool {
	return r.Sport == recording.Running || r.Sport == recording.Walking || r.Sport == recording.SportUnknown
}

// meanMoving is the mean of the speeds at which somebody moved, m/s.
func meanMoving(speed []float64) float64 {
	sum, k := 0.0, 0.0
	for _, v := range speed {
		if v > ability.Standing {
			sum, k = sum+v, k+1
		}
	}
	return sum / max(k, 1)
}
