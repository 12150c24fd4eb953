package recording

import (
	"fmt"
	"slices"
)

const (
	sparseS   = 2.5 // records further apart than this blur the edges of a rep
	gapS      = 20  // and than this are a gap, unless the device always samples so coarsely; smart sampling goes to 13 s
	maxListed = 5   // gaps named one by one
)

// judgeSampling looks at the time between records outside the stops.
func (r *Recording) judgeSampling() {
	steps := make([]float64, 0, len(r.T))
	r.eachStep(func(_, _ int, dt float64) { steps = append(steps, dt) })
	if len(steps) == 0 {
		return
	}
	slices.Sort(steps)
	gap := max(gapS, 4*steps[len(steps)/2])
	var gaps []Span
	total, sparse, longest := 0.0, 0.0, 0.0
	var where tally
	r.eachStep(func(i, j int, dt float64) {
		if dt > gap {
			gaps = append(gaps, Span{r.T[i], r.T[j]})
			return
		}
		total += dt
		if dt > sparseS {
			sparse += dt
			longest = max(longest, dt)
			where.over(r.T[i], r.T[j])
		}
	})
	if sparse > .2*total {
		r.warnTally(where, SparseSampling, "records are up to %.0f s apart, and over %.1f s apart for %.0f %% of the time: edges can be placed no finer",
			longest, sparseS, 100*sparse/total)
	}
	for i, g := range gaps {
		if i == maxListed && len(gaps) > maxListed+1 {
			rest := 0.0
			for _, g := range gaps[i:] {
				rest += g.Seconds()
			}
			r.Warn(Gap, fmt.Sprintf("%d more gaps of %.0f s in all", len(gaps)-i, rest), g.StartS, gaps[len(gaps)-1].EndS)
			break
		}
		r.Warn(Gap, fmt.Sprintf("nothing was recorded for %.0f s", g.Seconds()), g.StartS, g.EndS)
	}
}

// eachStep calls f for each pair of neighbouring records that have no stop
// between them.
func (r *Recording) eachStep(f func(i, j int, dt float64)) {
	k := 0
	for j := 1; j < len(r.T); j++ {
		from, to := r.T[j-1], r.T[j]
		for k < len(r.Stops) && r.Stops[k].EndS <= from {
			k++
		}
		if k < len(r.Stops) && r.Stops[k].StartS < to {
			continue
		}
		f(j-1, j, to-from)
	}
}

// judgeOdometer finds distances that fall, and a device speed of zero at
// records before and after which the distance grows at a walk or faster.
func (r *Recording) judgeOdometer() {
	const walk = 1.0 // m/s
	var falls, stuck tally
	lost := 0.0
	k, j := -1, -1 // the two records before that have a distance
	grows := func(i, j int) bool {
		dt := r.T[j] - r.T[i]
		return dt <= gapS && r.Distance.Value[j]-r.Distance.Value[i] > walk*dt
	}
	for i, ok := range r.Distance.Valid {
		if !ok {
			continue
		}
		if j >= 0 {
			if fall := r.Distance.Value[j] - r.Distance.Value[i]; fall > .5 {
				falls.over(r.T[j], r.T[i])
				lost += fall
			}
		}
		if k >= 0 {
			if v, ok := r.Speed.At(j); ok && v == 0 && grows(k, j) && grows(j, i) {
				stuck.at(r.T[j])
			}
		}
		k, j = j, i
	}
	r.warnTally(falls, DistanceFalls, "the distance falls %s, by %.0f m in all", times(falls.n), lost)
	r.warnTally(stuck, SpeedZero, "the device's speed is zero in %s amid which its distance grows", count(stuck.n, "record"))
}
