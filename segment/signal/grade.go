package signal

import (
	"math"

	"example.org/rungs/segment/recording"
)

// CostOfRunning is the metabolic cost of running on a slope, J/(kg m), for
// grades from -0.45 to 0.45 (rise over run; beyond that the ends are used). It is
// 3.6 on the flat and NaN for NaN.
//
// Minetti et al. 2002, J. Appl. Physiol. 93:1039-1046; the coefficients are
// from memory and were compared with the values measured in the abstract.
func CostOfRunning(grade float64) float64 {
	i := min(max(grade, -0.45), 0.45)
	return ((((155.4*i-30.4)*i-43.3)*i+46.3)*i+19.5)*i + 3.6
}

// grade estimates the slope along the run, rise over run for each cell:
// altitude over distance, by least squares over the 40 m to either side. It is
// nil when there is no altitude worth the name.
func grade(r *recording.Recording, tr *Trace) []float64 {
	n := tr.Len()
	alt := even(r.T, r.Altitude, n)
	if alt == nil || n == 0 || tr.Source == Nothing {
		return nil
	}
	first, lowest, highest := math.NaN(), math.Inf(1), math.Inf(-1)
	for _, a := range alt {
		if math.IsNaN(a) {
			continue
		}
		if math.IsNaN(first) {
			first = a
		}
		lowest, highest = min(lowest, a), max(highest, a)
	}
	if !(highest-lowest > 3) { // within barometer drift: call it flat
		return nil
	}
	// Sums of x = distance and y = altitude over a window that holds 80 m.
	const window = 40.0
	out := make([]float64, n)
	lo, hi := 0, 0
	var sx, sy, sxx, sxy, m float64
	add := func(i int, w float64) {
		if math.IsNaN(alt[i]) {
			return
		}
		x, y := tr.Dist[i]-tr.Dist[0], alt[i]-first
		sx, sy, sxx, sxy, m = sx+w*x, sy+w*y, sxx+w*x*x, sxy+w*x*y, m+w
	}
	for i := range n {
		for hi < n && tr.Dist[hi] <= tr.Dist[i]+window {
			add(hi, 1)
			hi++
		}
		for tr.Dist[lo] < tr.Dist[i]-window {
			add(lo, -1)
			lo++
		}
		if v := sxx - sx*sx/m; v > m*25 { // no: where nothing is known
			out[i] = min(max((sxy-sx*sy/m)/v, -0.45), 0.45)
		} else if i > 0 {
			out[i] = out[i-1]
		}
	}
	return out
}

// effort is speed with the runner's own answer to slopes taken out. Nobody
// runs hills at exactly even cost: how much of the cost of climbing a runner
// gives away, and how much of the gain of descending they take, is estimated
// from the recording itself, as two exponents between 0 (even pace) and 1 (even
// cost). Changes between neighbouring half minutes are used, so that the few
// changes that come with reps are outliers, which the fit weighs down.
func (tr *Trace) effort() []float64 {
	if tr.Grade == nil {
		return tr.Speed
	}
	const block = 30
	n := tr.Len()
	flat := CostOfRunning(0)
	cost := make([]float64, n) // log cost ratio
	for i, g := range tr.Grade {
		cost[i] = math.Log(CostOfRunning(g) / flat)
	}
	var dv, du, dd []float64
	prev := [3]float64{math.NaN()}
	for lo := 0; lo+block <= n; lo += block {
		cur := [3]float64{}
		k := 0.0
		for i := lo; i < lo+block; i++ {
			if tr.Known[i] && tr.Speed[i] > 1 {
				cur[0] += math.Log(tr.Speed[i])
				cur[1] += max(cost[i], 0)
				cur[2] += min(cost[i], 0)
				k++
			}
		}
		if k < block*0.8 {
			prev[0] = math.NaN()
			continue
		}
		for c := range cur {
			cur[c] /= k
		}
		if !math.IsNaN(prev[0]) {
			dv, du, dd = append(dv, prev[0]-cur[0]), append(du, cur[1]-prev[1]), append(dd, cur[2]-prev[2])
		}
		prev = cur
	}
	up, down := slopes(dv, du, dd)
	if up < 0.1 && down < 0.1 {
		return tr.Speed
	}
	out := make([]float64, n)
	for i, v := range tr.Speed {
		out[i] = v * math.Exp(up*max(cost[i], 0)+down*min(cost[i], 0))
	}
	// A runner whose speed changes for other reasons fits the slopes by chance: then taking
	// them out makes speed no calmer.
	if unrest(out, tr.Known) > calmer*unrest(tr.Speed, tr.Known) {
		return tr.Speed
	}
	return out
}

// calmer is what must be left of the unrest of speed when slopes are taken out, so that they
// are believed to be its cause (common practice, no source).
const calmer = 0.95

// unrest is the sum of the changes of the logarithm of speed from half minute to half minute
// of running.
func unrest(speed []float64, known []bool) float64 {
	const block = 30
	total, last := 0.0, math.NaN()
	for lo := 0; lo+block <= len(speed); lo += block {
		sum, k := 0.0, 0.0
		for i := lo; i < lo+block; i++ {
			if known[i] && speed[i] > 1 {
				sum, k = sum+speed[i], k+1
			}
		}
		v := math.NaN()
		if k > block/2 {
			v = math.Log(sum / k)
		}
		if d := math.Abs(v - last); !math.IsNaN(d) {
			total += d
		}
		last = v
	}
	return total
}

// EvenCost is the speed on the flat that would cost the same, m/s for each
// cell, whatever the runner made of the slopes (Minetti et al. 2002). It is nil
// when the grade is unknown or hardly matters: under 1.5 % in root mean square
// while running.
func (tr *Trace) EvenCost() []float64 {
	if tr.Grade == nil {
		return nil
	}
	flat := CostOfRunning(0)
	out := make([]float64, tr.Len())
	var sum, k float64
	for i, g := range tr.Grade {
		out[i] = tr.Speed[i] * CostOfRunning(g) / flat
		if tr.Speed[i] > 1 {
			sum, k = sum+g*g, k+1
		}
	}
	if k == 0 || math.Sqrt(sum/k) < 0.015 {
		return nil
	}
	return out
}

// slopes fits y = a*u + b*d by iterated reweighting (Huber), with a little
// pull towards zero, and keeps both within 0 and 1.
func slopes(y, u, d []float64) (a, b float64) {
	if len(y) < 8 {
		return 0, 0
	}
	w := make([]float64, len(y))
	for i := range w {
		w[i] = 1
	}
	resid := make([]float64, len(y))
	for range 8 {
		const pull = 2e-3 // of the scale of a few blocks with a change of 3 % of grade
		uu, ud, dd, uy, dy := pull, 0.0, pull, 0.0, 0.0
		for i := range y {
			uu += w[i] * u[i] * u[i]
			ud += w[i] * u[i] * d[i]
			dd += w[i] * d[i] * d[i]
			uy += w[i] * u[i] * y[i]
			dy += w[i] * d[i] * y[i]
		}
		det := uu*dd - ud*ud
		a, b = (uy*dd-dy*ud)/det, (dy*uu-uy*ud)/det
		for i := range y {
			resid[i] = math.Abs(y[i] - a*u[i] - b*d[i])
		}
		scale := 1.4826 * Select(resid, len(resid)/2)
		for i := range y {
			w[i] = 1
			if r := math.Abs(y[i] - a*u[i] - b*d[i]); r > 1.345*scale {
				w[i] = 1.345 * scale / r
			}
		}
	}
	return min(max(a, 0), 1), min(max(b, 0), 1)
}
