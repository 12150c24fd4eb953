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

// A Pace is the mean pace of a span with its error, s/km.
type Pace struct {
	Mean   float64 // NaN when nothing is known of the span, +Inf when nothing was covered, or less than a millimetre
	SE     float64 // standard error, which counts how speed errs within the recording and that of the edges, but not a scale that is common to all of it; NaN where there is no pace
	LeanSE float64 // the part of SE that spans of one speed have in common (signal.DistanceError)
}

// PaceBetween is the pace between two edges, by how far they err themselves: each second too many
// at an edge is run at about half of the difference to the speed beyond it.
func (s *Session) PaceBetween(start, end Edge) Pace {
	p := s.paceError(start, end)
	switch {
	case math.IsNaN(p.metres):
		return Pace{math.NaN(), math.NaN(), math.NaN()}
	case p.metres < 0.001:
		return Pace{math.Inf(1), math.NaN(), math.NaN()}
	}
	pace := 1000 * p.seconds / p.metres
	if !(p.theory() > 0) {
		return Pace{Mean: pace}
	}
	t := p.traits(s)
	se := pace * math.Exp(dot(t[:], paceMargins[:])) / z95
	return Pace{pace, se, se * math.Sqrt(t[paceLean])}
}

// paceError is what theory says of the error of the distance between two edges.
func (s *Session) paceError(start, end Edge) paceError {
	p := paceError{seconds: end.AtS - start.AtS, metres: math.NaN()}
	if !(p.seconds > 0) || s.Trace.Len() == 0 {
		return p
	}
	p.metres, p.by = s.Distance(start.AtS, end.AtS), s.Trace.DistanceError(start.AtS, end.AtS)
	beyond := func(e Edge, way float64) float64 {
		d, _ := s.Trace.Covered(max(0, min(e.AtS, e.AtS+way)), max(e.AtS, e.AtS+way))
		if math.IsNaN(d) || math.IsNaN(e.SE) {
			return 0
		}
		return e.SE * (d/besideS - p.metres/p.seconds) / 2
	}
	p.edges = math.Hypot(beyond(start, -besideS), beyond(end, besideS))
	return p
}

// besideS is how long the speed beyond an edge is measured, s.
const besideS = 12.0

// Pace is the same between two moments that are exact.
func (s *Session) Pace(start, end float64) (pace, se float64) {
	p := s.PaceBetween(Edge{AtS: start}, Edge{AtS: end})
	return p.Mean, p.SE
}
