package signal

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

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
	tr.Dist = make([]float64, n+1)
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

// lags estimates the time constants, s, with which device speed follows a
// quicker and a slower runner. As above, the odometer's distance over a window,
// less the sum of device speed, is tau times the rises and falls in it, and a
// share of the sum where the two differ in scale: linear least squares. The
// odometer's noise is in what is explained, so it does not bias the fit; its
// own delay is added. Where pace hardly changes the fit is drawn to 3 and 5 s.
func (tr *Trace) lags() (up, down float64) {
	const window, stride = 20, 4 // s
	const weight = 2.0           // of the values it is drawn to, (m/s)^2
	n, v := tr.Len(), tr.DeviceSpeed
	// Normal equations for scale, up and down.
	a := mat.NewSymDense(3, []float64{1e-9, 0, 0, 0, weight, 0, 0, 0, weight})
	b := mat.NewVecDense(3, []float64{0, weight * (3 - odometerDelay), weight * (5 - odometerDelay)})
	row := mat.NewVecDense(3, nil)
	x := row.RawVector().Data
	// Sums over each stride, of which a window is a few.
	type sums struct {
		x     [3]float64 // m of device speed; m/s of rises and of falls
		blind bool       // nothing is known of some cell
	}
	strides := make([]sums, n/stride)
	for k := range strides {
		s := &strides[k]
		for i := k * stride; i < (k+1)*stride; i++ {
			s.x[0] += v[i]
			if i > 0 && i < n-1 {
				rise := (v[i+1] - v[i-1]) / 2
				s.x[1] += max(rise, 0)
				s.x[2] += min(rise, 0)
			}
			s.blind = s.blind || !tr.Known[i]
		}
	}
	for lo := 0; lo+window <= n; lo += stride {
		clear(x)
		blind := false
		for _, s := range strides[lo/stride : (lo+window)/stride] {
			for k := range x {
				x[k] += s.x[k]
			}
			blind = blind || s.blind
		}
		if blind {
			continue
		}
		y := tr.Dist[lo+window] - tr.Dist[lo] - x[0]
		a.SymRankOne(a, 1, row)
		b.AddScaledVec(b, y, row)
	}
	var factor mat.Cholesky
	var z mat.VecDense
	if !factor.Factorize(a) || factor.SolveVecTo(&z, b) != nil {
		return 3, 5
	}
	lag := func(k int) float64 { return min(max(z.AtVec(k)+odometerDelay, 0), longestLag) }
	return lag(1), lag(2)
}

// longestLag is beyond what devices were seen to do (from memory, no source), s.
const longestLag = 12.0
