package signal

import "math"

// estimateNoise measures speed noise from differences of block means, so that
// changes of pace (few) do not count and slow wander (always there) does:
// var(difference of two means over B seconds) = 2 LongRun^2 / B. The lower
// third of the absolute differences is used, since in short reps more than
// half of the blocks hold a change.
func estimateNoise(speed []float64, known []bool) Noise {
	nz := longRun(speed, known)
	nz.Sigma = max(scaleOf(sumsMoving(speed, known, 1).differences(1))/math.Sqrt2, 0.01)
	return nz
}

// longRun is the part of the noise that is read from blocks.
func longRun(speed []float64, known []bool) Noise {
	f := sumsMoving(speed, known, 5) // of which the longer blocks are made
	plain := f.longRunVariance(15)
	// Errors of position that do not add up (variance J^2 each) make differences
	// of block means vary by 2 L^2/B + 6 J^2/B^2; two lengths of block tell L and J
	// apart. Noise that hangs together shows more in longer blocks, not less.
	const short, long = 10, 20
	free := (long*f.longRunVariance(long) - short*f.longRunVariance(short)) / (long - short)
	return Noise{
		LongRun: max(math.Sqrt(min(max(free, plain/6), plain)), 0.05),
		Quarter: max(math.Sqrt(plain), 0.05),
	}
}

// measureNoise sets the noise of speed and of distances.
func (tr *Trace) measureNoise() {
	tr.Noise = estimateNoise(tr.Speed, tr.Known)
	tr.Noise.Odometer = tr.Noise.LongRun
	if tr.Fused {
		tr.Noise.Odometer = fusedNoise * tr.Noise.LongRun
	}
}

// fusedNoise is by how much the error of fused distances exceeds what the noise
// of device speed alone explains, since no device is a first-order lag
// (measured on simulated devices).
const fusedNoise = 1.5

// blockSums are the sums of speed over blocks of cells while moving, and of how many cells.
type blockSums struct {
	of, cells []float64
	block     int
}

func sumsMoving(speed []float64, known []bool, block int) blockSums {
	use := make([]bool, len(speed))
	for i, v := range speed {
		use[i] = known[i] && v > standing
	}
	return sumsOf(speed, use, block)
}

// sumsOf takes the cells that are to be used.
func sumsOf(speed []float64, use []bool, block int) blockSums {
	n := len(speed) / block
	s := blockSums{make([]float64, n), make([]float64, n), block}
	for k := range n {
		for i := k * block; i < (k+1)*block; i++ {
			if use[i] {
				s.of[k] += speed[i]
				s.cells[k]++
			}
		}
	}
	return s
}

// differences are the absolute differences between the means of neighbouring blocks
// of so many sums while moving.
func (s blockSums) differences(many int) []float64 {
	out := make([]float64, 0, len(s.of)/many)
	prev := math.NaN()
	for lo := 0; lo+many <= len(s.of); lo += many {
		var sum, w float64
		for k := lo; k < lo+many; k++ {
			sum, w = sum+s.of[k], w+s.cells[k]
		}
		m := math.NaN()
		if w > 0.7*float64(many*s.block) {
			m = sum / w
		}
		if d := math.Abs(m - prev); !math.IsNaN(d) {
			out = append(out, d)
		}
		prev = m
	}
	return out
}

// longRunVariance is that of differences over blocks of so many cells, a multiple of
// those in a sum.
func (s blockSums) longRunVariance(cells int) float64 {
	return sq(scaleOf(s.differences(cells/s.block))) * float64(cells) / 2
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
	return math.Sqrt(sumsMoving(speed, known, block).longRunVariance(block))
}
