// Package signal turns the streams of a recording into one even, honest
// speed trace: which source was used and why, where it is blind, how noisy it
// is and how far it lags behind the runner.
//
// Time is seconds since the recording's first record, by the wall clock, and
// everything lies on a grid of whole seconds. Values are in SI units but for
// heart rate and cadence, which are per minute. NaN is found in heart rate and
// cadence only.
package signal

import (
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// A Trace is speed on an even grid of seconds. Cell i covers the time from i
// to i+1 seconds after the recording's first record; a list has one value for
// each of the Len cells unless it says otherwise.
type Trace struct {
	Speed []float64 // m/s, 0 to 12, mean over the cell, spikes removed; from heart rate alone, the speed that would explain it (see HeartGain)
	Known []bool    // false where the recording says nothing of the cell, so that Speed and Dist are made up: straight lines, or zero
	Timer []bool    // false where the device's timer stood still
	Dist  []float64 // m, cumulative from 0 at the cell borders, never falling, spikes kept; Len+1 values, all 0 when Source is Nothing

	// Shown is what the source itself counts, m, like Dist: what a runner reads from the
	// device's display while running, noise and all. The same memory as Dist unless Fused
	// or rescaled.
	Shown []float64

	DeviceSpeed []float64 // m/s, device speed as it is (where it is missing, the odometer's); nil unless Device is set

	// Effort is what changes are looked for in, m/s: Speed itself (the same
	// memory), or where hills matter Speed with the runner's own answer to slopes
	// taken out.
	Effort []float64

	Grade     []float64        // rise over run, -0.45 to 0.45, smoothed over 80 m; nil when altitude is missing or spans under 3 m
	HeartRate []float64        // beats/min, 30 to 240, at the middle of the cell, NaN where unknown; nil when fewer than a quarter of the records have it
	Locked    []recording.Span // where heart rate equals cadence, so is in doubt; in order and apart
	Cadence   []float64        // steps/min at the middle of the cell, NaN where unknown; nil when the stream is missing

	Source Source // of Dist
	Reason string // why that source, a clause that fits after a colon
	Device bool   // device speed was found calmer than the odometer and in step with it, or is all there is, so changes of pace are its

	Step  float64 // s between records, median; 1 when there are fewer than two
	Fused bool    // Dist has the lags taken out of what it comes from: the odometer and device speed, each by its weight, or device speed alone

	// DelayS is by how many seconds Dist still lags behind the runner: 0 when
	// Fused and for positions, which are averaged to both sides, else what was measured for odometers.
	DelayS float64

	LagUpS, LagDownS float64 // s, time constants with which device speed follows a quicker and a slower runner; 0 unless Device is set
	LeftS            float64 // s, what remains of that lag when it has been taken out, since no device is quite of first order
	Noise            Noise

	// Faults are where a stream was not believed, in order of their streams; each is worth a warning.
	Faults []Fault

	doubted    []bool  // cells in which the source is not believed; nil when it is throughout
	usual      float64 // mean speed while moving, m/s
	unsteady   float64 // times that the streams differ more than where they are calm, where fused
	countNoise float64 // long-run noise of the odometer, less what the runner varies by, where fused, m/s * sqrt(s)
	fusedNoise float64 // the same of both together

	own []bool // cells of DeviceSpeed that are the device's and believed; nil for all of them
}

// Source names the stream that distance, and mostly speed, was taken from.
type Source string

// Sources of speed, in the order of preference. The first is taken that half of
// the records have and that moves: a stuck odometer and a speed of zero throughout
// are no source.
const (
	Odometer    Source = "distance"
	DeviceSpeed Source = "speed" // no more than 12 m/s, summed by the trapezoid rule
	Positions   Source = "positions"
	Nothing     Source = "nothing"
)

// Noise describes the speed noise of a trace about a runner who holds an even
// speed. The values are finite and have a floor, as no device is exact.
type Noise struct {
	// Sigma is the standard deviation of the change from cell to cell over the
	// square root of 2, m/s: that of Speed itself if its noise were white.
	Sigma float64

	// LongRun is the long-run standard deviation, which governs means, m/s *
	// sqrt(s): that of a mean over T seconds is LongRun/sqrt(T). Noise that hangs
	// together for 4 s is seen a fifth too small, being read from blocks of 15 s.
	LongRun float64

	// Quarter is the same read from means over a quarter of a minute, in which
	// errors of position still count: what stretches that short are held against.
	Quarter float64

	// Grain is what the odometer is rounded to, m; 0 where speed does not come from it alone or it is told finer than by the metre.
	Grain float64

	Odometer float64 // long-run value of Dist; m/s * sqrt(s)

	EndM   float64 // standard error of a distance from what is left of lags at its two ends, m
	Wander float64 // standard deviation of the scale within the run, as a share; 0 where nothing speaks for it
	Lean   float64 // by what share of the difference from the run's mean speed a speed may err; 0 as above
}

// Len is the number of cells: the seconds recorded, rounded up.
func (tr *Trace) Len() int { return len(tr.Speed) }

// Unsteady is how many times more the streams differ in the mean than where they are calm, 1 to 3; 1 for one stream.
func (tr *Trace) Unsteady() float64 { return max(tr.unsteady, 1) }

// DistanceAt is the distance covered by t seconds after the first record, in
// metres, linear inside a cell and constant outside the recording. It does not
// allow for DelayS, and is 0 for a t of NaN.
func (tr *Trace) DistanceAt(t float64) float64 { return along(tr.Dist, t) }

// ShownAt is the distance that the device shows t seconds after the first record, m:
// Shown, as DistanceAt is Dist.
func (tr *Trace) ShownAt(t float64) float64 { return along(tr.Shown, t) }

// along reads a cumulative list at t.
func along(list []float64, t float64) float64 {
	n := len(list) - 1
	if n <= 0 || !(t > 0) {
		return 0
	}
	if t >= float64(n) {
		return list[n]
	}
	i := int(math.Floor(t))
	return list[i] + (t-float64(i))*(list[i+1]-list[i])
}

// RunBy is the distance run by t seconds after the first record, in metres: DistanceAt
// with DelayS taken out, but for the first second, before which nothing was run.
func (tr *Trace) RunBy(t float64) float64 {
	return tr.DistanceAt(t + tr.DelayS*min(max(t, 0), 1))
}

// Rescale multiplies all distances and speeds, and the noise of both, by a
// factor; relative errors stay as they were, and so does what was shown.
func (tr *Trace) Rescale(factor float64) {
	if len(tr.Dist) > 0 && len(tr.Shown) > 0 && &tr.Dist[0] == &tr.Shown[0] {
		tr.Dist = slices.Clone(tr.Dist)
	}
	for i := range tr.Dist {
		tr.Dist[i] *= factor
	}
	scaled := [][]float64{tr.Speed, tr.DeviceSpeed}
	if len(tr.Effort) > 0 && &tr.Effort[0] != &tr.Speed[0] {
		scaled = append(scaled, tr.Effort)
	}
	for _, list := range scaled {
		for i := range list {
			list[i] *= factor
		}
	}
	tr.Noise.Sigma *= factor
	tr.Noise.LongRun *= factor
	tr.Noise.Quarter *= factor
	tr.Noise.Odometer *= factor
	tr.Noise.EndM *= factor
	tr.usual *= factor
}
