package signal

import "math"

// The time constants, s, that devices have where the recording does not show them, and their
// standard deviation (from memory, no source).
const (
	usualLagUpS, usualLagDownS, lagSD = 3.0, 5.0, 3.0
	longestLag                        = 12.0 // s, beyond what devices were seen to do (from memory, no source)
)

// A lagWindow is what a stretch of the recording tells of the lags.
type lagWindow struct {
	x [3]float64 // m of device speed; m/s of rises and of falls in it
	y float64    // m that the odometer counted more
}

const lagWindowS, lagStrideS = 20, 4

// lags estimates the time constants, s, with which device speed follows a
// quicker and a slower runner. As in fuse, the odometer's distance over a window,
// less the sum of device speed, is tau times the rises and falls in it, and a
// share of the sum where the two differ in scale: linear least squares. The
// odometer's noise is in what is explained, so it does not bias the fit; its
// own delay is added. Where pace hardly changes for that noise the fit is drawn to the usual lags,
// and windows that nothing explains count less (Huber weights).
func (tr *Trace) lags() (up, down float64) {
	windows := tr.lagWindows()
	z := [3]float64{0, usualLagUpS - odometerDelay, usualLagDownS - odometerDelay}
	off := make([]float64, len(windows))
	for range 3 {
		for i, w := range windows {
			off[i] = math.Abs(w.y - z[0]*w.x[0] - z[1]*w.x[1] - z[2]*w.x[2])
		}
		sd := max(scaleOf(append([]float64(nil), off...)), 0.3)
		z = solveLags(windows, off, sd)
	}
	lag := func(k int) float64 { return min(max(z[k]+odometerDelay, 0), longestLag) }
	return lag(1), lag(2)
}

// solveLags is one weighted fit of scale, up and down, drawn to the usual lags by the noise, m, of
// a window; a second is in as many windows as there are strides in one.
func solveLags(windows []lagWindow, off []float64, sd float64) [3]float64 {
	const beyond = 4.0 // sd, from where windows count less
	pull := sq(sd/lagSD) * lagWindowS / lagStrideS
	usual := [3]float64{0, usualLagUpS - odometerDelay, usualLagDownS - odometerDelay}
	// Normal equations, of which a is symmetric.
	a := [3][3]float64{{1e-9}, {0, pull}, {0, 0, pull}}
	b := [3]float64{0, pull * usual[1], pull * usual[2]}
	for i := range windows {
		w := &windows[i]
		weight := 1.0
		if off[i] > beyond*sd {
			weight = beyond * sd / off[i]
		}
		for k, x := range w.x {
			b[k] += weight * x * w.y
			for m := 0; m <= k; m++ {
				a[k][m] += weight * x * w.x[m]
			}
		}
	}
	return solve3(a, b)
}

// solve3 solves three equations with a symmetric positive matrix, of which the lower half is
// given, by its Cholesky factor.
func solve3(a [3][3]float64, b [3]float64) (x [3]float64) {
	for k := range 3 {
		for m := 0; m <= k; m++ {
			for c := range m {
				a[k][m] -= a[k][c] * a[m][c]
			}
			if m < k {
				a[k][m] /= a[m][m]
			} else {
				a[k][k] = math.Sqrt(max(a[k][k], 1e-12))
			}
		}
	}
	for k := range 3 {
		for c := range k {
			b[k] -= a[k][c] * b[c]
		}
		b[k] /= a[k][k]
	}
	for k := 2; k >= 0; k-- {
		for c := k + 1; c < 3; c++ {
			b[k] -= a[c][k] * b[c]
		}
		b[k] /= a[k][k]
	}
	return b
}

// lagWindows are the windows in which both streams are believed throughout.
func (tr *Trace) lagWindows() []lagWindow {
	n, v := tr.Len(), tr.DeviceSpeed
	// Sums over each stride, of which a window is a few.
	strides, blind := make([][3]float64, n/lagStrideS), make([]bool, n/lagStrideS)
	for k := range strides {
		s := &strides[k]
		for i := k * lagStrideS; i < (k+1)*lagStrideS; i++ {
			s[0] += v[i]
			if i > 0 && i < n-1 {
				rise := (v[i+1] - v[i-1]) / 2
				s[1] += max(rise, 0)
				s[2] += min(rise, 0)
			}
			blind[k] = blind[k] || !tr.trusts(i)
		}
	}
	out := make([]lagWindow, 0, len(strides))
	for lo := 0; lo+lagWindowS <= n; lo += lagStrideS {
		var w lagWindow
		unknown := false
		for k := lo / lagStrideS; k < (lo+lagWindowS)/lagStrideS; k++ {
			for c := range w.x {
				w.x[c] += strides[k][c]
			}
			unknown = unknown || blind[k]
		}
		if !unknown {
			w.y = tr.Dist[lo+lagWindowS] - tr.Dist[lo] - w.x[0]
			out = append(out, w)
		}
	}
	return out
}
