package segment

import (
	"cmp"
	"math"
	"slices"
)

// mostReps keeps nonsense out; nobody plans more.
const mostReps = 80

// mostAlike is how many labellings of as many reps are read, where that takes time.
const mostAlike = 24

// hopeless is the evidence, in nats, from which no leaving out of reps nor
// dividing makes a structure that is believed.
const hopeless = needed - 12

// search judges the labellings of all splits on the penalty path and returns
// the one with the most evidence, if that is enough. watch, if there is one, is
// shown every reading.
func (j *judge) search(watch func(reading)) (reading, bool) {
	if len(j.pieces) < 2 {
		return reading{}, false
	}
	var p proposals
	glances := j.propose(&p)
	best, readings := j.weighAll(glances, watch)
	if len(best.works) == 0 {
		return best, false
	}
	slices.SortStableFunc(readings, func(a, b reading) int { return cmp.Compare(b.evidence, a.evidence) })
	// Another reading may be the better one without its doubtful reps.
	for _, r := range append([]reading{best}, first(4, readings, func(r reading) bool { return len(r.works) < manyReps })...) {
		if d := j.climb(r, withoutDoubtful, &p, watch); d.evidence > best.evidence {
			best = d
		}
	}
	best = j.climb(best, j.missing, &p, watch) // a row of like reps may leave one out
	best = j.climb(best, j.byKilometre, &p, watch)
	// A block may turn out to be several.
	for _, r := range append(first(4, readings, func(r reading) bool { return r.continuous() }), best) {
		if d := j.divide(r, watch); d.evidence > best.evidence {
			best = d
		}
	}
	least := needed
	if best.continuous() {
		least = neededAlone
	} else if best.shape[0].open {
		least = neededByFeel
	}
	return best, best.evidence >= least
}

// first gives the first few readings that are wanted.
func first(n int, readings []reading, wanted func(reading) bool) []reading {
	var out []reading
	for _, r := range readings {
		if len(out) < n && wanted(r) {
			out = append(out, r)
		}
	}
	return out
}

// propose glances at the labellings of all splits, and gives the most promising
// first.
func (j *judge) propose(p *proposals) []reading {
	p.swells(j.pieces)
	levels, survives := ladderOf(j.pieces, finest(j.tr, len(j.speed)))
	j.survives = survives
	for _, level := range levels {
		p.contrasts(level)
	}
	p.contrasts(j.betweenPresses())
	p.contrasts(j.kilometres(0, len(j.speed)))
	var out []reading
	for _, l := range p.list {
		if len(l.works) > mostReps {
			continue
		}
		if least, typical := l.contrast(); typical > 0.02 && least >= -0.2 {
			out = append(out, j.glance(l))
		}
	}
	slices.SortStableFunc(out, func(a, b reading) int { return cmp.Compare(b.most, a.most) })
	return out
}

// weighAll weighs what was glanced at, until no other can have the most evidence,
// and gives the best and all readings. Of many reps sets are looked for in a few
// readings only.
func (j *judge) weighAll(glances []reading, watch func(reading)) (best reading, readings []reading) {
	best.evidence = math.Inf(-1)
	alike := map[int][]labelling{} // by number of reps
	var many []reading
	j.cursory = true
	for _, g := range glances {
		least := max(best.evidence, hopeless)
		if g.continuous() {
			least -= 10 // it may gain by being divided
		}
		n := len(g.works)
		if g.most < least || n >= manyReps && len(alike[n]) >= mostAlike || slices.ContainsFunc(alike[n], g.near) {
			continue // edges are sharpened later, so one of two that are near is enough
		}
		r := j.weigh(g)
		if watch != nil {
			watch(r)
		}
		alike[n] = append(alike[n], r.labelling)
		readings = append(readings, r)
		if r.evidence > best.evidence {
			best = r
		}
		if n >= manyReps {
			many = append(many, r)
		}
	}
	j.cursory = false
	slices.SortStableFunc(many, func(a, b reading) int { return cmp.Compare(b.evidence, a.evidence) })
	for _, r := range many[:min(len(many), 5)] {
		if with := j.weigh(r); with.evidence > best.evidence || len(best.works) >= manyReps && best.key() == with.key() {
			best = with
		}
	}
	return best, readings
}

// betweenPresses is the recording cut at the lap presses; nil for too few.
func (j *judge) betweenPresses() []piece {
	if len(j.presses) < 3 {
		return nil
	}
	var level []piece
	lo, n := 0, len(j.speed)
	for _, m := range j.presses {
		if at := int(math.Round(m)); at-lo >= shortest && n-at >= shortest {
			level = append(level, j.piece(lo, at))
			lo = at
		}
	}
	return append(level, j.piece(lo, n))
}

// climb moves to the best of a reading's neighbours as long as that adds evidence.
func (j *judge) climb(best reading, neighbours func(reading) []labelling, proposed *proposals, watch func(reading)) reading {
	for {
		next := best
		for _, l := range neighbours(best) {
			if !proposed.fresh(l.key()) {
				continue
			}
			g := j.glance(l)
			if g.most < next.evidence {
				continue
			}
			rd := j.weigh(g)
			if watch != nil {
				watch(rd)
			}
			if rd.evidence > next.evidence {
				next = rd
			}
		}
		if next.evidence <= best.evidence {
			return best
		}
		best = next
	}
}

// withoutDoubtful are labellings with one doubtful rep less.
func withoutDoubtful(r reading) []labelling {
	var out []labelling
	for i := range r.works {
		if r.doubtful(i) {
			if l, ok := r.without(i); ok {
				out = append(out, l)
			}
		}
	}
	return out
}

// doubtful reports whether rep i stands outside every longer repeat, or at
// either end of the session.
func (r reading) doubtful(i int) bool {
	if i == 0 || i == len(r.works)-1 {
		return true
	}
	for _, p := range r.shape {
		if i >= p.from && i <= p.to {
			return p.to-p.from < 2
		}
	}
	return true
}
