package signal

import (
	"math"
	"slices"
)

// estimateNoise measures speed noise from differences of block means, so that
// changes of pace (few) do not count and slow wander (always there) does:
// var(difference of two means over B seconds) = 2 LongRun^2 / B. The lower
// third of the absolute differences is used, since in short reps more than
// half of the blocks hold a change.
func estimateNoise(speed []float64, known []bool) Noise {
	var nz Noise
	diffs := func(block int) []float64 {
		var out []float64
		var sum, w float64
		prev := math.NaN()
		for i := range speed {
			if known[i] && speed[i] > standing {
				sum, w = sum+speed[i], w+1
			}
			if (i+1)%block == 0 {
				m := math.NaN()
				if w > 0.7*float64(block) {
					m = sum / w
				}
				if !math.IsNaN(m) && !math.IsNaN(prev) {
					out = append(out, math.Abs(m-prev))
				}
				prev, sum, w = m, 0, 0
			}
		}
		return out
	}
	scale := func(d []float64) float64 {
		if len(d) == 0 {
			return 0
		}
		slices.Sort(d)
		const q, z = 0.35, 0.4538 // P(|Z| < 0.4538) = 0.35
		return d[int(q*float64(len(d)-1)+0.5)] / z
	}
	nz.Sigma = scale(diffs(1)) / math.Sqrt2
	const block = 15
	plain := sq(scale(diffs(block))) * block / 2
	// Errors of position that do not add up (variance J^2 each) make differences
	// of block means vary by 2 L^2/B + 6 J^2/B^2; two lengths of block tell L and J
	// apart. Noise that hangs together shows more in longer blocks, not less.
	const short, long = 10, 20
	free := (long*long*sq(scale(diffs(long))) - short*short*sq(scale(diffs(short)))) / (2 * (long - short))
	nz.LongRun = max(math.Sqrt(min(max(free, plain/6), plain)), 0.05)
	nz.Quarter = max(math.Sqrt(plain), 0.05)
	nz.Sigma = max(nz.Sigma, 0.01)
	return nz
}

func sq(x float64) float64 { return x * x }
