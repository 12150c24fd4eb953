package recording

import (
	"fmt"
	"math"
	"slices"
)

// judgeUnits compares what the file says twice: the distance with the length
// of the track, the speed with the growth of the distance (or of the track).
// Values that differ by just the ratio of two units are suspect; they are kept.
func (r *Recording) judgeUnits() {
	const least = 300 // m of track, below which the ratio means nothing
	track := r.trackLength()
	distance, ok := r.travelled()
	if ok && track > least {
		r.suspect("distances", distance/track, []unit{
			{"kilometres, not metres", 1. / 1000}, {"miles, not metres", 1 / MetresPerMile}, {"feet, not metres", 1 / .3048}})
	}
	var ratios []float64
	const window = 30 // s; long enough that a smoothed speed has caught up
	from := -1
	sum, n := 0.0, 0
	r.eachStep(func(i, j int, dt float64) {
		if v, ok := r.Speed.At(j); ok {
			sum += v * dt
			n++
		}
		if _, ok := r.Distance.At(j); !ok {
			return
		}
		if from < 0 {
			from, sum, n = j, 0, 0
			return
		}
		if r.T[j]-r.T[from] < window {
			return
		}
		if d := r.Distance.Value[j] - r.Distance.Value[from]; d > 0 && sum > 0 && n > 0 {
			ratios = append(ratios, sum/d)
		}
		from, sum, n = j, 0, 0
	})
	if len(ratios) >= 3 {
		slices.Sort(ratios)
		r.suspect("speeds", ratios[len(ratios)/2], []unit{
			{"km/h, not m/s", 3.6}, {"miles an hour, not m/s", 3600 / MetresPerMile}, {"metres a minute, not m/s", 60},
			{"mm/s, not m/s", 1000}, {"cm/s, not m/s", 100}})
	}
}

// A unit that values may be in by mistake, and how many of it are in the right one.
type unit struct {
	name string
	in   float64
}

// suspect warns when a ratio is that of a known unit, within a twentieth.
func (r *Recording) suspect(what string, ratio float64, units []unit) {
	for _, u := range units {
		if math.Abs(ratio/u.in-1) < .05 {
			r.warnAll(UnitSuspect, fmt.Sprintf("the %s look like %s: they are %.4g times what the rest of the file says", what, u.name, ratio))
		}
	}
}

// travelled is the growth of the distance, in m.
func (r *Recording) travelled() (metres float64, ok bool) {
	first, last := -1, -1
	for i, valid := range r.Distance.Valid {
		if valid {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	if first == last {
		return 0, false
	}
	return r.Distance.Value[last] - r.Distance.Value[first], true
}

// trackLength is the length of the track along its positions, in m. Positions
// closer than 10 m to the last one that counted are passed over, so that the
// noise of standing does not add up.
func (r *Recording) trackLength() float64 {
	total, last := 0.0, -1
	for i, ok := range r.Latitude.Valid {
		if !ok {
			continue
		}
		if last >= 0 {
			d := nearby(r.Latitude.Value[last], r.Longitude.Value[last], r.Latitude.Value[i], r.Longitude.Value[i])
			if d < 10 {
				continue
			}
			total += d
		}
		last = i
	}
	return total
}

// A mean of 8 m/s over two minutes is 960 m at 2:05/km: nobody runs that (the
// men's record for 800 m is 1:40.91, 7.93 m/s; from memory).
const (
	tooFast  = 8.0
	tooFastS = 120.0
)

// judgePace finds a run, or a piece of one, at the speed of a vehicle.
func (r *Recording) judgePace() {
	if r.Sport != Running {
		return
	}
	at, metres := r.way()
	var fast tally
	seconds, covered, from := 0.0, math.Inf(-1), 0
	for i := range at {
		for from+1 < i && at[i]-at[from+1] >= tooFastS {
			from++
		}
		dt := at[i] - at[from]
		if dt < tooFastS || dt > 2*tooFastS || metres[i]-metres[from] <= tooFast*dt {
			continue
		}
		fast.over(at[from], at[i])
		seconds += at[i] - max(covered, at[from])
		covered = at[i]
	}
	r.warnTally(fast, TooFast, "%.0f s of this run are at the speed of a vehicle (over %.0f km/h)", seconds, 3.6*tooFast)
}

// way is the distance covered at each time that tells it: by the odometer, else along the
// positions, else by the speeds.
func (r *Recording) way() (at, metres []float64) {
	at, metres = make([]float64, 0, len(r.T)), make([]float64, 0, len(r.T))
	switch {
	case r.Distance.Value != nil:
		for i, ok := range r.Distance.Valid {
			if ok {
				at, metres = append(at, r.T[i]), append(metres, r.Distance.Value[i])
			}
		}
	case r.Latitude.Value != nil:
		last, total := -1, 0.0
		for i, ok := range r.Latitude.Valid {
			if !ok {
				continue
			}
			if last >= 0 {
				total += nearby(r.Latitude.Value[last], r.Longitude.Value[last], r.Latitude.Value[i], r.Longitude.Value[i])
			}
			at, metres = append(at, r.T[i]), append(metres, total)
			last = i
		}
	default:
		total := 0.0
		r.eachStep(func(_, j int, dt float64) {
			if v, ok := r.Speed.At(j); ok {
				total += v * dt
				at, metres = append(at, r.T[j]), append(metres, total)
			}
		})
	}
	return at, metres
}
