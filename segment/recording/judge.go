package recording

import (
	"fmt"
	"math"
	"slices"
)

// judge puts units right that the format leaves open, drops values that no
// sensor measures, and warns of what is odd about the streams.
func (r *Recording) judge() {
	r.dropImpossible()
	r.judgeHeart()
	r.judgeCadence()
	r.dropFaults()
	r.judgeStreams()
	r.judgeSampling()
	r.judgeLaps()
	r.judgeOdometer()
	r.judgeUnits()
	r.judgePace()
}

// A tally counts records and remembers where they are.
type tally struct {
	n           int
	first, last float64 // s
}

func (t *tally) at(s float64) { t.over(s, s) }

func (t *tally) over(from, to float64) {
	if t.n == 0 {
		t.first, t.last = from, to
	}
	t.n++
	t.first = min(t.first, from) // laps may come in any order
	t.last = max(t.last, to)
}

// warnTally warns of what was counted, if anything.
func (r *Recording) warnTally(t tally, code, format string, args ...any) {
	if t.n > 0 {
		r.Warn(code, fmt.Sprintf(format, args...), t.first, t.last)
	}
}

// dropImpossible takes out positions off the globe and any value too large for what it
// measures.
func (r *Recording) dropImpossible() {
	r.dropOffGlobe()
	for _, c := range []struct {
		s         *Stream
		name      string
		low, high float64 // far beyond what there is
	}{
		{&r.Distance, "distances", 0, 1e7}, {&r.Speed, "speeds", 0, 1000}, {&r.HeartRate, "heart rates", 0, 254},
		{&r.Cadence, "cadences", 0, 1000}, {&r.Altitude, "altitudes", -1000, 100_000},
	} {
		var out tally
		for i, ok := range c.s.Valid {
			if v := c.s.Value[i]; ok && !(v >= c.low && v <= c.high) {
				out.at(r.T[i])
				c.s.Value[i], c.s.Valid[i] = 0, false
			}
		}
		if out.n > 0 && c.s.Count() == 0 {
			*c.s = Stream{}
		}
		r.warnTally(out, ImpossibleValue, "%d %s outside %.0f to %.0f left out", out.n, c.name, c.low, c.high)
	}
}

// dropOffGlobe takes out positions off the globe, of which a position of exactly 0, 0 is
// what receivers write without a fix (common practice, no source).
func (r *Recording) dropOffGlobe() {
	var bad, alone tally
	for i := range r.Latitude.Value {
		lat, okLat := r.Latitude.At(i)
		lon, okLon := r.Longitude.At(i)
		switch {
		case !okLat && !okLon:
			continue
		case okLat && okLon && math.Abs(lat) <= 90 && math.Abs(lon) <= 360 && (lat != 0 || lon != 0):
			continue
		case okLat != okLon:
			alone.at(r.T[i])
		default:
			bad.at(r.T[i])
		}
		r.Latitude.Value[i], r.Latitude.Valid[i] = 0, false
		if r.Longitude.Value != nil {
			r.Longitude.Value[i], r.Longitude.Valid[i] = 0, false
		}
	}
	if r.Latitude.Value == nil || r.Latitude.Count() == 0 {
		r.Latitude, r.Longitude = Stream{}, Stream{}
	}
	r.warnTally(bad, ImpossibleValue, "%s off the globe, or at 0, 0, which means no fix, left out", count(bad.n, "position"))
	r.warnTally(alone, ImpossibleValue, "%s with a latitude and no longitude, or the reverse, left out", count(alone.n, "position"))
}

// judgeHeart drops heart rates of zero: a sensor writes zero when it has none.
func (r *Recording) judgeHeart() {
	var zeros tally
	for i, ok := range r.HeartRate.Valid {
		if ok && r.HeartRate.Value[i] == 0 {
			zeros.at(r.T[i])
			r.HeartRate.Valid[i] = false
		}
	}
	if zeros.n > 0 && r.HeartRate.Count() == 0 {
		r.HeartRate = Stream{}
		r.warnAll(HeartRateAllZero, "heart rate is zero throughout, so it was not measured")
		return
	}
	r.warnTally(zeros, HeartRateZero, "heart rate is zero in %s and was not measured there", count(zeros.n, "record"))
}

// Above this a median cadence cannot be strides a minute, and below it not
// running steps a minute (common practice, no source: runners take 140 to 200).
const cadenceBorder = 120

// judgeCadence turns strides into steps for those on foot, and drops the
// turns of anything else.
func (r *Recording) judgeCadence() {
	if !r.Sport.onFoot() {
		r.Cadence = Stream{}
		return
	}
	moving := make([]float64, 0, len(r.Cadence.Valid))
	for i, ok := range r.Cadence.Valid {
		if ok && r.Cadence.Value[i] > 0 {
			moving = append(moving, r.Cadence.Value[i])
		}
	}
	if len(moving) == 0 {
		return
	}
	slices.Sort(moving)
	if median := moving[len(moving)/2]; median >= cadenceBorder {
		if r.Format == "fit" || r.Format == "tcx" {
			r.warnAll(CadenceInSteps, fmt.Sprintf("cadence was taken as steps, though the format has strides: half of it is over %.0f a minute", median))
		}
		return
	}
	for i := range r.Cadence.Value {
		r.Cadence.Value[i] *= 2
	}
}

// judgeStreams says when there is little to go by.
func (r *Recording) judgeStreams() {
	moves := r.Speed.Value != nil || r.Distance.Value != nil || r.Latitude.Value != nil
	switch {
	case !moves && r.HeartRate.Value != nil:
		r.warnAll(OnlyHeartRate, "there is heart rate and neither speed, distance nor position")
	case r.Distance.Value != nil && r.Speed.Value == nil && r.Latitude.Value == nil && r.HeartRate.Value == nil:
		r.warnAll(OnlyDistance, "there is distance and neither speed, position nor heart rate")
	}
}

// judgeLaps finds laps with nothing in them.
func (r *Recording) judgeLaps() {
	var empty tally
	for _, l := range r.Laps {
		i, _ := slices.BinarySearch(r.T, l.StartS)
		if l.EndS <= l.StartS || i == len(r.T) || r.T[i] > l.EndS {
			empty.over(l.StartS, l.EndS)
		}
	}
	r.warnTally(empty, EmptyLap, "%s with no time or no record in %s", count(empty.n, "lap"), them(empty.n))
}

func them(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}
