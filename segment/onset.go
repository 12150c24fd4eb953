package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// Smoothings that devices may have: time constants, s, one for all edges up and one for all edges down, or the mean over
// some seconds for both.
var (
	lagsTried  = [...]float64{0, 0.6, 1.2, 2, 3, 4, 5.5, 7.5, 10}
	meansTried = [...]float64{3, 5, 8, 10, 12}
)

const tried = len(lagsTried) + len(meansTried)

// rampsTried is how many times are tried that a belt may take to change its speed, from a little more than the usual down:
// belts differ, and who steps on or off a running one needs hardly any.
const rampsTried = 8

// ramped is a smoothing with the q-th of these times.
func (s smoothing) ramped(q int) smoothing {
	s.rampS *= math.Pow(coarser, float64(1-q))
	return s.bounded()
}

// An onset is what a stream shows of one edge.
type onset struct {
	edge
	step   float64 // m/s
	speed  float64 // m/s, of the quicker side
	noise  float64 // m/s, root of the mean square of what the fit leaves
	spread float64 // s, over which the stream draws out the change
}

// onStream places edges where the response to a change of speed fits best: on device speed, whose smoothing is
// that with the least squares over all edges up, or down, or on distances, whose delay is known.
// Edges that cannot be fitted stay where they are, with a large error.
//
// Branches: each kind of smoothing is tried, and rough edges may move.
func (j *judge) onStream(meets [][2]piece) []edge {
	v := j.tr.DeviceSpeed
	if !j.tr.Device {
		v = make([]float64, j.tr.Len())
		for i := range v {
			v[i] = j.tr.Dist[i+1] - j.tr.Dist[i]
		}
	}
	made := map[smoothing]*response{}
	to := func(s smoothing) *response {
		if made[s] == nil {
			made[s] = respond(s)
		}
		return made[s]
	}
	base := make([]smoothing, len(meets))
	lo, hi := make([]int, len(meets)), make([]int, len(meets))
	for i, m := range meets {
		lo[i] = max(m[0].lo, m[1].lo-seenBefore, m[1].lo-(m[1].lo-m[0].lo)*2/3)
		hi[i] = min(m[1].hi, m[1].lo+seenAfter, len(v))
		base[i] = j.following(m)
	}
	// squares are those that all edges of a direction leave, smoothed in one way.
	squares := func(d int, by func(s smoothing) smoothing) (sum float64) {
		for i, m := range meets {
			if direction(m) == d && hi[i]-lo[i] >= 10 {
				_, rss, _ := to(by(base[i])).fit(j.view(v, lo[i], hi[i], m), 2)
				sum += rss
			}
		}
		return sum
	}
	chosen := j.smoothings(squares)
	if j.belt {
		for d := range chosen {
			j.chooseRamp(base, meets, d, func(q int) float64 {
				return squares(d, func(s smoothing) smoothing { return j.shown(s.ramped(q), chosen[d]) })
			})
		}
		chosen = j.smoothings(squares) // by the wrong ramp, it made up for it
	}
	out := make([]edge, len(meets))
	for i, m := range meets {
		out[i] = edge{float64(m[1].lo), 8}
		s := j.shown(base[i], chosen[direction(m)])
		r := to(s)
		lo, hi := lo[i], hi[i]
		for range 3 { // a rough edge may lie far off: the fit goes after it
			if hi-lo < 10 {
				break
			}
			seen := j.view(v, lo, hi, m)
			at, rss, step := r.fit(seen, 1)
			if math.IsInf(rss, 1) || (step > 0) != (direction(m) == 0) || math.Abs(step) < 0.15 {
				break
			}
			o := onset{edge{at: float64(lo) + at}, step, math.Max(m[0].mean, m[1].mean), math.Sqrt(rss / float64(seen.to-seen.from)), r.spread}
			o.se = j.onsetError(o)
			out[i] = o.edge
			if at > beside && at < float64(hi-lo)-beside {
				break
			}
			was := [2]int{lo, hi}
			lo = max(m[0].lo, int(o.at)-seenBefore, m[0].lo+(int(o.at)-m[0].lo)/3)
			hi = min(m[1].hi, int(o.at)+seenAfter, len(v))
			if was == [2]int{lo, hi} {
				break
			}
		}
	}
	return out
}

// shown is a smoothing as device speed has it, with the k-th that is tried; of distances the delay is known.
func (j *judge) shown(s smoothing, k int) smoothing {
	if j.tr.Device {
		return s.by(k)
	}
	return s
}

// smoothings are those of device speed with the least squares, up and down.
func (j *judge) smoothings(squares func(d int, by func(s smoothing) smoothing) float64) [2]int {
	if !j.tr.Device {
		return [2]int{}
	}
	var total [2][tried]float64
	for d := range total {
		for k := range tried {
			total[d][k] = squares(d, func(s smoothing) smoothing { return s.by(k) })
		}
	}
	return least(total)
}

// chooseRamp gives all edges of a direction the ramp with the least squares; of equals the usual.
func (j *judge) chooseRamp(base []smoothing, meets [][2]piece, d int, squares func(q int) float64) {
	best, at := squares(1), 1
	for q := range rampsTried {
		if x := squares(q); x < best {
			best, at = x, q
		}
	}
	for i, m := range meets {
		if direction(m) == d {
			base[i] = base[i].ramped(at)
		}
	}
}

