package match

import (
	"math"
	"slices"
)

// noiseIn is how unevenly speed runs inside the reps of a path, as a long-run standard
// deviation in m/s * sqrt(s), by which the plan is laid over the run: from how much means
// over blocks of eight seconds differ when they lie two or three blocks apart. It holds
// the device's noise and the runner's own unevenness. It is 0 when there are too few blocks.
// The errors of paces are the trace's (signal.Trace.Covered).
func (sp *speeds) noiseIn(ts []task, path []placed) float64 {
	const blockS, leastPairs = 8, 16
	// What the covariance of neighbouring blocks adds, at correlation times of
	// four to six seconds (simulated devices, held to open recordings).
	const correlated = 1.5
	v, n := sp.blockVariance(ts, path, blockS)
	if n < leastPairs {
		return 0
	}
	v *= correlated * blockS
	// A counter that rounds, or a position that jitters without adding up,
	// shows the less the longer the blocks: its share falls as their length.
	if w, n := sp.blockVariance(ts, path, 2*blockS); n >= leastPairs {
		if w *= correlated * 2 * blockS; w < 0.7*v && !sp.s.Trace.Fused {
			v = math.Max(2*w-v, v/10)
		}
	}
	return math.Sqrt(v)
}

// blockVariance is the variance of means over blocks of blockS seconds inside
// reps, from n differences at lags two and three.
func (sp *speeds) blockVariance(ts []task, path []placed, blockS int) (v float64, n int) {
	var d []float64
	for _, means := range sp.blockMeans(ts, path, blockS) {
		for i := range means {
			for lag := 2; lag <= 3 && i+lag < len(means); lag++ {
				if x := math.Abs(means[i+lag] - means[i]); !math.IsNaN(x) {
					d = append(d, x)
				}
			}
		}
	}
	return trimmedSquare(d) / 2, len(d)
}

// blockMeans are the mean speeds over blocks of blockS seconds inside each rep, m/s; NaN
// for a block with a stop.
func (sp *speeds) blockMeans(ts []task, path []placed, blockS int) [][]float64 {
	var out [][]float64
	for _, p := range path {
		if p.move == moveSkip || p.move == moveSlow || p.move == moveStep && !ts[p.task].work {
			continue
		}
		inset := int(math.Max(6, math.Min(0.12*(p.end-p.start), 15)))
		from, to := int(p.start)+inset, int(p.end)-inset
		var means []float64
		for a := from; a+blockS <= to && a >= 0 && a+blockS <= sp.n; a += blockS {
			m := (sp.look[a+blockS] - sp.look[a]) / float64(blockS)
			if sp.stoodS(a, a+blockS) > 0 {
				m = nan
			}
			means = append(means, m)
		}
		out = append(out, means)
	}
	return out
}

// trimmedSquare is the mean square of absolute differences. The largest tenth is left
// out, since a rep's first blocks may hold a slow start: E(Z^2 given |Z| < 1.645) = 0.623.
func trimmedSquare(d []float64) float64 {
	slices.Sort(d)
	kept := d[:len(d)-len(d)/10]
	v := 0.0
	for _, x := range kept {
		v += x * x
	}
	return v / (0.623 * math.Max(float64(len(kept)), 1))
}

// firstNoise estimates the same before anything is known of the run: from the
// smaller half of the differences of means over blocks that lie two blocks
// apart, since the larger ones are changes of pace.
func (sp *speeds) firstNoise() float64 {
	const blockS = 8
	const q, z = 0.35, 0.4538 // P(|Z| < 0.4538) = 0.35
	mean := func(a int) float64 { return (sp.look[a+blockS] - sp.look[a]) / blockS }
	var d []float64
	for a := 0; a+3*blockS <= sp.n; a += blockS {
		if sp.stoodS(a, a+3*blockS) == 0 {
			d = append(d, math.Abs(mean(a+2*blockS)-mean(a)))
		}
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[int(q*float64(len(d)-1))] / z * math.Sqrt(blockS/2)
}
