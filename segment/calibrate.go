package segment

import (
	"math"

	"example.org/rungs/segment/recording"
)

// Measured tells whether the run itself told how far the odometer is off, as reps on a
// track do.
func (s *Session) Measured() bool { return s.measured }

// Calibrate takes out what the odometer is known to count too much, as a share (0.01 is
// one per cent, negative is too little), with its standard error se, a share too:
// distances and paces are corrected, amounts that the runner went by stay. It changes
// nothing of a session that measured its odometer itself, or where there is no number
// to correct by.
func (s *Session) Calibrate(over, se float64) {
	if s.measured || !(over > -1) || !(se >= 0) || math.IsInf(over, 1) || math.IsInf(se, 1) {
		return
	}
	s.ScaleSE = se
	s.Trace.Rescale(1 / (1 + over))
	for i := range s.Segments {
		g := &s.Segments[i]
		g.DistanceM /= 1 + over
		g.Pace *= 1 + over
		g.WithinSE *= 1 + over
		g.PaceSE = math.Hypot(g.WithinSE, se*g.Pace)
	}
	repace(s.Structure, 1+over)
	repace(s.RunnerUp, 1+over)
	if over != 0 {
		s.warn("odometer-calibrated", "distances and paces are corrected by the odometer's error in the athlete file", math.NaN(), math.NaN())
	}
}

func repace(blocks []Block, factor float64) {
	for i := range blocks {
		blocks[i].Pace *= factor
		repace(blocks[i].Body, factor)
		if blocks[i].Rest != nil {
			blocks[i].Rest.Pace *= factor
		}
	}
}

// Indoors tells whether a session was run on a treadmill, whose distance no position tells.
func (s *Session) Indoors() bool { return s.Recording.Place == recording.Treadmill }
