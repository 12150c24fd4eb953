package block

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// A Tally counts seconds by value: pairs of a value, rising, and its seconds.
type Tally []uint16

// Seconds is the time counted at values from low up to high.
func (t Tally) Seconds(low, high float64) float64 {
	sum := 0.0
	for i := 0; i+1 < len(t); i += 2 {
		if v := float64(t[i]); v >= low && v < high {
			sum += float64(t[i+1])
		}
	}
	return sum
}

// A counter has the seconds by value while they are counted, in any order; a Tally is made of it.
type counter []uint16

func (c *counter) add(v float64) {
	k := int(min(max(v, 0), math.MaxUint16) + 0.5)
	for len(*c) <= k {
		*c = append(*c, 0)
	}
	if (*c)[k] < math.MaxUint16 {
		(*c)[k]++
	}
}

func (c counter) tally() Tally {
	var t Tally
	for v, seconds := range c {
		if seconds > 0 {
			t = append(t, uint16(v), seconds)
		}
	}
	return t
}

// Units of the values of tallies.
const (
	perBeat  = 10 // heart rate is counted in 0.1 beats/min
	perMetre = 50 // speed in 2 cm/s
)

// tally counts the seconds of a session by heart rate and by speed.
func (r *Run) tally(s *segment.Session) {
	tr := s.Trace
	r.Sensor = tr.HeartRate != nil
	var heart, speed [efforts]counter
	for _, g := range s.Segments {
		lo, hi := cells(tr, g.StartS), cells(tr, g.EndS)
		e := effortOf(g.Role)
		level := smooth(tr, lo, hi)
		for c := lo; c < hi; c++ {
			if !tr.Timer[c] {
				continue
			}
			if !math.IsNaN(level[c-lo]) && g.Role != segment.Stop {
				speed[e].add(perMetre * level[c-lo])
			}
			switch {
			case !r.Sensor || math.IsNaN(tr.HeartRate[c]):
				r.NoHeartS++
			case within(tr.Locked, float64(c)):
				r.LockedS++
			default:
				heart[e].add(perBeat * tr.HeartRate[c])
			}
		}
	}
	for i := range efforts {
		r.Heart[i], r.Speed[i] = heart[i].tally(), speed[i].tally()
	}
}

// cells is the number of whole cells of a trace before t.
func cells(tr *signal.Trace, t float64) int {
	return min(max(int(math.Round(t)), 0), tr.Len())
}

func within(spans []recording.Span, t float64) bool {
	for _, s := range spans {
		if t >= s.StartS && t < s.EndS {
			return true
		}
	}
	return false
}

// SmoothS is how long a pace must be held to count as one. The speed of single
// seconds is mostly noise.
const SmoothS = 11

// smooth is the mean speed over SmoothS seconds about each cell from lo to hi,
// not reaching beyond them; NaN where it is not known.
func smooth(tr *signal.Trace, lo, hi int) []float64 {
	out := make([]float64, hi-lo)
	sum, n := 0.0, 0
	count := func(c, sign int) {
		if tr.Known[c] && tr.Timer[c] && tr.Source != signal.Nothing {
			sum += float64(sign) * (tr.Dist[c+1] - tr.Dist[c])
			n += sign
		}
	}
	const half = SmoothS / 2
	for c := lo; c < min(lo+half, hi); c++ {
		count(c, 1)
	}
	for c := lo; c < hi; c++ {
		if c+half < hi {
			count(c+half, 1)
		}
		if c-half-1 >= lo {
			count(c-half-1, -1)
		}
		out[c-lo] = math.NaN()
		if n > 0 && tr.Known[c] && tr.Timer[c] {
			out[c-lo] = max(sum/float64(n), 0)
		}
	}
	return out
}
