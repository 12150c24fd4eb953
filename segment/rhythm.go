package segment

import (
	"math"
	"slices"
)

// A rhythm is how long reps and the recoveries between them last, s, those of one length or of some, and by how much
// reps are quicker, m/s.
type rhythm struct {
	works, rests []float64
	step         float64
	stood        bool // recoveries are stood or walked
	faint        bool // step is half of what reps mostly show: noise hides some
}

const (
	fewestBeats = 4
	longestBeat = 200  // s of rep and recovery together in the mean; longer ones are cut right anyhow
	beatBreak   = 10.0 // nats that a break of another length costs
	lengthLax   = 3.0  // standard deviations of a length that are looked at
)

// rhythmsOf are the rhythms that a reading mostly has: of the median lengths, the same of faint reps, and, where reps come
// in several lengths, of these; none where reps are few or long, which show by themselves.
func rhythmsOf(r *reading) (out []rhythm) {
	n := len(r.works)
	if n < fewestBeats || r.continuous() {
		return nil
	}
	var bufs [3][64]float64
	works, rests, steps := bufs[0][:0], bufs[1][:0], bufs[2][:0]
	stood := 0
	for i, w := range r.works {
		works = append(works, w.seconds())
		if i < n-1 {
			gap := r.between[i]
			rests = append(rests, gap.seconds())
			steps = append(steps, (w.mean+r.works[i+1].mean)/2-gap.mean)
			if stopped(gap.mean, w.mean) {
				stood++
			}
		}
	}
	b := rhythm{step: median(steps), stood: 2*stood >= n}
	if b.step < 0.1 {
		return nil
	}
	b.works, b.rests = []float64{median(works)}, []float64{median(rests)}
	faint, mixed := b, b
	faint.step, faint.faint = b.step/2, true
	if mixed.works = repeated(works); len(mixed.works) > 1 {
		out = append(out, mixed)
	}
	if more := repeated(rests); len(more) > 0 && len(out) > 0 {
		out[0].rests = more
	}
	return slices.DeleteFunc(append([]rhythm{b, faint}, out...), func(x rhythm) bool {
		return x.beat() > longestBeat || min(slices.Min(x.works), slices.Min(x.rests)) < shortest
	})
}

// repeated are the lengths that come more than once, each as the median of those within a fifth; it sorts the list.
func repeated(list []float64) (out []float64) {
	slices.Sort(list)
	for from := 0; from < len(list); {
		to := from
		for to < len(list) && list[to] <= 1.2*list[from] {
			to++
		}
		if to-from > 1 {
			out = append(out, median(list[from:to]))
		}
		from = to
	}
	return out
}

// beat is how long a rep and a recovery last together in the mean, s.
func (b rhythm) beat() float64 { return meanOf(b.works) + meanOf(b.rests) }

// period is how long one rep of each length lasts, with its recovery, s.
func (b rhythm) period() float64 { return b.beat() * float64(len(b.works)) }

// gains are log likelihoods, cumulative over cells: of work and of recovery, each against
// running that is neither. Speeds are taken about their mean over one beat, so that hills
// and fading do not count. Where recoveries are run, what is stood is no work and else
// says nothing.
func (j *judge) gains(b rhythm) (work, rest []float64) {
	end, period := len(j.speed), int(b.period())
	noise := j.tr.Noise.Within(j.noise, min(slices.Min(b.works), slices.Min(b.rests)))
	work, rest = make([]float64, end+1), make([]float64, end+1)
	high, low := b.step*meanOf(b.rests)/b.beat(), -b.step*meanOf(b.works)/b.beat()
	run := make([]float64, end+1) // s, cumulative, and how far, m
	far := make([]float64, end+1)
	for i, v := range j.speed {
		run[i+1], far[i+1] = run[i], far[i]
		if b.stood || v > running {
			run[i+1], far[i+1] = run[i]+1, far[i]+v
		}
	}
	for i, v := range j.speed {
		work[i+1], rest[i+1] = work[i], rest[i]
		if !j.tr.Known[i] {
			continue
		}
		most := 2 * b.step // that one cell may depart
		if lo, hi := max(0, i-period/2), min(end, i+period-period/2); run[i+1] > run[i] {
			v = min(max(v-(far[hi]-far[lo])/(run[hi]-run[lo]), -most), most)
			rest[i+1] += low * (2*v - low) / (2 * sq(noise))
		} else {
			v = -most
		}
		work[i+1] += high * (2*v - high) / (2 * sq(noise))
	}
	return work, rest
}

// lengthsNear are the lengths, s, near some usual ones, and what each costs: nats by how far it is from the nearest, for a
// standard deviation of a share of that one, at least 2 s.
type lengthsNear []lengthRow

// A lengthRow is lengths without a gap from least to most, their costs from the longest down.
type lengthRow struct {
	least, most int
	costs       []float64
}

