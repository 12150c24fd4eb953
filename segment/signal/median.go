package signal

// median9 is a running median over nine seconds: it keeps the edges of reps and
// drops what lasts under five seconds, such as position jumps and the see-saw
// of rounded odometers.
func median9(speed []float64) []float64 {
	const half = 4
	n := len(speed)
	out := make([]float64, n)
	var window [2*half + 1]float64 // sorted
	m := 0
	insert := func(v float64) {
		i := m
		for ; i > 0 && window[i-1] > v; i-- {
			window[i] = window[i-1]
		}
		window[i] = v
		m++
	}
	remove := func(v float64) {
		i := 0
		for window[i] != v {
			i++
		}
		copy(window[i:m-1], window[i+1:m])
		m--
	}
	for i := 0; i < min(half, n); i++ {
		insert(speed[i])
	}
	for i := range n {
		if i-half-1 >= 0 {
			remove(speed[i-half-1])
		}
		if i+half < n {
			insert(speed[i+half])
		}
		if m%2 == 1 {
			out[i] = window[m/2]
		} else {
			out[i] = (window[m/2-1] + window[m/2]) / 2
		}
		out[i] = min(out[i], fastest)
	}
	return out
}
