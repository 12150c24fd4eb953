package signal

import (
	"fmt"
	"math"
	"slices"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
)

// A Fault is a span in which a stream was not believed, and why.
type Fault struct {
	recording.Span
	Stream  Source  // that is at fault
	Code    string  // of the warning that says so
	Text    string  // the same in words, a whole clause
	ExcessM float64 // by which it tells of more than was taken instead, m; below 0 less

	metres float64 // that the stream tells of
}

// Codes of faults.
const (
	beyondRunning = "faster-than-anyone-runs" // for that long; nothing else tells what was run, or another stream does
	carriedAlong  = "carried-along"           // faster than all but the quickest run, while the heart slowed down
	streamsApart  = "streams-disagree"        // distance and device speed tell different tales, and one was taken
	lateDistance  = "distance-corrected-late" // distance fell short and was made up later; device speed tells when it was run
	heldDistance  = "distance-held"           // distance stays for some records and then makes up for them, throughout
)

// joinLate makes one fault of a distance that fell short and was made up later.
func (tr *Trace) joinLate() {
	for i, short := range tr.Faults {
		for k, more := range tr.Faults {
			both := short.ExcessM + more.ExcessM
			if short.Stream != Odometer || more.Stream != Odometer || short.ExcessM >= 0 || more.StartS < short.EndS || math.Abs(both) > 0.4*more.ExcessM {
				continue
			}
			tr.Faults[i] = Fault{
				Span: recording.Span{StartS: short.StartS, EndS: more.EndS}, Stream: Odometer, Code: lateDistance, ExcessM: both,
				Text: fmt.Sprintf("distance falls short by %.0f m within %.0f s and adds %.0f m within %.0f s later; device speed is taken in both",
					-short.ExcessM, short.Seconds(), more.ExcessM, more.Seconds()),
			}
			tr.Faults = append(tr.Faults[:k:k], tr.Faults[k+1:]...)
			return
		}
	}
}

// leastFault is from what error of distance on a fault is worth a word, m.
const leastFault = 40.0

// dropImpossible takes out of a source's distance what nobody runs, or nobody with that heart rate. What takes its place
// is the slower of the running before and after, and nothing is known there until
// another stream says more.
func (tr *Trace) dropImpossible(r *recording.Recording) {
	n := tr.Len()
	raw := make([]float64, n)
	for i := range raw {
		raw[i] = math.NaN()
		if tr.Known[i] {
			raw[i] = tr.Dist[i+1] - tr.Dist[i]
		}
	}
	rides := ability.Carried(raw, tr.HeartRate, func() []float64 { return even(r.T, r.Speed, n) })
	bad := make([]bool, n)
	for _, s := range slices.Concat(ability.Beyond(raw, 1), rides) {
		for i := int(s.StartS); i < int(s.EndS); i++ {
			bad[i] = true
		}
	}
	spans := ability.SpansOf(bad)
	if len(spans) == 0 {
		return
	}
	tr.doubted = make([]bool, n)
	for _, s := range spans {
		lo, hi := int(s.StartS), int(s.EndS)
		counted := ability.Metres(raw[lo:hi])
		fill := min(usualNear(raw, max(0, lo-aside), lo), usualNear(raw, hi, min(n, hi+aside)))
		for i := lo; i < hi; i++ {
			raw[i], tr.doubted[i] = fill, true
			tr.Known[i] = s.Seconds() <= longestGap // as in smart recording, it is bridged
		}
		code, why := beyondRunning, "which nobody runs"
		if slices.ContainsFunc(rides, func(ride recording.Span) bool { return ride.StartS < s.EndS && ride.EndS > s.StartS }) {
			code, why = carriedAlong, "while the heart slowed down, so it was no running"
		}
		tr.Faults = append(tr.Faults, Fault{s, tr.Source, code, fmt.Sprintf(
			"%s tells of %.0f m in %.0f s, %s; it is not counted there", tr.Source, counted, s.Seconds(), why), counted - fill*s.Seconds(), counted})
	}
	dist := make([]float64, n+1)
	for i := range n {
		step := tr.Dist[i+1] - tr.Dist[i]
		if tr.doubted[i] {
			step = raw[i]
			tr.Speed[i] = step
		}
		dist[i+1] = dist[i] + step
	}
	tr.Dist = dist
}

// aside is over how many seconds beside a fault the running counts as usual.
const aside = 20

// usualNear is the mean speed from cell lo to hi where known and runnable for long, else zero.
func usualNear(speed []float64, lo, hi int) float64 {
	sum, k := 0.0, 0.0
	for _, v := range speed[lo:hi] {
		if v >= 0 && v <= ability.Longest {
			sum, k = sum+v, k+1
		}
	}
	return sum / max(k, 1)
}
