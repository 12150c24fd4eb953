// Package signal turns the streams of a recording into one even, honest
// speed trace: which source was used and why, where it is blind, how noisy it
// is and how far it lags behind the runner.
package signal

import (
	"fmt"
	"math"

	"example.org/rungs/segment/recording"
)

// A Trace is speed on an even grid of seconds. Cell i covers the time from i
// to i+1 seconds after the recording's first record.
type Trace struct {
	Speed []float64 // m/s, mean over the cell, spikes removed
	Known []bool    // false where the recording says nothing of the cell
	Timer []bool    // false where the device's timer stood still
	Dist  []float64 // m, cumulative at the cell borders, spikes kept; len(Speed)+1 values

	DeviceSpeed []float64 // m/s, device speed as it is, when Device is set

	Effort []float64 // m/s, what changes are looked for in: Speed, or the flat speed of equal cost where hills matter

	Grade     []float64        // rise over run, smoothed; nil when altitude is missing or useless
	HeartRate []float64        // beats/min, NaN where unknown; nil when the stream is missing or unusable
	Locked    []recording.Span // where heart rate equals cadence, so is in doubt
	Cadence   []float64        // steps/min, NaN where unknown; nil when the stream is missing

	Source Source // of Dist
	Reason string // why that source, one sentence
	Device bool   // Speed is device speed, which was found calmer than the odometer and in step with it

	Step  float64 // s between records, median
	Fused bool    // Dist comes from device speed, lag taken out, scaled to the odometer

	DelayS float64 // s by which Dist still lags behind the runner

	LagUpS, LagDownS float64 // s, time constants with which device speed follows; taken out of Dist
	Noise            Noise
}

// Source names the stream that speed was taken from.
type Source string

// Sources of speed, in the order of preference.
const (
	Odometer    Source = "distance"
	DeviceSpeed Source = "speed"
	Positions   Source = "positions"
	Nothing     Source = "nothing"
)

// Noise describes the speed noise of a trace about a runner who holds an even
// speed: its standard deviation from cell to cell and the long-run standard
// deviation that governs means (sd of a mean over T seconds is LongRun/sqrt(T)).
type Noise struct {
	Sigma   float64 // m/s
	LongRun float64 // m/s * sqrt(s)

	// Quarter is the same read from means over a quarter of a minute, in which
	// errors of position still count: what stretches that short are held against.
	Quarter float64

	Odometer float64 // long-run value of the odometer, which Dist comes from; m/s * sqrt(s)
}

// Len is the number of cells, which is the number of whole seconds recorded.
func (tr *Trace) Len() int { return len(tr.Speed) }

// Describe says in one line what the trace was made from.
func (tr *Trace) Describe() string {
	return fmt.Sprintf("speed from %s: %s", tr.Source, tr.Reason)
}

// DistanceAt is the distance covered by t seconds after the first record, in
// metres, linear inside a cell and constant outside the recording.
func (tr *Trace) DistanceAt(t float64) float64 {
	n := len(tr.Speed)
	if n == 0 || !(t > 0) {
		return 0
	}
	if t >= float64(n) {
		return tr.Dist[n]
	}
	i := int(math.Floor(t))
	return tr.Dist[i] + (t-float64(i))*(tr.Dist[i+1]-tr.Dist[i])
}

// Covered is the distance from start to end in metres and its standard error
// from speed noise. NaN when the span is empty.
func (tr *Trace) Covered(start, end float64) (metres, se float64) {
	if !(end > start) || len(tr.Speed) == 0 {
		return math.NaN(), math.NaN()
	}
	return tr.DistanceAt(end) - tr.DistanceAt(start), tr.Noise.Odometer * math.Sqrt(end-start)
}

// Rescale multiplies all distances and speeds, and the noise of both, by a
// factor; relative errors stay as they were.
func (tr *Trace) Rescale(factor float64) {
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
}
