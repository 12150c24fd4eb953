package match

import (
	"math"

	"example.org/rungs/workouts/trend"
)

// What is left out of a rep before its halves are held against each other, s: the
// runner speeds up and the device's speed lags behind (a first-order lag of up to 5 s
// has come to 95 % after 15 s), and the last seconds may hold the slowing down (common
// practice, no source).
const (
	settleStartS = 15.0
	settleEndS   = 5.0
	leastHalfS   = 15.0 // below that a half says nothing
)

// fade is the pace of the second half of the settled part of a rep against the first,
// percent, with its standard error; NaN for a rep too short to have one.
func (m *measurer) fade(s Span) (pct, se float64) {
	from, to := s.StartS+settleStartS, s.EndS-settleEndS
	mid := (from + to) / 2
	if !(to-from >= 2*leastHalfS) {
		return nan, nan
	}
	p1, s1 := m.steady(from, mid)
	p2, s2 := m.steady(mid, to)
	if !(p1 > 0) || math.IsInf(p1, 0) || math.IsInf(p2, 0) {
		return nan, nan
	}
	p1, p2 = p1*m.moving(from, mid), p2*m.moving(mid, to)
	return 100 * (p2 - p1) / p1, slowNoise * 100 * math.Hypot(s1, s2) / p1
}

// slowNoise is what noise slower than the blocks by which it is measured adds to the
// error of a half against the other (fitted by go test -run TestFade -v).
const slowNoise = 1.2

// widenFades takes into the errors of fades what the reps tell of them: where most
// differ from the middle one by more than their errors explain, those are too small.
func (r *Result) widenFades() {
	const leastReps = 4
	var fades []float64
	for _, rep := range r.Reps {
		if rep.FadeSE > 0 {
			fades = append(fades, rep.FadePct)
		}
	}
	if len(fades) < leastReps {
		return
	}
	middle := trend.Median(fades)
	var off []float64
	for _, rep := range r.Reps {
		if rep.FadeSE > 0 {
			off = append(off, math.Abs(rep.FadePct-middle)/rep.FadeSE)
		}
	}
	const mad = 1.482602218505602 // of a normal deviate (Hampel 1974, JASA 69:382-393)
	w := math.Max(1, mad*trend.Median(off)*math.Sqrt(float64(len(off))/float64(len(off)-1)))
	for i := range r.Reps {
		r.Reps[i].FadeSE *= w
	}
}

// steady is the pace of a stretch inside a rep, at whose ends speed does not change, and its
// standard error from the noise of speed alone.
func (m *measurer) steady(a, b float64) (pace, se float64) {
	pace, _ = m.sp.s.Pace(a, b)
	return pace, pace * m.sp.s.Trace.Noise.Odometer * math.Sqrt(b-a) / m.sp.s.Distance(a, b)
}
