// Package ability knows what a body can do: how fast it can run for how long, and what the heart says of it. It tells where a
// series of speed is more than that. Series have a value a second, and NaN where nothing is known.
package ability

import (
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// bestEver is the mean speed, m/s, that the quickest runners held for a time: the
// men's world records from 100 m to the marathon (World Athletics, as of 2026).
var bestEver = [...]struct{ seconds, mps float64 }{
	{9.58, 10.438}, {19.19, 10.422}, {43.03, 9.296}, {100.91, 7.928}, {206, 7.282}, {755.36, 6.619}, {1571, 6.365}, {3440, 6.133}, {7235, 5.832},
}

// Runnable is the highest mean speed, m/s, that a device may show of a runner over so many
// seconds: the record for that time, linear in the logarithm of time between records,
// and 3 % more, which odometers err by (in the mean over hundreds of metres).
func Runnable(seconds float64) float64 {
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

// Nobody walks on purpose under Standing, or above Walking, m/s (common practice, no source).
const (
	Standing = 0.35
	Walking  = 2.0
)

// Longest is the speed that no one runs for more than two hours, m/s.
var Longest = bestEver[len(bestEver)-1].mps

// limitWindows are the seconds over which a mean speed is held against what is runnable;
// shorter spells, which hold single bad records, hardly add to the distance.
var limitWindows = [...]int{10, 20, 40, 60, 90, 120, 180, 300, 600, 1200}

// Beyond finds where speed, of which NaN is unknown, is more than a share of what anyone can run
// for that long. The spans are narrowed to the cells that are to blame; they are in
// order and apart. Where they would hold more than half of the time that something moved,
// this is no fault of a run but no run, and nothing is found.
func Beyond(speed []float64, share float64) []recording.Span {
	n := len(speed)
	left := make([]float64, n) // with what was found taken out
	moving := 0
	for i, v := range speed {
		if v > Standing {
			left[i] = v
			moving++
		}
	}
	bad := make([]bool, n)
	found := 0
	quickest := math.Inf(1) // mean over the shortest window, which no longer one exceeds
	for _, w := range limitWindows {
		limit := share * Runnable(float64(w))
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
	return SpansOf(bad)
}

// A stretch that is run at restful of the records lifts the heart rate; who is carried sits, and stood or walked before and
// after. Shares, s and m/s (common practice, no source): few club runners reach the first; a heart at less than a share of what
// it was in the run does no work; it answers within some seconds; a ride slows down at corners and lights; and device speed, which
// may be late, tells of a share of it at least, or else the odometer is at fault.
const (
	restful = 0.75
	resting = 0.75
	answers = 30
	corner  = 60
	agrees  = 0.6
)

// Carried finds rides: where heart rate (beats/min) fell all through what only the quickest could run, device speed (m/s)
// does not deny it, and what belongs to it, up to where one could have got on and off. NaN is unknown in all three; device is
// asked for only where it matters, and may give nil. The spans are in order and apart.
func Carried(speed, heart []float64, device func() []float64) []recording.Span {
	if len(heart) == 0 {
		return nil
	}
	quick := Beyond(speed, restful)
	if len(quick) == 0 {
		return nil
	}
	known := slices.DeleteFunc(slices.Clone(heart), math.IsNaN)
	if len(known) < answers {
		return nil
	}
	slices.Sort(known)
	rest := resting * known[len(known)*9/10]
	const third = answers / 3
	told := device()
	bad := make([]bool, len(speed))
	for _, s := range quick {
		lo, hi := int(s.StartS), int(s.EndS)
		if hi-lo < answers || slices.ContainsFunc(heart[lo:hi], math.IsNaN) {
			continue
		}
		first, last := mean(heart, lo, lo+third), mean(heart, hi-third, hi)
		if last > min(first, rest) {
			continue
		}
		if told != nil && !slices.ContainsFunc(told[lo:hi], math.IsNaN) && mean(told, lo, hi) < agrees*mean(speed, lo, hi) {
			continue
		}
		lo, hi = aboard(speed, lo, hi)
		for i := lo; i < hi; i++ {
			bad[i] = true
		}
	}
	return SpansOf(bad)
}

// aboard goes on from a ride to both sides, past corners and lights, to where it was walked or stood.
func aboard(speed []float64, lo, hi int) (int, int) {
	const s = answers / 3
	for k := 0; k < corner && lo >= s && mean(speed, lo-s, lo) > Walking; k++ {
		lo--
	}
	for k := 0; k < corner && hi+s <= len(speed) && mean(speed, hi, hi+s) > Walking; k++ {
		hi++
	}
	return lo, hi
}

// mean is that of what is known over [lo, hi), of which nearly all is.
func mean(list []float64, lo, hi int) float64 { return Metres(list[lo:hi]) / float64(hi-lo) }

// widen goes on to both sides for as long as means over 20 s, then single cells, stay above a speed: who
// rode did not run just before.
func widen(speed []float64, bad []bool, lo, hi int, above float64) (int, int) {
	const s = 20
	for hi+s <= len(speed) && Metres(speed[hi:hi+s]) > s*above && !bad[hi] {
		hi++
	}
	for hi < len(speed) && speed[hi] > above && !bad[hi] {
		hi++
	}
	for lo-s >= 0 && Metres(speed[lo-s:lo]) > s*above && !bad[lo-1] {
		lo--
	}
	for lo > 0 && speed[lo-1] > above && !bad[lo-1] {
		lo--
	}
	return lo, hi
}

// Metres is how far a series of speed goes, m, without what is unknown.
func Metres(list []float64) float64 {
	sum := 0.0
	for _, v := range list {
		if !math.IsNaN(v) {
			sum += v
		}
	}
	return sum
}

// SpansOf are the runs of true cells, s.
func SpansOf(cells []bool) []recording.Span {
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
