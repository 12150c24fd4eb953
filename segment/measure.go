package segment

import (
	"math"

	"example.org/rungs/segment/signal"
)

// An Edge is a moment at which the speed may have changed for a reason.
// Split uses some of them; matching against a plan may use the others.
type Edge struct {
	AtS    float64 // seconds from the first record
	SE     float64 // standard error of AtS, s
	Weight float64 // penalty up to which the edge survives, in units of the noise variance; larger is surer
}

// Distance is the distance covered from start to end (seconds from the first
// record), in metres, by the source that the trace chose;
// NaN when there is none.
func (s *Session) Distance(start, end float64) float64 {
	if s.Trace.Source == signal.Nothing {
		return math.NaN()
	}
	return s.Trace.RunBy(end) - s.Trace.RunBy(start)
}

// Pace is the mean pace from start to end in s/km and its standard error, which
// counts the autocorrelation of the speed noise but not an odometer error that
// is common to the whole recording. Both are NaN when nothing is known of the
// span, and the pace is +Inf when nothing was covered, or less than a millimetre.
func (s *Session) Pace(start, end float64) (pace, se float64) {
	if s.Trace.Source == signal.Nothing {
		return math.NaN(), math.NaN()
	}
	d, dse := s.Trace.Covered(start, end)
	t := end - start
	switch {
	case !(t > 0) || math.IsNaN(d):
		return math.NaN(), math.NaN()
	case d < 0.001:
		return math.Inf(1), math.NaN()
	}
	pace = 1000 * t / d
	return pace, pace * dse / d
}
