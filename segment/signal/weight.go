package signal

import (
	"math"

	"example.org/rungs/segment/ability"
)

// weights are those of device speed against the odometer, 0 to 1 for each cell, by the inverse
// of their variances. At an even speed these come from how much means over a quarter of a
// minute vary, of which the variance of their difference is the sum, since what both share is
// the runner. Where speed changes, device speed errs by what its lag leaves unexplained as well.
// The first is that at an even speed.
func (tr *Trace) weights(count, shape []float64) (calm float64, list []float64) {
	n := tr.Len()
	use, apart := make([]bool, n), make([]float64, n)
	for i := range n {
		use[i] = tr.trusts(i) && count[i] > ability.Standing && shape[i] > ability.Standing
		apart[i] = count[i] - shape[i]
	}
	c, s := sumsOf(count, use, 5).longRunVariance(15), sumsOf(shape, use, 5).longRunVariance(15)
	between := sumsOf(apart, use, 5)
	d := between.longRunVariance(15)
	tr.unsteady = unsteadiness(between.differences(3))
	out := make([]float64, n)
	calm = 1.0
	if d > 0 {
		calm = min(max((d+c-s)/(2*d), 0), 1)
	}
	tr.countNoise = math.Sqrt(calm * d)
	// Together they err by what is left of both. No runner is in their difference, so that it may be read from long
	// blocks, which hold all of what hangs together.
	long := max(d, between.longRunVariance(longBlockS))
	share := min(max(calm, leastShare), 1-leastShare)
	tr.fusedNoise = math.Sqrt(share * (1 - share) * long)
	if s < sq(beltNoise/4) { // a belt's set speed, which varies by nothing: the odometer varies by its rounding
		tr.countNoise, tr.unsteady, tr.fusedNoise = 0, 1, 0
	}
	change, after := changes(count, changeS), changes(shape, 2*changeS)
	for i, v := range after { // noise of the odometer alone is no change
		change[i] = min(change[i], v)
	}
	tr.LeftS = tr.unexplained(apart, change, d)
	for i := range out {
		out[i] = calm
		if left := sq(tr.LeftS*change[i]) / changeS; left > 0 && d > 0 {
			out[i] = calm * d / (d + left)
		}
	}
	return calm, out
}

const (
	longBlockS = 60 // s
	// leastShare is the least share of the noise in the difference of the streams that either is believed to have, since that
	// is not known exactly (simulated devices).
	leastShare = 0.05
)

// changeS is over how many seconds to either side a change of speed is seen, and about how
// long the errors of a lag last.
const changeS = 10

// changes are by how much speed changes near each cell, m/s: means over so many seconds to
// either side, the largest within as many.
func changes(speed []float64, seconds int) []float64 {
	n := len(speed)
	cum := make([]float64, n+1)
	for i, v := range speed {
		cum[i+1] = cum[i] + v
	}
	at := make([]float64, n)
	for i := range at {
		lo, hi := max(0, i-seconds), min(n, i+seconds)
		if i > lo && hi > i {
			at[i] = math.Abs((cum[hi]-cum[i])/float64(hi-i) - (cum[i]-cum[lo])/float64(i-lo))
		}
	}
	return widest(at, seconds)
}

// widest is the largest value, none below 0, within so many cells to either side (van Herk 1992, Pattern
// Recognit. Lett. 13:517-521).
func widest(list []float64, reach int) []float64 {
	n, w := len(list), 2*reach+1
	ahead, behind := make([]float64, n), make([]float64, n)
	for lo := 0; lo < n; lo += w { // from the start of each block on, and back from its end
		hi := min(lo+w, n)
		most := 0.0
		for i := lo; i < hi; i++ {
			most = max(most, list[i])
			ahead[i] = most
		}
		most = 0
		for i := hi - 1; i >= lo; i-- {
			most = max(most, list[i])
			behind[i] = most
		}
	}
	out := make([]float64, n)
	for i := range out {
		a, b := max(0, i-reach), min(n-1, i+reach)
		switch {
		case a/w < b/w:
			out[i] = max(behind[a], ahead[b])
		case a%w == 0:
			out[i] = ahead[b]
		default: // b is the last
			out[i] = behind[a]
		}
	}
	return out
}

// unexplained is what remains of the lag of device speed when it has been taken out, s: the distance
// by which the streams differ over changes of speed, over the change, beyond twice what
// they differ by elsewhere; or beyond their noise, given as a long-run variance, where speed changes
// all the time.
func (tr *Trace) unexplained(apart, change []float64, variance float64) float64 {
	const least, quiet = 0.7, 0.35 // m/s: a change of pace and not noise; none
	var off, sizes, still []float64
	for lo := 0; lo+blockS <= len(apart); lo += blockS / 2 {
		sum, size := 0.0, 0.0
		ok := true
		for i := lo; i < lo+blockS; i++ {
			ok = ok && tr.trusts(i)
			sum += apart[i]
			size = max(size, change[i])
		}
		switch {
		case ok && change[lo+blockS/2] >= least:
			off, sizes = append(off, sq(sum)), append(sizes, sq(size))
		case ok && size < quiet:
			still = append(still, sq(sum))
		}
	}
	if len(off) == 0 {
		return 0
	}
	const middle = 0.455 // of squares of a normal distribution over their mean
	noise := middle * variance * blockS
	if len(still) >= 10 {
		noise = max(noise, Select(still, len(still)/2))
	}
	for k := range off {
		off[k] = (off[k] - 2*noise) / sizes[k]
	}
	return math.Sqrt(max(Select(off, len(off)/2), 0) / middle)
}

// unsteadiness is by how much the standard deviation of what differs between the streams, of which the
// absolute values are given, exceeds that of its calm third, from 1 to 3: under a bad sky both
// streams are worse than where they are measured. It reorders list.
func unsteadiness(list []float64) float64 {
	calm, sum := scaleOf(list), 0.0
	for _, v := range list {
		sum += sq(min(v, 6*calm))
	}
	if !(calm > 0) {
		return 1
	}
	return min(max(math.Sqrt(sum/float64(len(list)))/calm, 1), 3)
}
