package signal

import "math"

// fuse replaces the noise of the odometer by the calm of device speed. The two
// agree on average (useDeviceSpeed saw to it), but over a rep the odometer
// wanders by several metres, while device speed only lags. The lag is measured
// (lags), taken out, and the sum of what is left is scaled so that the whole
// distance stays the odometer's.
//
// For a first-order lag of tau seconds the true distance over a span is the sum
// of the shown speed plus tau times the rise of the shown speed over the span,
// so taking it out adds no noise to sums.
func (tr *Trace) fuse() {
	n := tr.Len()
	v := tr.DeviceSpeed
	tr.LagUpS, tr.LagDownS = tr.lags()
	free := make([]float64, n)
	var own, odometer float64
	for i := range n {
		free[i] = tr.Dist[i+1] - tr.Dist[i]
		if !tr.Known[i] {
			continue
		}
		rise := 0.0
		if i > 0 && i < n-1 {
			rise = (v[i+1] - v[i-1]) / 2
		}
		tau := tr.LagUpS
		if rise < 0 {
			tau = tr.LagDownS
		}
		odometer += free[i]
		free[i] = math.Max(0, v[i]+tau*rise)
		own += free[i]
	}
	if own <= 0 || math.Abs(odometer/own-1) > 0.15 {
		return
	}
	scale := odometer / own
	for i := range n {
		if tr.Known[i] {
			free[i] *= scale
		}
		tr.Dist[i+1] = tr.Dist[i] + free[i]
	}
	tr.Noise.Odometer = fusedNoise * tr.Noise.LongRun
	tr.Fused, tr.DelayS = true, 0
}

// fusedNoise is by how much the error of fused distances exceeds what the noise
// of device speed alone explains, since no device is a first-order lag
// (measured on simulated devices).
const fusedNoise = 1.5

// lags estimates the time constants with which device speed follows a quicker
// and a slower runner: those for which the odometer's speed, so smoothed, is
// nearest to it in least squares. Both are averaged over some seconds first:
// noise of the odometer would make long time constants look better than they
// are, because they smooth it.
func (tr *Trace) lags() (up, down float64) {
	const half = 5
	n := tr.Len()
	odometer, device := make([]float64, 0, n), make([]float64, 0, n)
	var device1 float64
	for i := range min(2*half+1, n) {
		device1 += tr.DeviceSpeed[i]
	}
	for i := half; i+half+1 <= n; i++ {
		odometer = append(odometer, (tr.Dist[i+half+1]-tr.Dist[i-half])/(2*half+1))
		device = append(device, device1/(2*half+1))
		if i+half+1 < n {
			device1 += tr.DeviceSpeed[i+half+1] - tr.DeviceSpeed[i-half]
		}
	}
	taus := [...]float64{0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6.5, 8, 10}
	best := math.Inf(1)
	for _, u := range taus {
		for _, d := range taus {
			fu, fd := 1-math.Exp(-1/u), 1-math.Exp(-1/d)
			shown, ss := 0.0, 0.0
			for i, now := range odometer {
				if now > shown {
					shown += (now - shown) * fu
				} else {
					shown += (now - shown) * fd
				}
				if tr.Known[i+half] {
					e := shown - device[i]
					ss += e * e
				}
			}
			if ss < best {
				best, up, down = ss, u, d
			}
		}
	}
	return up, down
}
