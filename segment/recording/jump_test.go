package recording

import (
	"math"
	"testing"
)

// A heart that answers a change of speed by 2 m/s at once, 24.2 beats/min per
// m/s with a time constant of 57.6 s (Hunt et al. 2015), does not jump: it rises
// by 3 in four seconds. More than twice that and a margin is a jump.
func TestHeartJumps(t *testing.T) {
	heart := make([]float64, 240)
	for i := range heart {
		heart[i] = 150 - 48.4*math.Exp(-max(float64(i)-60, 0)/57.6)
	}
	if jumps(heart, 0, len(heart)) {
		t.Error("a first-order response jumps")
	}
	for _, c := range []struct {
		by   float64
		want bool
	}{{7, false}, {9, true}, {-7, false}, {-9, true}, {math.NaN(), false}} {
		hr := make([]float64, 60)
		for i := range hr {
			hr[i] = 150
			if i >= 30 {
				hr[i] += c.by
			}
		}
		if got := jumps(hr, 0, len(hr)); got != c.want {
			t.Errorf("by %v: %v", c.by, got)
		}
		if jumps(hr, 0, 25) {
			t.Errorf("by %v: jumps before", c.by)
		}
	}
}
