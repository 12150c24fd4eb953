package signal

import (
	"math"
	"slices"
)

// blockS is over how many seconds the odometer and device speed are compared: long beside
// the lags, short beside what changes their scale.
const blockS = 20

// blocks are the sums of both streams over blocks of blockS cells, m, where both are
// believed, and of how many cells.
type blocks struct{ count, shape, cells []float64 }

func (tr *Trace) blocksOf(count, shape []float64) blocks {
	n := (tr.Len() + blockS - 1) / blockS
	b := blocks{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range count {
		if tr.trusts(i) {
			k := i / blockS
			b.count[k] += count[i]
			b.shape[k] += shape[i]
			b.cells[k]++
		}
	}
	return b
}

// commonScale is the odometer over device speed in the middle of the blocks with
// movement, and how far the odometer of a block is from that, m (standard deviation).
func (b blocks) commonScale() (scale, sd float64, ok bool) {
	var ratios, off []float64
	for k, c := range b.cells {
		if c >= blockS/2 && b.shape[k] > c && b.count[k] > c/2 { // faster than 1 m/s
			ratios = append(ratios, b.count[k]/b.shape[k])
		}
	}
	if len(ratios) == 0 {
		return 0, 0, false
	}
	scale = Select(ratios, len(ratios)/2)
	for k, c := range b.cells {
		if c == blockS {
			off = append(off, math.Abs(b.count[k]-scale*b.shape[k]))
		}
	}
	return scale, max(scaleOf(off), 0.1), true
}

// driftSteps are the standard deviations tried for the change of scale from block to block,
// as a share; the first is a scale that stays. Device speed drawn from the same sensors as the odometer
// stays within some tenths of a percent of it, one of another sensor may drift by percents
// in an hour (180 blocks).
var driftSteps = [...]float64{0, 3e-4, 1e-3, 3e-3}

// scales follows the scale from block to block: a local level, of which the drift is chosen by
// likelihood, smoothed to both sides (Kalman 1960; Rauch, Tung and Striebel 1965), in which blocks
// that lie far off count less (weights of a Student distribution of 4 degrees of freedom).
// It returns the scale of a cell.
func (b blocks) scales(common, sd float64) func(cell int) float64 {
	n := len(b.count)
	variance := make([]float64, n)
	for k := range variance {
		off := (b.count[k] - common*b.shape[k]) / sd
		variance[k] = sq(sd) * (4 + sq(off)) / 5
	}
	var best []float64
	most := math.Inf(-1)
	for _, drift := range driftSteps {
		levels, likelihood := b.follow(common, sq(drift*common), variance)
		if likelihood > most+5 { // a drift must explain something: noise that hangs together looks like one
			best, most = slices.Clone(levels), likelihood
		}
	}
	return func(cell int) float64 {
		x := (float64(cell)+0.5)/blockS - 0.5
		k := min(max(int(x), 0), n-1)
		next := min(k+1, n-1)
		return best[k] + (best[next]-best[k])*min(max(x-float64(k), 0), 1)
	}
}

// follow runs the filter and the smoother for one variance of drift.
func (b blocks) follow(common, drift float64, variance []float64) (levels []float64, likelihood float64) {
	n := len(b.count)
	level, p := make([]float64, n), make([]float64, n)
	x, px := common, sq(0.1*common)
	for k := range n {
		if k > 0 {
			px += drift
		}
		if b.cells[k] > 0 && b.shape[k] > 0 {
			u := b.shape[k]
			f := u*u*px + variance[k]
			e := b.count[k] - u*x
			likelihood -= (math.Log(f) + e*e/f) / 2
			gain := px * u / f
			x += gain * e
			px -= gain * u * px
		}
		level[k], p[k] = x, px
	}
	for k := n - 2; k >= 0; k-- {
		if ahead := p[k] + drift; ahead > 0 {
			level[k] += p[k] / ahead * (level[k+1] - level[k])
		}
	}
	return level, likelihood
}
