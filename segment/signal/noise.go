package signal

import "math"

// estimateNoise measures speed noise from differences of block means, so that
// changes of pace (few) do not count and slow wander (always there) does:
// var(difference of two means over B seconds) = 2 LongRun^2 / B. The lower
// third of the absolute differences is used, since in short reps more than
// half of the blocks hold a change.
func estimateNoise(speed []float64, known []bool) Noise {
	nz := longRun(speed, known)
	nz.Sigma = max(scaleOf(differences(speed, known, 1))/math.Sqrt2, 0.01)
	return nz
}

// longRun is the part of the noise that is read from blocks.
func longRun(speed []float64, known []bool) Noise {
	plain := longRunVariance(15, speed, known)
	// Errors of position that do not add up (variance J^2 each) make differences
	// of block means vary by 2 L^2/B + 6 J^2/B^2; two lengths of block tell L and J
	// apart. Noise that hangs together shows more in longer blocks, not less.
	const short, long = 10, 20
	free := (long*longRunVariance(long, speed, known) - short*longRunVariance(short, speed, known)) / (long - short)
	return Noise{
		LongRun: max(math.Sqrt(min(max(free, plain/6), plain)), 0.05),
		Quarter: max(math.Sqrt(plain), 0.05),
	}
}

// differences are the absolute differences between the means of neighbouring
// blocks while moving.
func differences(speed []float64, known []bool, block int) []float64 {
	out := make([]float64, 0, len(speed)/block)
	prev := math.NaN()
	for lo := 0; lo+block <= len(speed); lo += block {
		var sum, w float64
		for i := lo; i < lo+block; i++ {
			if known[i] && speed[i] > standing {
				sum, w = sum+speed[i], w+1
			}
		}
		m := math.NaN()
		if w > 0.7*float64(block) {
			m = sum / w
		}
		if d := math.Abs(m - prev); !math.IsNaN(d) {
			out = append(out, d)
		}
		prev = m
	}
	return out
}

// scaleOf is the standard deviation of which d are the absolute values, from their
// lower third. It reorders d.
func scaleOf(d []float64) float64 {
	if len(d) == 0 {
		return 0
	}
	const q, z = 0.35, 0.4538 // P(|Z| < 0.4538) = 0.35
	return Select(d, int(q*float64(len(d)-1)+0.5)) / z
}

func sq(x float64) float64 { return x * x }

// LongRunOver is the long-run noise as differences of means over blocks of so many
// cells show it: what hangs together for a while is in it.
func LongRunOver(block int, speed []float64, known []bool) float64 {
	return math.Sqrt(longRunVariance(block, speed, known))
}

func longRunVariance(block int, speed []float64, known []bool) float64 {
	return sq(scaleOf(differences(speed, known, block))) * float64(block) / 2
}
