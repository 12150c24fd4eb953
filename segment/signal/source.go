package signal

import (
	"fmt"
	"math"

	"example.org/rungs/segment/recording"
)

// choose picks the source of distance over time and says why: times (s) and
// cumulative metres from zero, only where both are known.
func (tr *Trace) choose(r *recording.Recording) (t, d []float64) {
	n := r.Len()
	enough := func(s recording.Stream) bool { return n > 0 && s.Count()*2 >= n }
	if enough(r.Distance) {
		var hold float64
		if t, d, hold = odometer(r.T, r.Distance); moves(d) {
			if hold > 0 {
				tr.Faults = append(tr.Faults, Fault{Span: recording.Span{EndS: r.Duration()}, Stream: Odometer, Code: heldDistance,
					Text: fmt.Sprintf("distance stays the same for up to %.0f s and then makes up for it, throughout; it is taken where it counts on", hold)})
			}
			tr.Source, tr.Reason = Odometer, "the odometer is complete and is not smoothed over seconds as device speed is"
			return t, d
		}
	}
	if enough(r.Speed) {
		if t, d = integrate(r.T, r.Speed, len(r.Stops) > 0); moves(d) {
			tr.Source, tr.Reason = DeviceSpeed, "there is no usable odometer"
			return t, d
		}
	}
	if enough(r.Latitude) && enough(r.Longitude) {
		if t, d = alongPositions(r); moves(d) {
			tr.Source, tr.Reason = Positions, "there is neither a usable odometer nor device speed"
			return t, d
		}
	}
	tr.Source, tr.Reason = Nothing, "the recording holds no usable distance, speed or positions"
	return nil, nil
}

// moves reports whether cumulative distance ever leaves zero: a sensor that is
// stuck or that was never there does not.
func moves(d []float64) bool { return len(d) > 0 && d[len(d)-1] > 0 }

// leastPauseS is the gap between records from which the device stood still with the runner, where
// the recording tells of no stops of its timer: a gap of smart recording is half as long
// (common practice, no source).
const leastPauseS = 30.0

// integrate sums device speed by the trapezoid rule; over a gap too long for
// smart recording the slower of its two ends is held, over a pause nothing is covered.
func integrate(t []float64, s recording.Stream, stopsTold bool) (ts, ds []float64) {
	var lastT, lastV, sum float64
	for i := range t {
		v, ok := s.At(i)
		if !ok || math.IsNaN(v) || v < 0 || v > fastest {
			continue
		}
		if len(ts) > 0 {
			dt := t[i] - lastT
			switch {
			case t[i]-t[i-1] > leastPauseS && !stopsTold: // no records at all
			case dt > longestGap:
				sum += dt * min(v, lastV)
			default:
				sum += dt * (v + lastV) / 2
			}
		}
		ts, ds = append(ts, t[i]), append(ds, sum)
		lastT, lastV = t[i], v
	}
	return ts, ds
}
