package trend

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

// Monotone is the closest monotone series in the direction of a slope: not falling when
// it is above zero, else not rising.
func Monotone(y, weight []float64, slope float64) []float64 {
	if slope > 0 {
		return Isotonic(y, weight)
	}
	neg := make([]float64, len(y))
	for i, v := range y {
		neg[i] = -v
	}
	out := Isotonic(neg, weight)
	for i := range out {
		out[i] = -out[i]
	}
	return out
}