func lengthsOf(usual []float64, share float64) (out lengthsNear) {
	lo, hi := math.Inf(1), 0.0
	for _, x := range usual {
		slack := lengthLax * max(2, share*x)
		lo, hi = min(lo, x-slack), max(hi, x+slack)
	}
	for d := int(hi); d >= max(shortest-2, int(lo)); d-- {
		cost := math.Inf(1)
		for _, x := range usual {
			if z := (float64(d) - x) / max(2, share*x); math.Abs(z) <= lengthLax {
				cost = min(cost, sq(z)/2)
			}
		}
		switch k := len(out) - 1; {
		case math.IsInf(cost, 1):
		case k >= 0 && out[k].least == d+1:
			out[k].least, out[k].costs = d, append(out[k].costs, cost)
		default:
			out = append(out, lengthRow{d, d, []float64{cost}})
		}
	}
	return out
}

// longest is the longest of them.
func (l lengthsNear) longest() int { return l[0].most }

// bestStart is where a stretch that ends at t best starts, by the value of starting there less what its length costs; of
// equals the latest. The value is -Inf where it can start nowhere.
func (l lengthsNear) bestStart(values []float64, t int) (value float64, at int) {
	value = math.Inf(-1)
	for _, row := range l {
		if t < row.least {
			continue
		}
		first := max(0, t-row.most)
		starts := values[first : t-row.least+1]
		for i, c := range row.costs[len(row.costs)-len(starts):] {
			if v := starts[i] - c; v >= value {
				value, at = v, first+i
			}
		}
	}
	return value, at
}

// workLax and restLax are the standard deviations of the lengths of reps and recoveries, as shares.
const workLax, restLax = 0.06, 0.1

// mostRows is how many rows, between longer breaks, are taken together in every way.
const mostRows = 6

// rows are the parts of a labelling that begin and end at a longer break: what a rhythm seems to go on with
// before and after the session may be chance.
func (b rhythm) rows(l labelling) []labelling {
	n := len(l.works)
	starts := []int{0}
	usual := lengthsOf(b.rests, restLax)
	for i, gap := range l.between {
		if gap.hi-gap.lo > usual.longest() {
			starts = append(starts, i+1)
		}
	}
	var out []labelling
	for i, from := range starts {
		for k := i + 1; k <= len(starts); k++ {
			to := n
			if k < len(starts) {
				to = starts[k]
			}
			if to-from >= fewestBeats && to-from < n && (k == i+1 || len(starts) <= mostRows) {
				out = append(out, l.part(from, to-1))
			}
		}
	}
	return out
}

// beats are the reps (cells from, to) that gain most in all, in order, and their gain: the
// exact maximum over explicit durations (a hidden semi-Markov model; Ferguson 1980, from
// memory). A rep pays for its length and for that of the recovery before it, a longer break
// a constant.
func (b rhythm) beats(work, rest []float64) (reps [][2]int, gain float64) {
	end := len(work) - 1
	works, rests := lengthsOf(b.works, workLax), lengthsOf(b.rests, restLax)
	// By cell: the most gained where a rep ends there, and of all up to there; where a rep may begin, less the gains of work
	// up to there; where a recovery may, less those of recoveries.
	ended, best, begin, after := make([]float64, end+1), make([]float64, end+1), make([]float64, end+1), make([]float64, end+1)
	fromW, fromR, bestAt := make([]int, end+1), make([]int, end+1), make([]int, end+1)
	best[0] = math.Inf(-1)
	for t := range end + 1 {
		ended[t], fromW[t] = works.bestStart(begin, t)
		ended[t] += work[t]
		after[t] = ended[t] - rest[t]
		if t > 0 {
			best[t], bestAt[t] = best[t-1], bestAt[t-1]
		}
		if ended[t] > best[t] {
			best[t], bestAt[t] = ended[t], t
		}
		ready := 0.0
		fromR[t] = -1 // nothing before
		if v, a := rests.bestStart(after, t); v+rest[t] > ready {
			ready, fromR[t] = v+rest[t], a
		}
		if a := t - rests.longest() - 1; a >= 0 && best[a]-beatBreak > ready {
			ready, fromR[t] = best[a]-beatBreak, bestAt[a]
		}
		begin[t] = ready - work[t]
	}
	for t := bestAt[end]; t > 0; t = fromR[fromW[t]] {
		reps = append(reps, [2]int{fromW[t], t})
	}
	slices.Reverse(reps)
	return reps, best[end]
}

// rhythms proposes the labellings that have a rhythm of a reading throughout, for sessions of
// like reps whose edges noise has hidden here and there, and each part of them that no longer break
// interrupts. Rhythms of several lengths cost time and are laid only for the best reading, faint ones only where that is
// likelier than no reps.
func (j *judge) rhythms(p *proposals, r *reading, best bool) {
	for _, b := range rhythmsOf(r) {
		if !best && len(b.works) > 1 || b.faint && !(best && r.odds > 0) {
			continue
		}
		key := hashBase
		if b.faint {
			key = hashOn(key, 1)
		}
		for _, x := range slices.Concat(b.works, []float64{0}, b.rests) {
			key = hashOn(key, uint64(x/3+0.5))
		}
		if j.had(key) {
			continue
		}
		reps, _ := b.beats(j.gains(b))
		if len(reps) < fewestBeats {
			continue
		}
		l := j.labelled(reps)
		l.even = len(b.works) == 1
		for _, c := range append(b.rows(l), l) {
			if !p.gauged[c.key()] {
				p.list = append(p.list, c)
			}
		}
	}
}
