package segment

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"sync"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// How wide the search is: readings that are gauged in a round of each size (1, 2 to 3, 4 to 7
// reps and so on), readings that are followed up in a round, and rounds. They bound the time;
// wider searches found the right reading no more often.
const (
	gauged   = 12
	followed = 3
	rounds   = 5
)

// read finds the most probable reading of a recording and the judge that made it, and all
// readings that were thought of; ok is false when running without a plan is more probable.
func read(r *recording.Recording, tr *signal.Trace) (by *judge, best reading, ok bool, list []*reading) {
	judges := []*judge{newJudge(tr, tr.Effort, cut(tr.Effort, tr), r.Place)}
	if len(tr.Speed) > 0 && &tr.Effort[0] != &tr.Speed[0] {
		// Slopes may have been fitted to what were reps.
		judges = append(judges, newJudge(tr, tr.Speed, cut(tr.Speed, tr), r.Place))
		judges[0].against(tr.Speed)
		judges[1].against(tr.Effort)
	}
	if even := tr.EvenCost(); even != nil {
		// Hill reps show in the cost of running, not in speed.
		h := newJudge(tr, even, cut(even, tr), r.Place)
		h.hills = true
		judges = append(judges, h)
	}
	by = judges[0]
	laps := sync.OnceValue(func() bool { return inLaps(r) })
	presses, steps, work := recording.Presses(r.Laps), ledSteps(r), ledWork(r.Laps)
	for _, j := range judges {
		j.laps, j.presses, j.steps, j.ledWork = laps, presses, steps, work
		own := j.readings(max(0, best.odds))
		for _, x := range own {
			x.by = j
		}
		if len(own) > 0 && own[0].odds > best.odds {
			by, best, ok = j, *own[0], true
		}
		list = append(list, own...)
	}
	best.weigh(list)
	slices.SortStableFunc(list, byOdds)
	return by, best, ok, list
}

// weigh sets how likely it is that there are reps, and that they are those of this reading, which is the best of a list.
func (r *reading) weigh(list []*reading) {
	odds := []float64{0}
	for _, x := range list {
		odds = append(odds, x.odds)
	}
	r.evidence = logSumExp(odds[1:])
	r.sure = calibrated(probability(*r, list, odds))
}

// leastTold is the least probability that is told of a reading or of all others (common practice, no source).
const leastTold = 1e-4

// calibrated is the share of readings told with a probability that are right.
func calibrated(p float64) float64 {
	p = min(max(p, leastTold), 1-leastTold)
	return 1 / (1 + math.Exp(-toldEven-toldFor*math.Log(p)+toldAgainst*math.Log1p(-p)))
}

// tellingOf is the logit of the probability by the weights that is told as p.
func tellingOf(p float64) float64 {
	lo, hi := math.Log(leastTold), -math.Log(leastTold)
	for range 60 {
		if m := (lo + hi) / 2; calibrated(1/(1+math.Exp(-m))) < p {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// probability is that of the reps of a reading: its own and that of all that differ from it by
// seconds, which are the same reps with rough edges.
func probability(best reading, list []*reading, odds []float64) float64 {
	same := []float64{math.Inf(-1)}
	for _, x := range list {
		if x.near(best.labelling) {
			same = append(same, x.odds)
		}
	}
	return math.Exp(logSumExp(same) - logSumExp(odds))
}

// readings are the readings of a recording that were thought of, the most probable first.
// All labellings that are proposed are glanced at, the most promising are gauged, and from
// the best of these further ones are proposed: rhythms, and neighbours unless all are far behind the
// odds of what leads, another account of slopes or running without a plan.
//
// Branches: a round of the search is one loop.
func (j *judge) readings(lead float64) []*reading {
	if len(j.pieces) < 2 {
		return nil
	}
	p := proposals{gauged: map[uint64]bool{}}
	j.proposals(&p)
	var waiting, out []*reading
	done := map[uint64]bool{}
	glanced, known := 0, len(p.list)
	var more []float64 // of those proposed later: what gauging brought to the reading they vary
	for range rounds {
		for i, l := range p.list[glanced:] {
			k := glanced + i
			if least, typical := l.contrast(); typical > 0.02 && least >= -0.25 && l.seen() {
				r := &reading{labelling: l}
				j.glance(r)
				r.light = r.features.dot(&weights)
				r.odds = r.light + hoped*float64(len(l.works))
				if k >= known {
					r.odds = r.light + more[k-known]
				}
				waiting = append(waiting, r)
			}
		}
		glanced = len(p.list)
		slices.SortStableFunc(waiting, byOdds)
		var taken [bits.UintSize + 1]int // by size
		kept := waiting[:0]
		for _, r := range waiting {
			key := r.key()
			if p.gauged[key] {
				continue
			}
			if k := bits.Len(uint(len(r.works))); taken[k] < gauged {
				taken[k]++
				p.gauged[key] = true
				j.gauge(r)
				r.odds = r.features.dot(&weights)
				out = append(out, r)
				continue
			}
			kept = append(kept, r)
		}
		waiting = kept
		slices.SortStableFunc(out, byOdds)
		bring := func(nats float64) {
			for len(more) < len(p.list)-known {
				more = append(more, nats)
			}
		}
		var sizes [bits.UintSize + 1]bool
		for i, r := range out {
			if k := bits.Len(uint(len(r.works))); !sizes[k] && r.odds > out[0].odds-hopeless { // the best of its size
				sizes[k] = true
				j.rhythms(&p, r, i == 0)
				bring(math.MaxFloat64) // few, and what speaks for them is seen late
			}
			if k := r.key(); i < followed && !done[k] && r.odds > lead-farBehind {
				done[k] = true
				j.variants(&p, *r)
				bring(r.odds - r.light)
			}
		}
		if len(p.list) == glanced {
			break
		}
	}
	return j.polish(out, &p, lead)
}

// farBehind is how far a reading may be behind what leads for its neighbours to be worth a look, nats: of 2,300
// simulated sessions that were read with reps, half of them as restless as open recordings, 6 had begun further behind.
const farBehind = 6

// hopeless is how far a reading may be behind the best for its rhythm to be laid over the run, nats: of 3,200 simulated
// sessions as many are read right without a bound, and one less with 10.
const hopeless = 20

// hoped is the evidence that a rep may still bring when it is gauged, nats: what amounts
// bring in a plain repeat.
const hoped = 1.2

func byOdds(a, b *reading) int { return cmp.Compare(b.odds, a.odds) }

// logSumExp is the logarithm of the sum of exponentials; -Inf for none.
func logSumExp(x []float64) float64 {
	hi := math.Inf(-1)
	for _, v := range x {
		hi = max(hi, v)
	}
	if math.IsInf(hi, -1) {
		return hi
	}
	sum := 0.0
	for _, v := range x {
		sum += math.Exp(v - hi)
	}
	return hi + math.Log(sum)
}
