package recording

import (
	"math"
	"slices"
)

// MetresPerMile is the international mile, exact by definition (1959).
const MetresPerMile = 1609.344

// paceUnits are the units a pace may be written in: seconds of it, metres of it.
var paceUnits = []struct {
	name            string
	seconds, metres float64
}{
	{"min/km", 60, 1000}, {"min/mi", 60, MetresPerMile}, {"s/km", 1, 1000}, {"s/mi", 1, MetresPerMile},
}

// pace reads a cell of a pace column as a number of the column's unit. A cell
// written minutes:seconds is brought to that unit; in a column of unknown unit
// it is minutes.
func (r *csvReader) pace(kind, c string) (float64, bool) {
	if v, ok := clockTime(c); ok {
		if kind == "s/km" || kind == "s/mi" {
			return v, true
		}
		return v / 60, true
	}
	return r.number(c)
}

// settlePace turns the pace column into speeds, unless a speed column was read.
// The unit of a plain "pace" is the one that agrees best with the distance
// column: least median ratio of the two speeds. Without a distance it is
// minutes below 60 and seconds from there, for a kilometre.
func (r *csvReader) settlePace() {
	if r.paceCol < 0 {
		return
	}
	kind := r.kinds[r.paceCol]
	unit := slices.IndexFunc(paceUnits, func(u struct {
		name            string
		seconds, metres float64
	}) bool {
		return u.name == kind
	})
	if unit < 0 {
		var misfit float64
		unit, misfit = r.guessPaceUnit()
		switch {
		case unit >= 0 && misfit < .15:
			r.note(PaceUnit, "column %q does not say its unit; it was taken as %s, which agrees with the distance within %.0f %%",
				r.names[r.paceCol], paceUnits[unit].name, math.Ceil(100*misfit))
		case unit >= 0:
			r.note(PaceUnit, "column %q does not say its unit, and none agrees with the distance (the nearest, %s, is %.0f %% off); it was left out",
				r.names[r.paceCol], paceUnits[unit].name, 100*misfit)
			return
		default:
			unit = 0
			if r.medianPace() >= 60 {
				unit = 2
			}
			r.note(PaceUnit, "column %q does not say its unit, and there is no distance to compare with; it was taken as %s",
				r.names[r.paceCol], paceUnits[unit].name)
		}
	}
	u := paceUnits[unit]
	for i := range r.points {
		v := &r.points[i].v[colSpeed]
		if *v != *v && r.paces[i] > 0 {
			*v = u.metres / (u.seconds * r.paces[i])
		}
	}
}

// guessPaceUnit compares each unit with the speed from distances over 30 s. It
// returns -1 when there is too little distance, else the best unit and its
// median relative misfit.
func (r *csvReader) guessPaceUnit() (unit int, misfit float64) {
	const window = int64(30e9)
	var logs []float64 // ln(speed from distance x pace value)
	from := 0
	for to := range r.points {
		a, b := r.points[from], r.points[to]
		if b.at-a.at < window {
			continue
		}
		metres, seconds := b.v[colDistance]-a.v[colDistance], float64(b.at-a.at)/1e9
		sum, n := 0.0, 0
		for i := from + 1; i <= to; i++ {
			if r.paces[i] > 0 {
				sum += 1 / r.paces[i]
				n++
			}
		}
		if metres > seconds && n > 0 { // faster than a slow walk: not standing
			logs = append(logs, math.Log(metres/seconds*float64(n)/sum))
		}
		from = to
	}
	if len(logs) < 3 {
		return -1, 0
	}
	slices.Sort(logs)
	best, least := -1, math.Inf(1)
	for i, u := range paceUnits {
		k := math.Log(u.metres / u.seconds)
		off := make([]float64, len(logs))
		for j, l := range logs {
			off[j] = math.Abs(l - k)
		}
		slices.Sort(off)
		if m := off[len(off)/2]; m < least {
			best, least = i, m
		}
	}
	return best, math.Expm1(least)
}

// medianPace is the middle of the positive paces; 0 when there are none.
func (r *csvReader) medianPace() float64 {
	var v []float64
	for _, p := range r.paces {
		if p > 0 {
			v = append(v, p)
		}
	}
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/2]
}