// view is what is seen of an edge in some cells of v. While the timer stands nothing is: a runner who stands is known to be at
// rest there, and device speed does not show how it came down.
func (j *judge) view(v []float64, lo, hi int, m [2]piece) view {
	out := whole(v[lo:hi])
	paused := func(c int) bool { return !j.tr.Timer[c] }
	blind := func(c int) bool { return paused(c) || j.tr.Device && !j.tr.Shows(c) }
	edge := m[1].lo
	switch {
	case m[1].mean < atRest:
		c := first(max(lo+leastSeen, edge-leastSeen), hi, 1, paused)
		for out.restLast = c < hi; out.restLast && c > lo+leastSeen && blind(c-1); {
			c--
		}
		out.to = c - lo
	case m[0].mean < atRest:
		c := first(min(hi-leastSeen, edge+leastSeen)-1, lo-1, -1, paused)
		for out.restFirst = c >= lo; out.restFirst && c < hi-leastSeen-1 && blind(c+1); {
			c++
		}
		out.from = c + 1 - lo
	}
	return out
}

// first is the first cell from one on, before another, of which something holds; else that other.
func first(from, to, step int, holds func(c int) bool) int {
	for ; (to-from)*step > 0; from += step {
		if holds(from) {
			return from
		}
	}
	return to
}

// atRest is the speed of a piece that is stood, m/s, whose first or last steps may be in it.
const atRest = 0.5

// How many cells before and after a rough edge are looked at, and the fewest that place one.
const (
	seenBefore = 18
	seenAfter  = 24
	leastSeen  = 6
)

// beside is how near to an end of what is fitted an edge is not trusted to be the best, s.
const beside = 9

// direction is 0 for an edge up and 1 for one down.
func direction(m [2]piece) int {
	if m[1].mean > m[0].mean {
		return 0
	}
	return 1
}

// following is how runner, belt and records draw out an edge, without the device.
func (j *judge) following(m [2]piece) smoothing {
	s := smoothing{legsS: legsS, blurS: math.Max(1, j.tr.Step)}
	if j.tr.Source == signal.Positions {
		s.blurS = math.Max(s.blurS, positionBlurS)
	}
	if j.tr.Device {
		s.legsS = shownLegsS
	} else {
		s.lagS = j.tr.DelayS
	}
	change := nearLevel(j.tr, m[1], true) - nearLevel(j.tr, m[0], false)
	if j.tr.Source == signal.Nothing {
		change = m[1].mean - m[0].mean
	}
	change /= 1 - 0.7*j.tr.Noise.Lean // the belt's own
	switch {
	case j.belt && change > 0:
		s.rampS = change / beltUp
	case j.belt:
		s.rampS = -change / beltDown
	case m[1].mean < atRest:
		s.legsS = haltS
	}
	if j.belt {
		return s.bounded()
	}
	return s
}

// bounded is the same with a ramp of half a second at least, in halves, and one that an edge has room for.
func (s smoothing) bounded() smoothing {
	s.rampS = math.Min(math.Max(math.Round(2*s.rampS)/2, 0.5), longestFit/2)
	return s
}

// positionBlurS is that of lines fitted to positions over four seconds to either side, whose weights have the same spread.
const positionBlurS = 4.4

// by is the same with the k-th smoothing tried.
func (s smoothing) by(k int) smoothing {
	if k < len(lagsTried) {
		s.lagS = lagsTried[k]
	} else {
		s.meanS = meansTried[k-len(lagsTried)]
	}
	return s
}

// least are the smoothings up and down with the least squares: two lags, or one mean.
func least(total [2][tried]float64) (best [2]int) {
	for d := range total {
		for k := range lagsTried {
			if total[d][k] < total[d][best[d]] {
				best[d] = k
			}
		}
	}
	lags := total[0][best[0]] + total[1][best[1]]
	for k := len(lagsTried); k < tried; k++ {
		if both := total[0][k] + total[1][k]; both < lags {
			lags, best = both, [2]int{k, k}
		}
	}
	return best
}

// How far onsets err, in standard errors: what runners and devices do that no fit explains, s; what the fit leaves,
// over the step, where it acts on a change that is drawn out over a second, s; by how much of itself that grows less where it is large,
// since the fit leaves the runner's own changes too; for each further second between records; and times what the runner's own
// pace makes of it (edgeError). Device speed hangs together, so that a fit leaves less of its noise than there is
// (fitted to the 95 % quantile on simulated devices; TestOnsetErrors holds it).
type onsetErrors struct{ least, noise, less, step, own float64 }

var (
	onDeviceErrors    = onsetErrors{0.28, 7.4, 2.4, 0.3, 0.5}
	onDistanceErrors  = onsetErrors{0.2, 5.2, 0.06, 0.1, 2}
	onPositionsErrors = onsetErrors{0.4, 3.2, 0.3, 0.05, 5}
)

// longestError is the most that an edge is said to err by, s.
const longestError = 12

// slowing is by how much more edges down err than edges up: jogs begin with a walk, and runners run out. A belt
// does not (fitted, as above).
const slowing = 1.18

// onsetError is the standard error of an onset, s.
func (j *judge) onsetError(o onset) float64 {
	e := onDistanceErrors
	switch {
	case j.tr.Device:
		e = onDeviceErrors
	case j.tr.Source == signal.Positions:
		e = onPositionsErrors
	}
	x := o.noise / math.Abs(o.step) * math.Sqrt(o.spread)
	se := math.Sqrt(sq(e.least) + sq(e.noise*x/(1+e.less*x)) + sq(e.step*(j.tr.Step-1)) + sq(e.own*edgeError(wander*o.speed, o.step)))
	if o.step < 0 && !j.belt {
		se *= slowing
	}
	return math.Min(longestError, se)
}
