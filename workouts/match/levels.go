package match

import (
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// levels is what speeds the alignment expects, m/s: first from the targets and
// a first look at the run, then from the reps that were found.
type levels struct {
	untargeted float64         // of work without a target pace
	pace       float64         // share of the targets to look for at first
	found      map[int]float64 // by group: speed relative to target, or speed when untargeted
}

// firstLook guesses the speed of work without a target from the session's own
// split, else from the faster of two speed levels.
func (sp *speeds) firstLook() float64 {
	var d, t float64
	for _, g := range sp.s.Segments {
		if g.Role == segment.Work && g.Seconds() > 0 && g.DistanceM > 0 {
			d, t = d+sp.at(g.EndS)-sp.at(g.StartS), t+g.Seconds()
		}
	}
	if t > 0 {
		return d / t
	}
	_, fast := sp.twoLevels()
	return fast
}

// goalSpeed is the speed a step asks for, m/s, 0 when it asks for none.
func goalSpeed(g workouts.Goal) float64 {
	if g.Kind != workouts.PaceGoal || !(g.Pace > 0) {
		return 0
	}
	if g.EndPace > 0 {
		return 2000 / (g.Pace + g.EndPace)
	}
	return 1000 / g.Pace
}

// unplanned is the speeds of stretches that no step stands for.
type unplanned struct{ slow, fast band }

// set gives every task the band of speeds that fits it, and returns the bands
// of unplanned slow and fast stretches.
func (lv levels) set(ts []task) unplanned {
	var work []float64
	speed := make([]float64, len(ts))
	for i := range ts {
		if ts[i].work {
			speed[i] = lv.work(&ts[i])
			work = append(work, speed[i])
		}
	}
	if len(work) == 0 {
		for i := range ts {
			ts[i].level = restBand(ts[i].planned.Goal, math.Inf(1))
		}
		return unplanned{band{0, math.Inf(1), 0.06}, band{0, math.Inf(1), 0.06}}
	}
	slices.Sort(work)
	least, mid := work[0], work[len(work)/2]
	before := 0.0
	for i := range ts {
		if ts[i].work {
			before = speed[i]
			continue
		}
		near := least
		if ts[i].planned.Role == segment.Recovery {
			near = math.Inf(1)
			if before > 0 {
				near = before
			}
			for k := i + 1; k < len(ts); k++ {
				if ts[k].work {
					near = math.Min(near, speed[k])
					break
				}
			}
		}
		share := 0.87
		switch ts[i].planned.Step.Manner {
		case workouts.Float, workouts.Steady, workouts.Easy:
			share = 0.95
		}
		ts[i].level = restBand(ts[i].planned.Goal, share*near)
	}
	return unplanned{band{0, 0.87 * mid, 0.04}, band{0.93 * mid, math.Inf(1), 0.04}}
}

// restBand is the band of anything but work: what its goal asks, or all that
// is slower than top.
func restBand(g workouts.Goal, top float64) band {
	if v := goalSpeed(g); v > 0 {
		return band{0.9 * v, 1.1 * v, 0.08}
	}
	return band{0, top, 0.04}
}

// work sets the band of a work task and returns its middle.
func (lv levels) work(t *task) float64 {
	found, seen := lv.found[t.group]
	g := t.planned.Goal
	v := goalSpeed(g)
	switch {
	case v > 0 && !seen:
		v *= lv.pace
		t.level = band{0.95 * v, 1.05 * v, 0.05}
	case v > 0:
		v *= found
		t.level = band{0.985 * v, 1.015 * v, 0.035}
		if g.EndPace > 0 {
			t.level = band{0.95 * v, 1.05 * v, 0.05}
		}
	case !seen:
		v = lv.untargeted
		t.level = band{0.92 * v, 1.25 * v, 0.06}
	default:
		v = found
		t.level = band{0.93 * v, 1.08 * v, 0.05}
		if g.Kind == workouts.QuickerGoal {
			t.level = band{0.9 * v, 1.13 * v, 0.05}
		}
	}
	return v
}

// learn reads the levels of the groups off an alignment.
func (lv *levels) learn(ts []task, path []placed, sp *speeds) {
	type sum struct{ ran, asked float64 }
	sums := map[int]sum{}
	for _, p := range path {
		if p.move != moveStep || !ts[p.task].work || !(p.end > p.start) {
			continue
		}
		t := ts[p.task]
		moving := p.end - p.start - sp.stoodS(int(p.start), int(p.end))
		ran := sp.at(p.end) - sp.at(p.start)
		if !(moving > 0) || !(ran > 0) {
			continue
		}
		asked := moving
		if v := goalSpeed(t.planned.Goal); v > 0 {
			asked *= v
		}
		s := sums[t.group]
		sums[t.group] = sum{s.ran + ran, s.asked + asked}
	}
	lv.found = map[int]float64{}
	for g, s := range sums {
		lv.found[g] = s.ran / s.asked
	}
}
