package block

import (
	"math"

	"example.org/rungs/segment"
)

// A Progress is how the reps of a session went, the last against the first.
type Progress struct {
	Reps         int     // of about one length; 0 when they are not
	First, Last  float64 // pace, s/km
	ChangeSPerKm float64 // last less first; negative is quicker
	MarginSPerKm float64 // 1.96 standard errors of that, without an odometer that is off throughout
}

// alikeShare is by how much the lengths of reps may differ from the mean and be about
// one length, as a share: the tolerance of a rep's amount in a check, twice.
const alikeShare = 0.12

// Progress tells whether the reps of a session got quicker. Reps of different lengths
// are not held against each other.
func (s Session) Progress() (p Progress) {
	var reps []Part
	metres, seconds := 0.0, 0.0
	for _, x := range s.full().Parts {
		if x.Role == segment.Work && x.DistanceM > 0 {
			reps = append(reps, x)
			metres, seconds = metres+x.DistanceM, seconds+x.Seconds()
		}
	}
	n := float64(len(reps))
	if n < 2 {
		return p
	}
	inTime, inSpace := true, true
	for _, x := range reps {
		inSpace = inSpace && math.Abs(x.DistanceM*n/metres-1) <= alikeShare
		inTime = inTime && math.Abs(x.Seconds()*n/seconds-1) <= alikeShare
	}
	if !inTime && !inSpace {
		return p
	}
	a, b := reps[0], reps[len(reps)-1]
	p = Progress{Reps: len(reps), First: a.Pace(), Last: b.Pace()}
	p.ChangeSPerKm = p.Last - p.First
	p.MarginSPerKm = 1.96 * math.Hypot(p.First*a.DistSE/a.DistanceM, p.Last*b.DistSE/b.DistanceM)
	return p
}
