package recording

import (
	"fmt"
	"math"
	"slices"
)

// Bounds of what values may do from one record to the next.
const (
	// Odometers count in steps of 10 m at most, or hold for 2 or 3 s and then
	// count on by 10 to 14 m (seen in open recordings): with what a runner does
	// meanwhile, this much may come at once.
	countAtOnceM = 25
	// A device takes back a few metres when it knows better; more than backM
	// is wrong, and what falls by resetM and stays there is another count.
	backM, resetM = 10, 50
	// A leap of leapM is worth telling even where it may be true.
	leapM = 100
	// The records are those of the best; a slope and an odometer that is off by
	// some per cent may add a tenth (fitted to no file; common practice, no source).
	overRecord = 1.1
)

// fewest is the number of values from which neighbours tell what is right.
const fewest = 10

// dropFaults takes out values that cannot be true beside their neighbours, and
// counts that leap and stay there. What is real is left: a count or a fix that
// catches up after the sky was lost, a timer that stood, a correction.
func (r *Recording) dropFaults() {
	usual := r.usualSpeed()
	r.mendDistance(usual)
	r.mendPositions(usual)
	r.dropSpikes(usual)
}

// known lists the records at which a stream has a value.
func (s Stream) known() []int {
	at := make([]int, 0, len(s.Valid))
	for i, ok := range s.Valid {
		if ok {
			at = append(at, i)
		}
	}
	return at
}

// drop marks a value as not measured.
func (s Stream) drop(i int) { s.Value[i], s.Valid[i] = 0, false }

// usualSpeed is the median speed over pieces of 10 s or more in which the runner
// moved, m/s, from the distance, the speed or the positions, the first of them
// that there is; 3 where there is nothing to tell.
func (r *Recording) usualSpeed() float64 {
	const piece, moving = 10, 1.0 // s, m/s
	var along func(i, j int) float64
	var at []int
	switch {
	case r.Distance.Value != nil:
		at = r.Distance.known()
		along = func(i, j int) float64 { return r.Distance.Value[j] - r.Distance.Value[i] }
	case r.Latitude.Value != nil:
		at, along = r.Latitude.known(), r.apart
	case r.Speed.Value != nil:
		at = r.Speed.known()
		along = func(i, j int) float64 { return r.Speed.Value[j] * (r.T[j] - r.T[i]) }
	}
	var speeds []float64
	from := 0
	for k := range at {
		if dt := r.T[at[k]] - r.T[at[from]]; dt >= piece {
			if v := along(at[from], at[k]) / dt; v > moving {
				speeds = append(speeds, v)
			}
			from = k
		}
	}
	if len(speeds) == 0 {
		return 3
	}
	slices.Sort(speeds)
	return speeds[len(speeds)/2]
}

// apart is the distance between the positions of two records, m.
func (r *Recording) apart(i, j int) float64 {
	lat, lon := r.Latitude.Value, r.Longitude.Value
	if math.Abs(lat[i]-lat[j]) > 1 || math.Abs(lon[i]-lon[j]) > 1 {
		return greatCircle(lat[i], lon[i], lat[j], lon[j])
	}
	return nearby(lat[i], lon[i], lat[j], lon[j])
}

// stopped tells whether the timer stood at some time between two records.
func (r *Recording) stopped(i, j int) bool {
	k, _ := slices.BinarySearchFunc(r.Stops, r.T[i], func(s Span, t float64) int {
		if s.EndS <= t {
			return -1
		}
		return 1
	})
	return k < len(r.Stops) && r.Stops[k].StartS < r.T[j]
}

