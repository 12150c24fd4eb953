package segment

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// ErrTooShort says that a recording holds too little to say anything of it.
var ErrTooShort = errors.New("fewer than 30 seconds of records: nothing to split")

// Split says what was run in a recording, which it leaves as it is. The error is
// ErrTooShort when there are fewer than two records or 30 seconds of them.
func Split(r *recording.Recording) (*Session, error) {
	if r.Len() < 2 || r.Duration() < 30 {
		return nil, ErrTooShort
	}
	tr := signal.Build(r)
	s := &Session{Recording: r, Trace: tr, Warnings: append([]recording.Warning(nil), r.Warnings...)}
	s.ScaleSE = scaleSD
	if r.Place == recording.Treadmill {
		s.ScaleSE = treadmillScaleSD
	}
	j := newJudge(tr, tr.Effort, cut(tr.Effort, tr), r.Place)
	presses := recording.Presses(r.Laps)
	j.presses = presses
	best, ok := j.search(nil)
	if hills := tr.EvenCost(); hills != nil {
		// Hill reps show in the cost of running, not in speed. Any hilly run shows
		// something there, so only a regular pattern is believed.
		h := newJudge(tr, hills, cut(hills, tr), r.Place)
		if alt, found := h.search(nil); found && len(alt.works) > 3 && alt.evidence > 20 &&
			alt.terms.shape > 2*float64(len(alt.works)) && (!ok || alt.evidence > best.evidence+5) {
			j, best, ok = h, alt, true
		}
	}
	if ok {
		best = j.sharpen(best, presses)
	}
	if ok && best.shape[0].open && best.before.seconds() < 120 && best.after.seconds() < 120 {
		ok = false // neither amounts nor easy running around it: stops cut up a run
	}
	if ok {
		if r.Place == recording.Track && math.Abs(best.offset) > 0.003 && math.Abs(best.offset) < 0.05 {
			// On a track the reps measure the odometer, not the other way round.
			tr.Rescale(math.Exp(-best.offset))
			s.ScaleSE = trackScaleSD
			s.Warnings = append(s.Warnings, recording.Warning{
				Code:    "odometer-scale",
				Message: fmt.Sprintf("the odometer reads %+.1f %% against the reps on the track; distances and paces are corrected for that", 100*math.Expm1(best.offset)),
				StartS:  math.NaN(), EndS: math.NaN(),
			})
		}
	} else {
		best = reading{}
	}
	s.edges = sync.OnceValue(j.edges)
	if tr.Source == signal.Nothing {
		s.warn("heart-rate-only", "there is neither distance nor speed: reps are read from heart rate alone, their edges are vague and there is no pace", math.NaN(), math.NaN())
	}
	for _, p := range tr.Locked {
		s.warn("heart-rate-like-cadence", "heart rate equals cadence: the sensor may have counted steps; it is not used as evidence here", p.StartS, p.EndS)
	}
	s.assemble(best)
	return s, nil
}

// mostReps keeps nonsense out; nobody plans more.
const mostReps = 80

// mostAlike is how many labellings of as many reps are read, where that takes time.
const mostAlike = 24

// hopeless is the evidence, in nats, from which no leaving out of reps nor
// dividing makes a structure that is believed.
const hopeless = needed - 12

// search judges the labellings of all splits on the penalty path and returns
// the one with the most evidence, if that is enough.
func (j *judge) search(watch func(reading)) (reading, bool) {
	pieces, tr, speed := j.pieces, j.tr, j.speed
	if len(pieces) < 2 {
		return reading{}, false
	}
	best := reading{evidence: math.Inf(-1)}
	var blocks []reading // that may turn out to be several
	var proposed proposals
	proposed.swells(pieces)
	levels, survives := ladderOf(pieces, finest(tr, len(speed)))
	j.survives = survives
	for _, level := range levels {
		proposed.contrasts(level)
	}
	proposed.contrasts(j.betweenPresses())
	var glances []reading
	for _, l := range proposed.list {
		if len(l.works) > mostReps {
			continue
		}
		if least, typical := l.contrast(); typical > 0.02 && least >= -0.2 {
			glances = append(glances, j.glance(l))
		}
	}
	// The most promising first, so that most need no more than the glance.
	slices.SortStableFunc(glances, func(a, b reading) int { return cmp.Compare(b.most, a.most) })
	read := map[int][]labelling{} // by number of reps
	var few, many []reading       // the latter read without sets
	j.cursory = true
	for _, g := range glances {
		least := max(best.evidence, hopeless)
		if g.continuous() {
			least -= 10 // it may gain by being divided
		}
		n := len(g.works)
		if g.most < least || n >= manyReps && len(read[n]) >= mostAlike || slices.ContainsFunc(read[n], g.near) {
			continue // edges are sharpened later, so one of two that are near is enough
		}
		rd := j.weigh(g)
		if watch != nil {
			watch(rd)
		}
		read[n] = append(read[n], rd.labelling)
		if rd.evidence > best.evidence {
			best = rd
		}
		if rd.continuous() {
			blocks = append(blocks, rd)
		}
		if n >= manyReps {
			many = append(many, rd)
		} else {
			few = append(few, rd)
		}
	}
	j.cursory = false
	byEvidence := func(a, b reading) int { return cmp.Compare(b.evidence, a.evidence) }
	slices.SortStableFunc(many, byEvidence)
	for _, r := range many[:min(len(many), 5)] {
		if rd := j.weigh(r); rd.evidence > best.evidence || len(best.works) >= manyReps && best.key() == rd.key() {
			best = rd
		}
	}
	slices.SortStableFunc(blocks, byEvidence)
	slices.SortStableFunc(few, byEvidence)
	if len(best.works) > 0 {
		// Another reading may be the better one without its doubtful reps.
		for _, r := range append([]reading{best}, few[:min(len(few), 4)]...) {
			if d := j.improve(r, &proposed, watch); d.evidence > best.evidence {
				best = d
			}
		}
		best = j.complete(best, &proposed, watch)
		for _, r := range append(blocks[:min(len(blocks), 4)], best) {
			if d := j.divide(r, watch); d.evidence > best.evidence {
				best = d
			}
		}
	}
	least := needed
	if len(best.works) > 0 && best.continuous() {
		least = neededAlone
	}
	return best, best.evidence >= least
}

// edges lists every edge of the finest split, refined.
func (j *judge) edges() []Edge {
	var out []Edge
	unit := sq(j.tr.Noise.LongRun)
	var meets [][2]piece
	for i := 1; i < len(j.pieces); i++ {
		meets = append(meets, [2]piece{j.pieces[i-1], j.pieces[i]})
	}
	for i, e := range j.placeEdges(meets, nil) {
		out = append(out, Edge{AtS: e.at, SE: e.se, Weight: j.survives[i+1] / unit})
	}
	slices.SortFunc(out, func(a, b Edge) int { return cmp.Compare(a.AtS, b.AtS) })
	return out
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

// improve leaves out one doubtful rep after the other while that adds evidence.
func (j *judge) improve(best reading, proposed *proposals, watch func(reading)) reading {
	for {
		next := best
		for i := range best.works {
			if !best.doubtful(i) {
				continue
			}
			l, ok := best.without(i)
			if !ok || !proposed.fresh(l.key()) {
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
