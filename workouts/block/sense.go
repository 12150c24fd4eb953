package block

import (
	"fmt"
	"math"
)

// sensible tells whether kept sums can be those of recordings. It costs an
// unpacking of each, a hundredth of a millisecond.
func sensible(runs ...Run) bool {
	for _, r := range runs {
		if r.Packed == nil { // one that is not counted has none
			if r.LeftOut == "" && r.counts() {
				return false
			}
			continue
		}
		full, err := r.unpack()
		if err != nil || full.check() != nil {
			return false
		}
	}
	return true
}

// check tells what cannot be in a run.
func (r Run) check() error {
	switch {
	case !(r.ElapsedS >= 0 && r.ElapsedS < 1e8):
		return fmt.Errorf("cannot be: elapsed_s is %g", r.ElapsedS)
	case !(r.DistanceM >= 0 && r.DistanceM < 1e9):
		return fmt.Errorf("cannot be: distance_m is %g", r.DistanceM)
	case len(r.Where) == 0:
		return fmt.Errorf("cannot be: it was run nowhere")
	case len(r.Way) > 0 && float64(wayS*(len(r.Way)-1)) >= r.ElapsedS:
		return fmt.Errorf("cannot be: %d figures of the way in %g s", len(r.Way), r.ElapsedS)
	}
	for e := range efforts {
		if len(r.Heart[e])%2 != 0 || len(r.Speed[e])%2 != 0 {
			return fmt.Errorf("cannot be: a tally lacks the seconds of a value")
		}
	}
	return r.addsUp()
}

// addsUp tells what does not add up to the distance and the time of a run. Parts
// and places are sums of it, rounded to a thousandth each; the way is rounded to
// whole metres and ends with the last whole second or two of the trace.
func (r Run) addsUp() error {
	if !(r.MovingS >= 0 && r.MovingS <= r.ElapsedS+0.01) {
		return fmt.Errorf("cannot be: %.1f s moving in %.1f s", r.MovingS, r.ElapsedS)
	}
	var places, moved, metres, seconds float64
	for _, w := range r.Where {
		places, moved = places+w.DistanceM, moved+w.MovingS
	}
	for _, p := range r.Parts {
		metres, seconds = metres+p.DistanceM, seconds+p.Seconds()
	}
	rounding := 0.001 * float64(1+len(r.Parts))
	for _, sum := range []struct {
		what     string
		is, of   float64
		give     float64
		inByPart bool
	}{
		{"the metres by place", places, r.DistanceM, 0.01, false},
		{"the seconds by place", moved, r.MovingS, 0.01, false},
		{"the metres of the parts", metres, r.DistanceM, rounding, true},
		{"the seconds of the parts", seconds, r.ElapsedS, 1 + rounding, true},
	} {
		if sum.inByPart && len(r.Parts) == 0 {
			continue
		}
		if !(math.Abs(sum.is-sum.of) <= sum.give+1e-6*sum.of) {
			return fmt.Errorf("does not add up: %s are %.1f, not %.1f", sum.what, sum.is, sum.of)
		}
	}
	return nil
}
