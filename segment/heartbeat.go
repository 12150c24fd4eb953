package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// pulse is heart rate as heartFollows reads it.
type pulse struct {
	rate []float64 // beats/min every fourth second, NaN where unknown and for the first two minutes, in which every heart climbs
	// Sums over what is known: of 1, t and their squares, and of rate and its
	// products with these; t in 1000 s.
	k, st, stt, sy, sty, syy float64
}

const pulseEvery = 4 // s

// newPulse is nil when heart rate says nothing: too little of it, or in doubt.
func newPulse(tr *signal.Trace) *pulse {
	n := len(tr.HeartRate)
	if n == 0 || tr.Source == signal.Nothing || len(tr.Locked) > 0 && tr.LockedShare() > 0.2 {
		return nil
	}
	p := &pulse{rate: make([]float64, (n+pulseEvery-1)/pulseEvery)}
	for c := range p.rate {
		i := c * pulseEvery
		y, t := tr.HeartRate[i], float64(i)/1000
		if i < 120 || math.IsNaN(y) {
			p.rate[c] = math.NaN()
			continue
		}
		p.rate[c] = y
		p.k, p.st, p.stt = p.k+1, p.st+t, p.stt+t*t
		p.sy, p.sty, p.syy = p.sy+y, p.sty+t*y, p.syy+y*y
	}
	if p.k < 60 || p.k*pulseEvery < 0.5*float64(n-120) {
		return nil
	}
	return p
}

// heartbeat asks whether heart rate went with the labels. The labelled speed is passed
// through the first-order response of Hunt et al. 2015 (doi 10.1186/s12938-015-0112-7:
// 24.2 beats/min per m/s, time constant 57.6 s) and heart rate is regressed on it beside
// a linear drift. A heart that stays level while the labels call for a clear swing speaks
// against them.
func (j *judge) heartbeat(r *reading) {
	p := j.pulse
	if p == nil {
		return
	}
	const tau, gain = signal.HeartTauS, signal.HeartGain
	follow := 1 - math.Exp(-pulseEvery/tau)
	// Normal equations of hr = a + b t + c x.
	k, sy, syy := p.k, p.sy, p.syy
	var sx, sxx, stx, sxy float64
	x, started := 0.0, false
	respond := func(s piece) {
		if !started && s.hi > s.lo {
			x, started = s.mean, true
		}
		for c := (s.lo + pulseEvery - 1) / pulseEvery; c*pulseEvery < s.hi; c++ {
			x += (s.mean - x) * follow
			if y := p.rate[c]; !math.IsNaN(y) {
				t := float64(c*pulseEvery) / 1000
				sx, sxx, stx, sxy = sx+x, sxx+x*x, stx+t*x, sxy+x*y
			}
		}
	}
	respond(r.before)
	for i, w := range r.works {
		respond(w)
		if i < len(r.between) {
			respond(r.between[i])
		}
	}
	respond(r.after)
	swing := gain * math.Sqrt(max(0, sxx/k-sq(sx/k)))
	c, ok := solveLast([3][4]float64{{k, p.st, sx, sy}, {p.st, p.stt, stx, p.sty}, {sx, stx, sxx, sxy}})
	if !ok {
		return
	}
	e := &r.features
	weight := swing / (swing + 3) // beats/min: a smaller swing is lost in a heart's own unrest
	e[heartAgainst] = weight * max(0, 1-c/(gain/2))
	if spread := syy/k - sq(sy/k); spread > 0 {
		e[heartShare] = j.minutes(r.before) * min(1, sq(max(c, 0))*(sxx/k-sq(sx/k))/spread)
	}
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
