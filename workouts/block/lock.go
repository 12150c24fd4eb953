package block

import (
	"math"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// A heart cannot change its rate by more than about 4 beats/min within four
// seconds: the response of Hunt et al. 2015 (doi 10.1186/s12938-015-0112-7;
// 24.2 beats/min per m/s, time constant 57.6 s) to a change of 2 m/s gives 3.
// A sensor that begins or ends to follow the steps jumps, and so does one that
// follows them through a change of pace.
const jumpBPM = 8.0

// lockedSpans are the spans in which heart rate is not believed: it equals the
// cadence for long, and jumps as no heart does when it begins to, ceases to or
// meanwhile. Without the jump, hard running by a heart near 170 would be taken
// for a fault.
func lockedSpans(tr *signal.Trace) []recording.Span {
	var out []recording.Span
	for _, s := range tr.Locked {
		const about = 20 // s, within which the ends of the spans are known
		if jumps(tr.HeartRate, int(s.StartS)-about, int(s.EndS)+about) {
			out = append(out, s)
		}
	}
	return out
}

// jumps tells whether the heart rate changes too fast between two seconds.
func jumps(hr []float64, from, to int) bool {
	const half = 3 // s on each side
	for c := max(from, 0); c+2*half < min(to, len(hr)); c++ {
		before, after := 0.0, 0.0
		for k := range half {
			before += hr[c+k] / half
			after += hr[c+half+1+k] / half
		}
		if math.Abs(after-before) > jumpBPM { // never with a NaN
			return true
		}
	}
	return false
}
