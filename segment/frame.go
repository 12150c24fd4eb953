package segment

import (
	"math"
	"slices"
)

// steeper is from how much more of a grade on a climb tells why it was run slower or walked
// (common practice, no source).
const steeper = 0.03

// frame reads what lies before and after the reps, how much work they are in all, and whether a halt lies inside them.
func (j *judge) frame(r *reading) {
	e := &r.features
	b, a := j.moving(r.before), j.moving(r.after)
	if b >= 180 && a >= 120 {
		e[bothEnds] = 1
	}
	for _, b := range r.bridged {
		if b {
			e[haltsInside]++
		}
	}
	total := 0.0
	for _, w := range r.works {
		total += w.seconds()
	}
	x := math.Log(total / usualWork)
	if !r.continuous() {
		x -= longerMore * math.Log(total/float64(len(r.works))/usualRep)
	}
	e[workUnusual] = math.Log1p(sq(max(0, x)) + sq(min(0, x))/2)
}

// A session has usualWork in all, s, in one block or in reps of usualRep, s, and in longer ones more, as a power of their
// length (common practice, no source).
const (
	usualWork  = 900.0
	usualRep   = 180.0
	longerMore = 0.35
)

// taken is how much the level of a recovery varies among those meant alike, standard deviation of its logarithm: a jog, a walk
// and a stop are further apart (common practice, no source).
const taken = 0.15

// rested reads how long recoveries are, how they are taken, and whether all alike.
func (j *judge) rested(r *reading) {
	e := &r.features
	var buf [64]float64
	manners := buf[:0]
	for i, p := range r.between {
		if p.hi <= p.lo {
			continue
		}
		manners = append(manners, level(p.mean))
		n := float64(len(r.between))
		x := math.Log(2 * p.seconds() / (r.works[i].seconds() + r.works[i+1].seconds()))
		e[restLong] += min(max(0, x-1.1), 3) / n
		e[restBrief] += max(0, math.Log(40/p.seconds())) / n
		if stopped(p.mean, r.works[i].mean) {
			e[stopRests] += 1 / n
		}
		if j.climb != nil && p.mean > 1 { // who stands climbs nothing
			a, b := r.works[i], r.works[i+1]
			switch more := mean(j.climb, p.lo, p.hi) - (mean(j.climb, a.lo, a.hi)+mean(j.climb, b.lo, b.hi))/2; {
			case more > steeper:
				e[restsClimb] += 1 / n
			case more < -steeper: // as often as not where altitude is but noise
				e[restsClimb] -= 1 / n
			}
		}
	}
	e[restsClimb] = max(0, e[restsClimb])
	if len(manners) == 0 {
		return
	}
	usual := median(slices.Clone(manners))
	for _, m := range manners {
		e[restsUnlike] += math.Log1p(sq(m-usual) / (2 * sq(taken)))
	}
}

// moving is for how long a stretch was not stood, s.
func (j *judge) moving(p piece) float64 { return j.moved[p.hi] - j.moved[p.lo] }

// fewestPresses are so many that they tell anything, and pressSlack is from one, or from a device's signal, to a change of
// speed that is not sharpened yet, s (common practice, no source).
const (
	fewestPresses = 3
	pressSlack    = 6
)

// marks reads laps: how many edges of reps have a press beside them.
func (j *judge) marks(r *reading) {
	if len(j.presses) < fewestPresses {
		return
	}
	hits, edges, inside, k := 0.0, 0.0, 0.0, 0
	near := func(at int) {
		if at == 0 || at == len(j.speed) {
			return
		}
		edges++
		for k < len(j.presses) && j.presses[k] < float64(at)-pressSlack {
			k++
		}
		if k < len(j.presses) && j.presses[k] <= float64(at)+pressSlack {
			hits++
		}
	}
	for _, w := range r.works {
		near(w.lo)
		for i := k; i < len(j.presses) && j.presses[i] < float64(w.hi)-pressSlack; i++ {
			if j.presses[i] > float64(w.lo)+pressSlack {
				inside++
			}
		}
		near(w.hi)
	}
	if edges > 0 {
		r.features[pressesHit] = math.Log1p(hits) * hits / edges
		r.features[pressesLacking] = (edges - hits) * hits / edges
		r.features[pressesStopped] = r.features[pressesHit] * r.features[stopRests]
		r.features[pressesMissed] = math.Log1p(inside)
	}
}
