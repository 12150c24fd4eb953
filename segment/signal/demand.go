package signal

import "math"

// The mean response of heart rate to a change of running speed is of first
// order: gain 24.2 (sd 8.3) bpm per m/s and time constant 57.6 (sd 23.6) s, from
// 24 people on a treadmill (BioMed Eng OnLine 2015, doi 10.1186/s12938-015-0112-7).
const (
	HeartGain = 24.2 // beats/min per m/s
	HeartTauS = 57.6 // s
)

// demand inverts that response: the speed that would explain the heart rate,
// up to a constant, which is set so that the median is three metres a second.
// It is all there is to go by when a recording holds nothing but heart rate;
// it shows when effort changed to within some seconds, not how fast was run.
func demand(hr []float64) (speed []float64, known []bool) {
	n := len(hr)
	speed, known = make([]float64, n), make([]bool, n)
	// Slope and level by least squares over 21 s.
	const half = 10
	for i := range n {
		var m, st, sy, stt, sty float64
		for k := max(0, i-half); k <= min(n-1, i+half); k++ {
			if y := hr[k]; !math.IsNaN(y) {
				t := float64(k - i)
				m, st, sy, stt, sty = m+1, st+t, sy+y, stt+t*t, sty+t*y
			}
		}
		if m < half {
			continue
		}
		slope := (m*sty - st*sy) / (m*stt - st*st)
		level := (sy - slope*st) / m
		speed[i], known[i] = (level+HeartTauS*slope)/HeartGain, true
	}
	var all []float64
	for i, v := range speed {
		if known[i] {
			all = append(all, v)
		}
	}
	if len(all) == 0 {
		return speed, known
	}
	middle := Select(all, len(all)/2)
	last := 0.0
	for i := range speed {
		if !known[i] {
			speed[i] = last
			continue
		}
		speed[i] = min(max(speed[i]-middle+3, 0), 8)
		last = speed[i]
	}
	return speed, known
}
