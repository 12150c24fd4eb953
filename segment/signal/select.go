package signal

// Select returns the value that would stand at index k were x sorted, 0 <= k <
// len(x), in time linear in len(x) on average. It reorders x, which must hold no
// NaN (Hoare 1961, Algorithm 65: Find, Commun. ACM 4(7):321-322).
func Select(x []float64, k int) float64 {
	lo, hi := 0, len(x)-1
	for lo < hi {
		p := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return x[k]
		}
	}
	return x[k]
}
