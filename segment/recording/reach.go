package recording

// records are the best times of men over distances (World Athletics; the
// marathon of 2023), before them what a sprinter holds for a moment: nobody runs
// further in the time.
var records = []struct{ seconds, metres float64 }{
	{0, 0}, {8, 96}, {9.58, 100}, {19.19, 200}, {43.03, 400}, {100.91, 800}, {206.00, 1500},
	{755.36, 5000}, {1571.00, 10000}, {7235, 42195},
}

// quickest is the most metres that are run in so many seconds.
func quickest(seconds float64) float64 {
	for k := 1; k < len(records); k++ {
		if a, b := records[k-1], records[k]; seconds <= b.seconds {
			return a.metres + (b.metres-a.metres)*(seconds-a.seconds)/(b.seconds-a.seconds)
		}
	}
	last := records[len(records)-1]
	return last.metres / last.seconds * seconds
}