// mendDistance takes out counts that are wrong, and what a count leaps by.
func (r *Recording) mendDistance(usual float64) {
	at := r.Distance.known()
	if len(at) < fewest {
		return
	}
	d := r.Distance.Value
	limit := func(dt float64) float64 { return max(overRecord*quickest(dt), 3*usual*dt) + countAtOnceM }
	behind := r.behind(at, usual, limit)
	c := chain{
		n: len(at), at: func(i int) float64 { return r.T[at[i]] }, most: 30, over: 60, tail: 3,
		fits: func(i, j int) bool {
			rise := d[at[j]] - d[at[i]]
			return rise >= -backM && rise <= limit(r.T[at[j]]-r.T[at[i]])+behind[i]
		},
		fell: func(i, j int) bool { return d[at[j]] < d[at[i]]-resetM },
		anew: func(i, j int) bool {
			return d[at[j]] < d[at[i]]/2 && d[at[j]] <= limit(r.T[at[j]]-r.T[at[i]])
		},
	}
	wrong, levels := c.sort()
	if n := len(levels); n > 0 && r.calibrated(at, levels[n-1]) {
		levels = levels[:n-1]
	}
	var out, caught tally
	metres, last := 0.0, -1
	for k, i := range at {
		if wrong[k] {
			out.at(r.T[i])
			r.Distance.drop(i)
			continue
		}
		if last >= 0 && !slices.Contains(levels, k) {
			if rise := d[i] - d[last]; rise > leapM && rise > limit(r.T[i]-r.T[last]) && rise <= limit(r.T[i]-r.T[last])+behind[k-1] {
				caught.over(r.T[last], r.T[i])
				metres += rise
			}
		}
		last = i
	}
	r.warnTally(caught, DistanceJump, "the distance stands and then leaps %s, by %.0f m in all: that was taken to have been run meanwhile without a fix, and counts", times(caught.n), metres)
	r.warnTally(out, StrayValue, "%s of which the neighbours tell otherwise, or to which nobody could have run, left out", count(out.n, "distance"))
	r.relevel(c, levels, at, usual)
}

// behind is by how much an odometer may have fallen back at each of the records
// for want of a sky, m: over the time in which it hardly counts, what is usually
// run, less what it caught up since. What it counts at the usual pace shows that
// it lags no more.
func (r *Recording) behind(at []int, usual float64, limit func(dt float64) float64) []float64 {
	const halfS = 20 // s of counting after which half of it is forgotten; fitted to no file
	d := r.Distance.Value
	out := make([]float64, len(at))
	lag := 0.0
	for k := 1; k < len(at); k++ {
		i, j := at[k-1], at[k]
		dt, rise := r.T[j]-r.T[i], d[j]-d[i]
		switch {
		case rise < -backM || rise > limit(dt)+lag:
			continue // a wrong count tells nothing
		case r.stopped(i, j):
			lag = 0
		case dt > gapS: // nothing tells whether the odometer or the runner stood
		case rise < .3*usual*dt:
			if v, ok := r.Speed.At(j); !ok || v > .3*usual {
				lag += 1.3*usual*dt - rise
			}
		case rise > 1.5*usual*dt:
			lag = max(0, lag-(rise-usual*dt))
		default:
			lag *= math.Exp2(-dt / halfS)
		}
		out[k] = lag
	}
	return out
}

// calibrated tells whether the distance leaps in the last record, on a treadmill
// and within a quarter: the runner told the device what the belt showed. That is
// said, and kept.
func (r *Recording) calibrated(at []int, level int) bool {
	n := len(at)
	if r.Place != Treadmill || level < n-1 {
		return false
	}
	d := r.Distance.Value
	run, by := d[at[n-2]]-d[at[0]], d[at[n-1]]-d[at[n-2]]
	if math.Abs(by) > run/4 {
		return false
	}
	r.Warn(DistanceJump, fmt.Sprintf("the distance changes by %+.0f m in the last record; that was taken for the runner's correction to what the treadmill showed, and counts", by),
		r.T[at[n-2]], r.T[at[n-1]])
	return true
}

// relevel lets the distance go on where it leaps and stays there.
func (r *Recording) relevel(c chain, levels, at []int, usual float64) {
	if len(levels) == 0 {
		return
	}
	var anew, leaps tally
	fell, leapt, shift := 0.0, 0.0, 0.0
	d := r.Distance.Value
	raw := slices.Clone(d)
	next, last := 0, -1
	for k, i := range at {
		if !r.Distance.Valid[i] {
			continue
		}
		if next < len(levels) && k == levels[next] && last >= 0 {
			next++
			dt, rise := r.T[i]-r.T[last], raw[i]-raw[last]
			run := 0.0 // m that were run meanwhile, as far as can be known
			if dt <= gapS {
				run = usual * dt
			}
			switch {
			case rise < 0 && c.anew(k-1, k):
				run = raw[i]
				anew.over(r.T[last], r.T[i])
				fell -= rise
			case rise < 0 && rise > -resetM: // a correction
				run = rise
			default:
				leaps.over(r.T[last], r.T[i])
				leapt += rise - run
			}
			shift += run - rise
		}
		d[i] += shift
		last = i
	}
	r.warnTally(anew, DistanceFalls, "the distance falls %s, by %.0f m in all, and counts on from zero: what it counts then was added to what it had counted", times(anew.n), fell)
	r.warnTally(leaps, DistanceJump, "the distance leaps %s, by %+.0f m in all, which nobody can run, and stays there; the leap was taken out, and what was run in that moment is not known", times(leaps.n), leapt)
}
