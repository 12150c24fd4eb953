package changepoint

import (
	"fmt"
	"math"
)

// Options say how short a segment may be. Both limits hold for every segment,
// the first and the last included. A series too short for even one such segment
// is one segment all the same.
type Options struct {
	// MinLen is the least number of samples in a segment, at least 1. Samples
	// of weight 0 count.
	MinLen int

	// Position gives the n+1 borders of the samples, never decreasing, in any
	// unit: sample i reaches from Position[i] to Position[i+1]. It is needed
	// for MinSpan only; nil otherwise.
	Position []float64

	// MinSpan is the least extent of a segment in units of Position; 0 for no
	// such limit. It is compared without tolerance: where positions carry
	// rounding errors, leave them room.
	MinSpan float64
}

func (o Options) check(c Cost) error {
	if c == nil {
		return fmt.Errorf("changepoint: no cost")
	}
	n := c.Len()
	if n < 1 {
		return fmt.Errorf("changepoint: no samples")
	}
	if o.MinLen < 1 {
		return fmt.Errorf("changepoint: minimum length is %d; it must be 1 or more", o.MinLen)
	}
	if !(o.MinSpan >= 0) || math.IsInf(o.MinSpan, 1) {
		return fmt.Errorf("changepoint: minimum span is %v; it must be finite and not negative", o.MinSpan)
	}
	if o.Position == nil {
		if o.MinSpan > 0 {
			return fmt.Errorf("changepoint: a minimum span of %v needs the positions of the borders", o.MinSpan)
		}
		return nil
	}
	if len(o.Position) != n+1 {
		return fmt.Errorf("changepoint: %d positions for %d samples; give %d borders", len(o.Position), n, n+1)
	}
	for i, p := range o.Position {
		if math.IsNaN(p) || math.IsInf(p, 0) {
			return fmt.Errorf("changepoint: position %d is %v", i, p)
		}
		if i > 0 && p < o.Position[i-1] {
			return fmt.Errorf("changepoint: position %d is %v, before %v; borders must not go back", i, p, o.Position[i-1])
		}
	}
	return nil
}

// starts walks over the ends of segments and tells the latest start that each
// allows. A start allowed for one end is allowed for all later ends: everything
// in the searches rests on this.
type starts struct {
	o      Options
	latest int
}

func (o Options) starts() starts { return starts{o, -1} }

// upTo gives the latest start of a segment that ends at t, -1 when there is
// none. Calls must come with growing t.
func (s *starts) upTo(t int) int {
	for s.latest < t-s.o.MinLen {
		if s.o.Position != nil && s.o.Position[t]-s.o.Position[s.latest+1] < s.o.MinSpan {
			break
		}
		s.latest++
	}
	return s.latest
}

// fits reports whether even one segment has room in n samples.
func (o Options) fits(n int) bool {
	return n >= o.MinLen && (o.Position == nil || o.Position[n]-o.Position[0] >= o.MinSpan)
}
