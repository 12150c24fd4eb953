package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// heartFollows asks whether heart rate went with the labels. The labelled speed
// is passed through the first-order response of Hunt et al. 2015 (doi
// 10.1186/s12938-015-0112-7: 24.2 bpm per m/s, time constant 57.6 s) and heart
// rate is regressed on it beside a linear drift. A heart that stays level while
// the labels call for a clear swing speaks against them.
func (j *judge) heartFollows(r reading) float64 {
	hr := j.tr.HeartRate
	if hr == nil || j.tr.Source == signal.Nothing || len(j.tr.Locked) > 0 && j.tr.LockedShare() > 0.2 {
		return 0
	}
	n := len(hr)
	level := make([]float64, n)
	const every = 4 // s
	fill := func(p piece) {
		for i := p.lo; i < p.hi; i++ {
			level[i] = p.mean
		}
	}
	fill(r.before)
	fill(r.after)
	for _, w := range r.works {
		fill(w)
	}
	for _, b := range r.between {
		fill(b)
	}
	const tau, gain = signal.HeartTauS, signal.HeartGain
	follow := 1 - math.Exp(-every/tau)
	x := level[0]
	// Normal equations of hr = a + b t + c x, every fourth second after the
	// first two minutes, in which every heart climbs.
	var m [3][4]float64
	var k, sx, sxx, sy, syy float64
	for i := 0; i < n; i += every {
		x += (level[i] - x) * follow
		if i < 120 || math.IsNaN(hr[i]) {
			continue
		}
		row := [4]float64{1, float64(i) / 1000, x, hr[i]}
		for a := range 3 {
			for b := range 4 {
				m[a][b] += row[a] * row[b]
			}
		}
		k, sx, sxx, sy, syy = k+1, sx+x, sxx+x*x, sy+hr[i], syy+hr[i]*hr[i]
	}
	if k < 60 || k*4 < 0.5*float64(n-120) {
		return 0
	}
	swing := gain * math.Sqrt(max(0, sxx/k-sq(sx/k)))
	if swing < 2.5 {
		return 0
	}
	c, ok := solveLast(m)
	if !ok {
		return 0
	}
	weight := min(1, (swing-2.5)/2)
	if c < 9 {
		return -weight * min(12, (9-c)*1.2)
	}
	bonus := min(1.5, (c-9)/6)
	if r.runningRests() {
		// Stops and walks lower heart rate whether meant or not; running slower by
		// a little, with the heart going along, is meant.
		if spread := syy/k - sq(sy/k); spread > 0 {
			bonus += 3 * min(1, sq(c)*(sxx/k-sq(sx/k))/spread)
		}
	}
	return weight * bonus
}

// runningRests reports whether all recoveries are running.
func (l labelling) runningRests() bool {
	for _, b := range l.between {
		if b.hi > b.lo && (b.mean < 0.65*l.works[0].mean || b.mean < 1.8) {
			return false
		}
	}
	return true
}

// solveLast solves three equations by elimination for the last unknown.
func solveLast(m [3][4]float64) (float64, bool) {
	for p := range 2 {
		if m[p][p] == 0 {
			return 0, false
		}
		for r := p + 1; r < 3; r++ {
			f := m[r][p] / m[p][p]
			for c := p; c < 4; c++ {
				m[r][c] -= f * m[p][c]
			}
		}
	}
	if math.Abs(m[2][2]) < 1e-6 {
		return 0, false
	}
	return m[2][3] / m[2][2], true
}
