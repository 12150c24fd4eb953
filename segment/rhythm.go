package segment

import (
	"math"
	"slices"
)

// A rhythm is how long like reps and the recoveries between them last, s, and by how much
// reps are quicker, m/s.
type rhythm struct{ work, rest, step float64 }

const (
	fewestBeats = 4
	longestBeat = 200  // s of rep and recovery together; longer ones are cut right anyhow
	beatBreak   = 10.0 // nats that a break of another length costs
	lengthLax   = 3.0  // standard deviations of a length that are looked at
)

// rhythmOf is the rhythm that a reading mostly has; ok is false where reps are few or long,
// which show by themselves.
func rhythmOf(r *reading) (b rhythm, ok bool) {
	n := len(r.works)
	if n < fewestBeats || r.continuous() {
		return b, false
	}
	var bufs [3][64]float64
	works, rests, steps := bufs[0][:0], bufs[1][:0], bufs[2][:0]
	for i, w := range r.works {
		works = append(works, w.seconds())
		if i < n-1 {
			gap := r.between[i]
			rests = append(rests, gap.seconds())
			steps = append(steps, (w.mean+r.works[i+1].mean)/2-gap.mean)
		}
	}
	b = rhythm{median(works), median(rests), median(steps)}
	return b, b.work+b.rest <= longestBeat && b.work >= shortest && b.rest >= shortest && b.step >= 0.1
}

// gains are log likelihoods, cumulative over cells: of work and of recovery, each against
// running that is neither. Speeds are taken about their mean over one beat, so that hills
// and fading do not count.
func (j *judge) gains(b rhythm) (work, rest []float64) {
	end, period := len(j.speed), int(b.work+b.rest)
	work, rest = make([]float64, end+1), make([]float64, end+1)
	high, low := b.step*b.rest/(b.work+b.rest), -b.step*b.work/(b.work+b.rest)
	for i, v := range j.speed {
		work[i+1], rest[i+1] = work[i], rest[i]
		if j.tr.Known[i] {
			v -= mean(j.cum, max(0, i-period/2), min(end, i+period-period/2))
			v = min(max(v, -2*b.step), 2*b.step)
			work[i+1] += high * (2*v - high) / (2 * sq(j.noise))
			rest[i+1] += low * (2*v - low) / (2 * sq(j.noise))
		}
	}
	return work, rest
}

// lengths are what lengths cost that are not quite the usual, nats, from the least on.
func lengths(mean, sd float64) (least int, costs []float64) {
	least = max(shortest-2, int(mean-lengthLax*sd))
	for d := least; d <= int(mean+lengthLax*sd); d++ {
		costs = append(costs, sq((float64(d)-mean)/sd)/2)
	}
	return least, costs
}

// beats are the reps (cells from, to) that gain most in all, in order, and their gain: the
// exact maximum over explicit durations (a hidden semi-Markov model; Ferguson 1980, from
// memory). A rep pays for its length and for that of the recovery before it, a longer break
// a constant.
func (b rhythm) beats(work, rest []float64) (reps [][2]int, gain float64) {
	end := len(work) - 1
	leastW, costW := lengths(b.work, max(2, 0.06*b.work))
	leastR, costR := lengths(b.rest, max(2, 0.1*b.rest))
	worked, ready, best := make([]float64, end+1), make([]float64, end+1), make([]float64, end+1) // best where a rep ends, where one may begin, of worked so far
	fromW, fromR, bestAt := make([]int, end+1), make([]int, end+1), make([]int, end+1)
	best[0] = math.Inf(-1)
	for t := range end + 1 {
		worked[t] = math.Inf(-1)
		for k := range costW[:max(0, min(len(costW), t-leastW+1))] {
			a := t - leastW - k
			if v := ready[a] + work[t] - work[a] - costW[k]; v > worked[t] {
				worked[t], fromW[t] = v, a
			}
		}
		if t > 0 {
			best[t], bestAt[t] = best[t-1], bestAt[t-1]
		}
		if worked[t] > best[t] {
			best[t], bestAt[t] = worked[t], t
		}
		fromR[t] = -1 // nothing before
		for k := range costR[:max(0, min(len(costR), t-leastR+1))] {
			a := t - leastR - k
			if v := worked[a] + rest[t] - rest[a] - costR[k]; v > ready[t] {
				ready[t], fromR[t] = v, a
			}
		}
		if a := t - leastR - len(costR); a >= 0 && best[a]-beatBreak > ready[t] {
			ready[t], fromR[t] = best[a]-beatBreak, bestAt[a]
		}
	}
	for t := bestAt[end]; t > 0; t = fromR[fromW[t]] {
		reps = append(reps, [2]int{fromW[t], t})
	}
	slices.Reverse(reps)
	return reps, best[end]
}

// rhythms proposes the labelling that has the rhythm of a reading throughout, for sessions of
// like reps whose edges noise has hidden here and there, and each part of it that lies far
// from the rest.
func (j *judge) rhythms(p *proposals, r *reading) {
	b, ok := rhythmOf(r)
	key := [2]int{int(b.work/3 + 0.5), int(b.rest/3 + 0.5)}
	if !ok || j.tried[key] {
		return
	}
	if j.tried == nil {
		j.tried = map[[2]int]bool{}
	}
	j.tried[key] = true
	reps, _ := b.beats(j.gains(b))
	if len(reps) < fewestBeats {
		return
	}
	l := j.labelled(reps)
	l.even = true
	for _, c := range append(l.clusters(), l) {
		if !p.gauged[c.key()] {
			p.list = append(p.list, c)
		}
	}
}
