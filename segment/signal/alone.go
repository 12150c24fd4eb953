package signal

import (
	"math"

	"example.org/rungs/segment/recording"
)

// useSpeedAlone takes the lag out of distances that were summed from device speed, when there is
// nothing to measure it against: by the shape of its own changes.
func (tr *Trace) useSpeedAlone(r *recording.Recording) {
	if tr.Source != DeviceSpeed {
		return
	}
	n := tr.Len()
	v := evenWhere(r.T, r.Speed, n, func(_ int, v float64) bool { return v >= 0 && v <= fastest })
	for i := range v {
		if math.IsNaN(v[i]) || tr.doubted != nil && tr.doubted[i] {
			v[i] = tr.Dist[i+1] - tr.Dist[i]
		}
	}
	tr.DeviceSpeed = v
	if !rough(r.Speed) {
		tr.LagUpS, tr.LagDownS = ownLags(v, tr.Step, r.Place == recording.Treadmill)
	}
	free := tr.unlagged()
	was, now := 0.0, 0.0
	for i := range free {
		if tr.Known[i] {
			was, now = was+tr.Dist[i+1]-tr.Dist[i], now+free[i]
		}
	}
	if !(now > 0) || !(was > 0) {
		tr.DeviceSpeed, tr.LagUpS, tr.LagDownS = nil, 0, 0
		return
	}
	dist := make([]float64, n+1)
	for i := range free {
		step := tr.Dist[i+1] - tr.Dist[i]
		if tr.Known[i] {
			step = free[i] * was / now
		}
		dist[i+1] = dist[i] + step
	}
	tr.Dist, tr.Device, tr.Fused, tr.DelayS = dist, true, true, 0
}

// ownLags are the time constants, s, with which a speed approaches what it changes to, up and down:
// of first order, its rise per step of time falls by the same factor from step to step. That factor
// is taken from rises two and four steps after those that stand out, in which the noise of the
// first has no part; the time that runners take is in it. Few changes, or records too far
// apart to tell, leave the usual lags.
// A belt takes its time from and to standing, which is no lag, so those changes are left out.
func ownLags(v []float64, step float64, belt bool) (up, down float64) {
	const (
		steep   = 0.1 // m/s in a second, from which a rise stands out
		prior   = 0.7 // changes that the usual lags count for
		coarse  = 2.5 // s between records, above which a lag of some seconds is not seen
		longest = 0.8 // 9 s: what rises longer at one rate is no lag of first order
		// What runners take to change speed, s, as such rises show it (fitted on simulated devices
		// without a lag).
		runners = 2.0
	)
	up, down = usualLagUpS, usualLagDownS
	if belt { // its own speed or that of a sensor on the foot more often than not
		up, down = up/2, down/2
	}
	if step > coarse {
		return up, down
	}
	var near, far, events [2]float64
	last := [2]int{-60, -60}
	for i := 0; i+5 < len(v); i++ {
		a := v[i+1] - v[i]
		k := 0
		if a < 0 {
			k = 1
		}
		if math.Abs(a) < steep || belt && min(v[max(0, i-15)], v[min(len(v)-1, i+15)]) < 1 {
			continue
		}
		near[k] += a * (v[i+3] - v[i+2])
		far[k] += a * (v[i+5] - v[i+4])
		if i-last[k] > 20 {
			events[k]++
		}
		last[k] = i
	}
	lag := func(k int, usual float64) float64 {
		if !(near[k] > 0) {
			return usual * prior / (prior + events[k])
		}
		ratio := min(max(far[k]/near[k], 0.02), longest)
		own := math.Sqrt(max(0, sq(2/math.Log(ratio))-sq(runners)))
		return (usual*prior + own*events[k]) / (prior + events[k])
	}
	return lag(0, up), lag(1, down)
}

// rough says whether neighbouring changes of speed from record to record undo each other, as those of
// means over the time since the last record do; a smoothed speed has none of that. White
// noise has a correlation of -0.5.
func rough(speed recording.Stream) bool {
	const most = 0.6 // m/s, above which it is a change of pace
	var product, square float64
	for i := range speed.Value {
		u, ok0 := speed.At(i - 2)
		v, ok1 := speed.At(i - 1)
		w, ok2 := speed.At(i)
		if a, b := v-u, w-v; ok0 && ok1 && ok2 && math.Abs(a) < most && math.Abs(b) < most {
			product, square = product+a*b, square+(a*a+b*b)/2
		}
	}
	return product < -0.35*square
}
