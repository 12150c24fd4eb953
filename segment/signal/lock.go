package signal

import (
	"math"

	"example.org/rungs/segment/recording"
)

// locks finds where heart rate follows cadence, step for step, for minutes, as
// an optical sensor shows it when it counts steps. The thresholds are from
// memory; no paper on it could be opened. Hearts and feet may agree by chance
// for a while, so this is a reason for doubt, not proof.
func locks(hr, cadence []float64) []recording.Span {
	if hr == nil || cadence == nil {
		return nil
	}
	const window = 90 // s
	var out []recording.Span
	same, all := 0, 0
	state := func(i int) (s, a int) {
		if cadence[i] > 120 && !math.IsNaN(hr[i]) {
			a = 1
			if math.Abs(hr[i]-cadence[i]) <= 3 {
				s = 1
			}
		}
		return s, a
	}
	for i := range hr {
		s, a := state(i)
		same, all = same+s, all+a
		if i >= window {
			s, a = state(i - window)
			same, all = same-s, all-a
		}
		if i < window-1 || all < window*3/4 || float64(same) < 0.85*float64(all) {
			continue
		}
		lo, hi := float64(i-window+1), float64(i+1)
		if k := len(out) - 1; k >= 0 && lo <= out[k].EndS {
			out[k].EndS = hi
		} else {
			out = append(out, recording.Span{StartS: lo, EndS: hi})
		}
	}
	return out
}

// LockedShare is the share of the recording's time in Locked, 0 to 1.
func (tr *Trace) LockedShare() float64 {
	sum := 0.0
	for _, s := range tr.Locked {
		sum += s.Seconds()
	}
	return sum / math.Max(1, float64(tr.Len()))
}
