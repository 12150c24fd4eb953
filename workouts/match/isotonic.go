package match

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Isotonic is the non-decreasing series closest to y in weighted least
// squares, by pooling adjacent violators (Ayer et al. 1955, Ann. Math. Stat.
// 26:641-647; Busing 2022, J. Stat. Softw. 102(1)). Weights are positive; nil
// means equal ones. It returns nil when the lengths differ.
func Isotonic(y, weight []float64) []float64 {
	if weight != nil && len(weight) != len(y) {
		return nil
	}
	type block struct {
		mean, weight float64
		n            int
	}
	var blocks []block
	for i, v := range y {
		b := block{v, 1, 1}
		if weight != nil {
			b.weight = weight[i]
		}
		for k := len(blocks) - 1; k >= 0 && blocks[k].mean >= b.mean; k-- {
			a := blocks[k]
			w := a.weight + b.weight
			b = block{(a.mean*a.weight + b.mean*b.weight) / w, w, a.n + b.n}
			blocks = blocks[:k]
		}
		blocks = append(blocks, b)
	}
	out := make([]float64, 0, len(y))
	for _, b := range blocks {
		for range b.n {
			out = append(out, b.mean)
		}
	}
	return out
}

// TypicalError is the scatter of one athlete's repeated performances, from two
// trials of each of several athletes or workouts: the standard deviation of
// the differences over the square root of two (Hopkins 2000, Sports Med.
// 30(1):1-15). A difference of two single reps has a standard error of the
// square root of two times it. NaN with fewer than two pairs.
func TypicalError(first, second []float64) float64 {
	if len(first) != len(second) || len(first) < 2 {
		return nan
	}
	d := make([]float64, len(first))
	for i := range d {
		d[i] = second[i] - first[i]
	}
	return stat.StdDev(d, nil) / math.Sqrt2
}
