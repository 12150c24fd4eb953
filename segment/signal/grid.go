package signal

import (
	"math"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
)

// medianStep is the median time between records in seconds.
func medianStep(t []float64) float64 {
	if len(t) < 2 {
		return 1
	}
	steps := make([]float64, 0, len(t)-1)
	for i := 1; i < len(t); i++ {
		steps = append(steps, t[i]-t[i-1])
	}
	return Select(steps, len(steps)/2)
}

// lay spreads cumulative distance over the cells and marks where nothing is
// known: gaps too long for smart recording in which the runner did not stand.
func (tr *Trace) lay(t, d []float64) {
	n := tr.Len()
	k := 0
	for b := 0; b <= n; b++ {
		x := float64(b)
		switch {
		case x <= t[0]:
			tr.Dist[b] = d[0]
		case x >= t[len(t)-1]:
			tr.Dist[b] = d[len(d)-1]
		default:
			for t[k+1] < x {
				k++
			}
			// Rounding must not carry it past the next record.
			tr.Dist[b] = min(d[k]+(d[k+1]-d[k])*(x-t[k])/(t[k+1]-t[k]), d[k+1])
		}
	}
	for i := range n {
		tr.Speed[i] = tr.Dist[i+1] - tr.Dist[i]
		tr.Known[i] = float64(i) > t[0]-1 && float64(i) < t[len(t)-1]
	}
	for i := 1; i < len(t); i++ {
		dt := t[i] - t[i-1]
		if dt <= longestGap {
			continue
		}
		v := (d[i] - d[i-1]) / dt
		for c := int(math.Ceil(t[i-1])); c < min(n, int(t[i])); c++ {
			if v >= ability.Standing && tr.Timer[c] {
				tr.Known[c] = false
			}
		}
	}
}

// even lays a stream on the grid by linear interpolation, NaN over gaps.
// It returns nil for a missing stream.
func even(t []float64, s recording.Stream, n int) []float64 {
	if s.Count() == 0 {
		return nil
	}
	return evenWhere(t, s, n, nil)
}

// evenWhere does the same with the values that are wanted; nil wants all.
func evenWhere(t []float64, s recording.Stream, n int, wanted func(i int, v float64) bool) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	last := -1
	for i := range t {
		v, ok := s.At(i)
		if !ok || math.IsNaN(v) || wanted != nil && !wanted(i, v) {
			continue
		}
		if last >= 0 && t[i]-t[last] <= longestGap {
			v0 := s.Value[last]
			for c := int(math.Ceil(t[last] - 0.5)); c < n && float64(c)+0.5 <= t[i]; c++ {
				if c >= 0 {
					out[c] = v0 + (v-v0)*(float64(c)+0.5-t[last])/(t[i]-t[last])
				}
			}
		}
		last = i
	}
	return out
}

// heartRate is the heart rate on the grid without values no runner has.
func heartRate(r *recording.Recording, n int) []float64 {
	wanted := func(_ int, v float64) bool { return v >= 30 && v <= 240 }
	k := 0
	for i := range r.Len() {
		if v, ok := r.HeartRate.At(i); ok && wanted(i, v) {
			k++
		}
	}
	if k == 0 || k*4 < r.Len() {
		return nil
	}
	return evenWhere(r.T, r.HeartRate, n, wanted)
}
