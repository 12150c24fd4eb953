package match

import (
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// An anchor says what the first look for the reps takes for their speed.
type anchor int

const (
	byContrast anchor = iota // the run's own work, whatever was asked
	byTargets                // the targets
)

// levels is what speeds the alignment expects, m/s: at first the run's own, in the
// proportions of the targets; then those of the reps that were found. A rep is found
// by standing out from what lies around it, so that a target never makes one missed.
type levels struct {
	run    float64       // of work in this run
	mean   float64       // of the whole run without halts, by which plans without work are laid
	anchor anchor        // what the first look goes by
	low    float64       // of run, from which a rep is first looked for
	found  map[int]speed // by group: those of the reps found
}

// A speed is the mean, least and most speed of the reps of a group, m/s.
type speed struct{ mean, least, most float64 }

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
	asked := meanGoal(ts, isWork)
	for i := range ts {
		if ts[i].work {
			speed[i] = lv.work(&ts[i], asked)
			work = append(work, speed[i])
		}
	}
	if len(work) == 0 {
		lv.setEasy(ts)
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
		ts[i].level = band{0, share * near, 0.04}
	}
	return unplanned{band{0, 0.87 * mid, 0.04}, band{0.93 * mid, math.Inf(1), 0.04}}
}

// setEasy gives the steps of a plan without work any speed, but where each is asked another
// one: then that, in proportion to what was run, so that no target makes a step missed.
func (lv levels) setEasy(ts []task) {
	asked := meanGoal(ts, func(*task) bool { return true })
	unlike := slices.ContainsFunc(ts, func(t task) bool { return goalSpeed(t.planned.Goal) != goalSpeed(ts[0].planned.Goal) })
	for i := range ts {
		ts[i].level = band{0, math.Inf(1), 0.04}
		if unlike && asked > 0 && lv.mean > 0 {
			v := goalSpeed(ts[i].planned.Goal) * lv.mean / asked
			ts[i].level = band{0.9 * v, 1.1 * v, 0.08}
		}
	}
}

// isWork tells the tasks that are work.
func isWork(t *task) bool { return t.work }

// meanGoal is the mean speed that some tasks are asked to be run at, m/s; 0 when one of them
// has no target.
func meanGoal(ts []task, some func(*task) bool) float64 {
	var metres, seconds float64
	for i := range ts {
		if !some(&ts[i]) {
			continue
		}
		v := goalSpeed(ts[i].planned.Goal)
		if v == 0 {
			return 0
		}
		s := math.Max(ts[i].seconds(), 1)
		metres, seconds = metres+v*s, seconds+s
	}
	if seconds == 0 {
		return 0
	}
	return metres / seconds
}

// work sets the band of a work task and returns the speed that what lies around
// it must stay below: that of the slowest reps of its kind.
func (lv levels) work(t *task, asked float64) float64 {
	goal := goalSpeed(t.planned.Goal)
	if f, seen := lv.found[t.group]; seen {
		t.level = band{0.95 * f.least, 1.06 * f.most, 0.05}
		return f.mean
	}
	v := lv.run
	switch {
	case lv.anchor == byTargets && goal > 0:
		v = goal
		t.level = band{0.95 * v, 1.05 * v, 0.05}
		return v
	case goal > 0 && asked > 0:
		v *= goal / asked
	}
	t.level = band{lv.low * v, 1.25 * v, 0.06}
	return v
}

// learn reads the speeds of the groups off an alignment. Reps of about their amount
// teach; of a group without one, all do.
func (lv *levels) learn(ts []task, path []placed, sp *speeds) {
	type sum struct {
		metres, seconds float64
		all             []float64
	}
	sums := map[int]sum{}
	for _, alike := range []bool{true, false} {
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
			amount := moving
			if t.metres {
				amount = ran
			}
			near := t.open || amount > 0.75*t.amount && amount < 1.33*t.amount
			if _, seen := lv.found[t.group]; seen || near != alike {
				continue
			}
			s := sums[t.group]
			sums[t.group] = sum{s.metres + ran, s.seconds + moving, append(s.all, ran/moving)}
		}
		if lv.found == nil {
			lv.found = map[int]speed{}
		}
		for g, s := range sums {
			lv.found[g] = speed{s.metres / s.seconds, slices.Min(s.all), slices.Max(s.all)}
		}
		clear(sums)
	}
}
