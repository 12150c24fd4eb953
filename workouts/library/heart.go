package library

import (
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/trend"
)

// splitByHeart splits a recording that has no speed, but heart rate, by the
// speed that the heart answered to. The second session knows times only; ok is
// false when there is too little heart rate.
//
// A first-order response h' = (d - h)/tau is turned round: the heart rate that
// it was on its way to is d = h + tau h', and 24.2 beats/min are 1 m/s (the
// constants above). The level is unknown and taken as that of easy running.
func splitByHeart(s *segment.Session) (*segment.Session, bool) {
	h, ok := filled(s.Trace.HeartRate)
	if !ok {
		return nil, false
	}
	h = smoothed(h, heartSmoothS)
	demand := make([]float64, len(h))
	for i := range h {
		a, b := max(i-1, 0), min(i+1, len(h)-1)
		demand[i] = h[i] + signal.HeartTauS*(h[b]-h[a])/float64(b-a)
	}
	level := trend.Median(demand)
	r := &recording.Recording{Name: s.Recording.Name, Start: s.Recording.Start, Place: s.Recording.Place, Speed: recording.MakeStream(len(h))}
	for i, d := range demand {
		r.T = append(r.T, float64(i))
		r.Speed.Set(i, math.Max(easySpeed+(d-level)/signal.HeartGain, slowest))
	}
	split, err := segment.Split(r)
	return split, err == nil
}

const (
	heartSmoothS = 5.0 // standard deviation of the smoothing, s: the derivative is noisy
	easySpeed    = 2.9 // m/s
	slowest      = 0.3 // m/s
)

// filled bridges short gaps of a heart rate, NaN where unknown; ok is false
// when more than a fifth is unknown.
func filled(heart []float64) (h []float64, ok bool) {
	h = slices.Clone(heart)
	last, unknown := -1, 0
	for i, v := range h {
		if math.IsNaN(v) {
			unknown++
			continue
		}
		for k := last + 1; k < i; k++ {
			if last < 0 {
				h[k] = v
			} else {
				h[k] = h[last] + (v-h[last])*float64(k-last)/float64(i-last)
			}
		}
		last = i
	}
	for k := last + 1; last >= 0 && k < len(h); k++ {
		h[k] = h[last]
	}
	return h, len(h) >= 60 && unknown*5 <= len(h)
}

// smoothed is a moving average with Gaussian weights.
func smoothed(v []float64, sd float64) []float64 {
	reach := int(3 * sd)
	out := make([]float64, len(v))
	for i := range v {
		sum, weights := 0.0, 0.0
		for k := max(i-reach, 0); k <= min(i+reach, len(v)-1); k++ {
			w := math.Exp(-sq(float64(k-i)/sd) / 2)
			sum, weights = sum+w*v[k], weights+w
		}
		out[i] = sum / weights
	}
	return out
}
