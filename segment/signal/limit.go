package signal

import (
	"math"

	"example.org/rungs/segment/recording"
)

// bestEver is the mean speed, m/s, that the quickest runners held for a time: the
// men's world records from 100 m to the marathon (World Athletics, as of 2026).
var bestEver = [...]struct{ seconds, mps float64 }{
	{9.58, 10.438}, {19.19, 10.422}, {43.03, 9.296}, {100.91, 7.928}, {206, 7.282}, {755.36, 6.619}, {1571, 6.365}, {3440, 6.133}, {7235, 5.832},
}

// runnable is the highest mean speed, m/s, that a device may show of a runner over so many
// seconds: the record for that time, linear in the logarithm of time between records,
// and 3 % more, which odometers err by (in the mean over hundreds of metres).
func runnable(seconds float64) float64 {
	const allowance = 1.03
	last := bestEver[0]
	for _, r := range bestEver {
		if seconds <= r.seconds {
			if r == last {
				break
			}
			share := math.Log(seconds/last.seconds) / math.Log(r.seconds/last.seconds)
			return allowance * (last.mps + share*(r.mps-last.mps))
		}
		last = r
	}
	return allowance * last.mps
}

// limitWindows are the seconds over which a mean speed is held against what is runnable;
// shorter spells, which hold single bad records, hardly add to the distance.
var limitWindows = [...]int{10, 20, 40, 60, 90, 120, 180, 300, 600, 1200}

// beyond finds where speed, of which NaN is unknown, is more than anyone can run
// for that long. The spans are narrowed to the cells that are to blame; they are in
// order and apart. Where they would hold more than half of the time that something moved,
// this is no fault of a run but no run, and nothing is found.
func beyond(speed []float64) []recording.Span {
	n := len(speed)
	left := make([]float64, n) // with what was found taken out
	moving := 0
	for i, v := range speed {
		if v > standing {
			left[i] = v
			moving++
		}
	}
	bad := make([]bool, n)
	found := 0
	quickest := math.Inf(1) // mean over the shortest window, which no longer one exceeds
	for _, w := range limitWindows {
		limit := runnable(float64(w))
		if w > n || limit >= quickest {
			continue
		}
		sum := 0.0
		if w == limitWindows[0] {
			quickest = 0
		}
		for i := range n {
			if sum += left[i]; i >= w {
				sum -= left[i-w]
			}
			if w == limitWindows[0] && i >= w-1 {
				quickest = max(quickest, sum/float64(w))
			}
			if i < w-1 || sum <= limit*float64(w) {
				continue
			}
			lo, hi := i-w+1, i+1
			for lo < hi && left[lo] < 0.6*limit {
				lo++
			}
			for hi > lo && left[hi-1] < 0.6*limit {
				hi--
			}
			lo, hi = widen(speed, bad, lo, hi, 0.6*limit)
			for k := lo; k < hi; k++ {
				if k > i-w && k <= i {
					sum -= left[k]
				}
				if !bad[k] {
					bad[k], found = true, found+1
				}
				left[k] = 0
			}
		}
	}
	if found*2 > moving {
		return nil
	}
	return spansOf(bad)
}

// widen goes on to both sides for as long as means over 20 s, then single cells, stay above a speed: who
// rode did not run just before.
func widen(speed []float64, bad []bool, lo, hi int, above float64) (int, int) {
	const s = 20
	for hi+s <= len(speed) && sumKnown(speed[hi:hi+s]) > s*above && !bad[hi] {
		hi++
	}
	for hi < len(speed) && speed[hi] > above && !bad[hi] {
		hi++
	}
	for lo-s >= 0 && sumKnown(speed[lo-s:lo]) > s*above && !bad[lo-1] {
		lo--
	}
	for lo > 0 && speed[lo-1] > above && !bad[lo-1] {
		lo--
	}
	return lo, hi
}

// sumKnown is the sum of the values that are no NaN.
func sumKnown(list []float64) float64 {
	sum := 0.0
	for _, v := range list {
		if !math.IsNaN(v) {
			sum += v
		}
	}
	return sum
}

// spansOf are the runs of true cells, s.
func spansOf(cells []bool) []recording.Span {
	var out []recording.Span
	for i := 0; i < len(cells); i++ {
		if !cells[i] {
			continue
		}
		j := i
		for j < len(cells) && cells[j] {
			j++
		}
		out = append(out, recording.Span{StartS: float64(i), EndS: float64(j)})
		i = j
	}
	return out
}
