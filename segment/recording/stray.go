package recording

import (
	"math"
	"slices"
)

// mendPositions takes out positions to which nobody could have run and come
// back, and moves back what follows a leap of half a kilometre or more.
func (r *Recording) mendPositions(usual float64) {
	const (
		noisy = 35.0  // m, a hop that any receiver may make (30 to 33 m in open recordings)
		lost  = 500.0 // m; a receiver that finds its sky again may be off by some hundred at first
	)
	at := r.Latitude.known()
	if len(at) < fewest {
		return
	}
	slack := noisy + 10*r.positionNoise(at)
	c := chain{
		n: len(at), at: func(i int) float64 { return r.T[at[i]] }, most: 30, over: 60, tail: 3,
		fits: func(i, j int) bool {
			dt, apart := r.T[at[j]]-r.T[at[i]], r.apart(at[i], at[j])
			if apart <= 2*usual*dt+slack && dt < 60 || r.stopped(at[i], at[j]) {
				return true
			}
			return apart <= min(max(overRecord*quickest(dt), 3*usual*dt), 2*max(usual, r.localSpeed(at, i))*dt)+slack
		},
	}
	wrong, levels := c.sort()
	var out, leaps tally
	for k, i := range at {
		if wrong[k] {
			out.at(r.T[i])
		}
	}
	leapt := 0.0
	for _, k := range levels {
		// The last one that is believed.
		last := k - 1
		for wrong[last] {
			last--
		}
		by := r.apart(at[last], at[k])
		if by < leapM {
			continue
		}
		leaps.over(r.T[at[last]], r.T[at[k]])
		leapt += by
		if by > lost {
			r.moveBack(at[last], at[k:])
		}
	}
	for k, i := range at {
		if wrong[k] {
			r.Latitude.drop(i)
			r.Longitude.drop(i)
		}
	}
	r.warnTally(out, StrayValue, "%s from which nobody could have run back, or to which nobody could have run, left out", count(out.n, "position"))
	r.warnTally(leaps, PositionJump, "the positions leap %s, by %.0f m in all, faster than anyone runs, and stay there; a leap of over %.0f m was taken out", times(leaps.n), leapt, lost)
}

// moveBack moves positions so that the first of them is where the last one
// before was: only lengths between them are used, and these stay.
func (r *Recording) moveBack(last int, at []int) {
	lat, lon := r.Latitude.Value, r.Longitude.Value
	fromLat, fromLon := lat[at[0]], lon[at[0]]
	cos := func(deg float64) float64 { return max(.01, math.Cos(deg*math.Pi/180)) }
	for _, i := range at {
		x := math.Remainder(lon[i]-fromLon, 360) * cos(lat[i])
		lat[i] = max(-90, min(90, lat[last]+lat[i]-fromLat))
		lon[i] = math.Remainder(lon[last]+x/cos(lat[i]), 360)
	}
}

// positionNoise is the median distance, m, of a position from the middle of its
// neighbours, where these are no more than 10 s from it.
func (r *Recording) positionNoise(at []int) float64 {
	const enough = 500 // of them to know the median
	off := make([]float64, 0, enough)
	lat, lon := r.Latitude.Value, r.Longitude.Value
	for k := 1; k+1 < len(at); k += max(1, len(at)/enough) {
		a, b, c := at[k-1], at[k], at[k+1]
		if r.T[c]-r.T[a] > 20 || math.Abs(lon[c]-lon[a]) > 1 {
			continue
		}
		w := (r.T[b] - r.T[a]) / (r.T[c] - r.T[a])
		off = append(off, nearby(lat[a]+w*(lat[c]-lat[a]), lon[a]+w*(lon[c]-lon[a]), lat[b], lon[b]))
	}
	if len(off) == 0 {
		return 0
	}
	slices.Sort(off)
	return off[len(off)/2]
}

// localSpeed is the median speed along the positions about one of them, m/s.
func (r *Recording) localSpeed(at []int, k int) float64 {
	const half = 10 // positions on each side
	legs := make([]float64, 0, 2*half+1)
	for l := max(1, k-half); l < min(len(at), k+half+1); l++ {
		legs = append(legs, r.apart(at[l-1], at[l])/(r.T[at[l]]-r.T[at[l-1]]))
	}
	slices.Sort(legs)
	return legs[len(legs)/2]
}

// dropSpikes takes out values that no body has, and values that are
// far from what is before and after them.
func (r *Recording) dropSpikes(usual float64) {
	fastest := max(12.5, 3*usual)
	if !r.Sport.onFoot() {
		fastest = 40 // a bicycle downhill (common practice, no source)
	}
	for _, s := range []struct {
		s         *Stream
		name      string
		low, high float64 // beyond it there is none
		atOnce    float64 // between neighbours, by noise,
		perS      float64 // and more for each second, but no more than
		most      float64
		zero      bool // zero has a meaning of its own
	}{
		// The fastest speed seen in a race is about 12.4 m/s; nobody gains or
		// loses 5 m/s in a second twice, nor, between the records of a run, runs
		// by 7 m/s more than before and after (from memory).
		{&r.Speed, "speed", 0, fastest, 3, 5, 7, true},
		// Hearts of athletes beat from about 26 to 240 a minute. A heart gains
		// about a beat a second as hard work begins (Hunt et al. 2015, doi
		// 10.1186/s12938-015-0112-7: 3 in four seconds for a change of 2 m/s).
		{&r.HeartRate, "heart rate", 25, 245, 20, 1.5, 60, false},
	} {
		at := s.s.known()
		if len(at) < fewest {
			continue
		}
		at = slices.DeleteFunc(at, func(i int) bool { return s.zero && s.s.Value[i] == 0 })
		v := s.s.Value
		wrong := map[int]bool{}
		inside := at[:0:0]
		for _, i := range at {
			if v[i] < s.low || v[i] > s.high {
				wrong[i] = true
			} else {
				inside = append(inside, i)
			}
		}
		c := chain{
			n: len(inside), at: func(k int) float64 { return r.T[inside[k]] }, most: 5, over: 60,
			fits: func(k, l int) bool {
				return math.Abs(v[inside[k]]-v[inside[l]]) <= min(s.most, s.atOnce+s.perS*(r.T[inside[l]]-r.T[inside[k]]))
			},
		}
		away, _ := c.sort()
		for k, i := range inside {
			if away[k] {
				wrong[i] = true
			}
		}
		if len(wrong) > max(10, len(at)/50) { // not single faults: this device is like that
			continue
		}
		var out tally
		for _, i := range at {
			if wrong[i] {
				out.at(r.T[i])
				s.s.drop(i)
			}
		}
		if out.n > 0 && s.s.Count() == 0 {
			*s.s = Stream{}
		}
		r.warnTally(out, StrayValue, "%s left out that cannot be, or that %s far from the ones before and after",
			count(out.n, s.name), map[bool]string{true: "is", false: "are"}[out.n == 1])
	}
}
