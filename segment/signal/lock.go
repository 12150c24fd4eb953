package signal

import "math"

// LockedShare is the share of the recording's time in Locked, 0 to 1.
func (tr *Trace) LockedShare() float64 {
	sum := 0.0
	for _, s := range tr.Locked {
		sum += s.Seconds()
	}
	return sum / math.Max(1, float64(tr.Len()))
}
