package segment

import "math"

// rhythm is the labelling of most gain in which reps and recoveries last about as long as
// those of a reading mostly do, for a session of like reps whose edges noise has hidden here
// and there: the exact maximum over explicit durations (a hidden semi-Markov model with two
// levels; Ferguson 1980, from memory). A rep gains what its seconds lie above the middle of
// both levels, as a log likelihood ratio, and pays for its length and for that of the
// recovery before it; a longer break costs a constant. ok is false where reps are few or
// long, which show by themselves.
func (j *judge) rhythmOf(r *reading) (labelling, bool) {
	const (
		fewest  = 4
		longest = 200 // s of rep and recovery together; longer ones are cut right anyhow
		lax     = 3.0 // standard deviations of a length that are looked at
	)
	n := len(r.works)
	if n < fewest || r.continuous() {
		return labelling{}, false
	}
	var bufs [3][64]float64
	works, rests, steps := bufs[0][:0], bufs[1][:0], bufs[2][:0]
	for i, w := range r.works {
		works = append(works, w.seconds())
		if i < n-1 {
			b := r.between[i]
			rests = append(rests, b.seconds())
			steps = append(steps, (w.mean+r.works[i+1].mean)/2-b.mean)
		}
	}
	work, rest, step := median(works), median(rests), median(steps)
	period := int(work + rest)
	key := [2]int{int(work/3 + 0.5), int(rest/3 + 0.5)}
	if period > longest || work < shortest || rest < shortest || step < 0.1 || j.rhythms[key] {
		return labelling{}, false
	}
	if j.rhythms == nil {
		j.rhythms = map[[2]int]bool{}
	}
	j.rhythms[key] = true
	workSD, restSD := max(2, 0.06*work), max(2, 0.1*rest)
	end := len(j.speed)
	high, low := step*rest/(work+rest), -step*work/(work+rest)
	// Log likelihoods, cumulative: of work and of recovery, each against easy running.
	fast, slow := make([]float64, end+1), make([]float64, end+1)
	for i, v := range j.speed {
		fast[i+1], slow[i+1] = fast[i], slow[i]
		if j.tr.Known[i] {
			// About the mean over a period, so that hills and fading do not count.
			lo, hi := max(0, i-period/2), min(end, i+period-period/2)
			v -= mean(j.cum, lo, hi)
			v = min(max(v, -2*step), 2*step)
			fast[i+1] += high * (2*v - high) / (2 * sq(j.noise))
			slow[i+1] += low * (2*v - low) / (2 * sq(j.noise))
		}
	}
	const pause = 10.0               // nats for a break of another length
	worked := make([]float64, end+1) // best where a rep ends there
	ready := make([]float64, end+1)  // best where one may begin there
	cameW, cameR := make([]int32, end+1), make([]int32, end+1)
	best, bestAt := make([]float64, end+1), make([]int32, end+1) // best of worked up to there
	best[0] = math.Inf(-1)
	cost := func(mean, sd float64) (least int, c []float64) {
		least = max(shortest-2, int(mean-lax*sd))
		for d := least; d <= int(mean+lax*sd); d++ {
			c = append(c, sq((float64(d)-mean)/sd)/2)
		}
		return least, c
	}
	leastW, costW := cost(work, workSD)
	leastR, costR := cost(rest, restSD)
	for t := range end + 1 {
		worked[t] = math.Inf(-1)
		for k, c := range costW {
			if a := t - leastW - k; a >= 0 {
				if v := ready[a] + fast[t] - fast[a] - c; v > worked[t] {
					worked[t], cameW[t] = v, int32(a)
				}
			}
		}
		if t > 0 {
			best[t], bestAt[t] = best[t-1], bestAt[t-1]
		}
		if worked[t] > best[t] {
			best[t], bestAt[t] = worked[t], int32(t)
		}
		ready[t], cameR[t] = 0, -1 // nothing before
		for k, c := range costR {
			if a := t - leastR - k; a >= 0 {
				if v := worked[a] + slow[t] - slow[a] - c; v > ready[t] {
					ready[t], cameR[t] = v, int32(a)
				}
			}
		}
		if a := t - leastR - len(costR); a >= 0 && best[a]-pause > ready[t] {
			ready[t], cameR[t] = best[a]-pause, bestAt[a]
		}
	}
	var edges []int
	for t := int(bestAt[end]); t > 0; {
		a := int(cameW[t])
		edges = append(edges, t, a)
		t = int(cameR[a])
	}
	if len(edges) < 2*fewest {
		return labelling{}, false
	}
	l := labelling{after: j.piece(edges[0], end), even: true}
	for i := len(edges) - 1; i > 0; i -= 2 {
		l.works = append(l.works, j.piece(edges[i], edges[i-1]))
		if i > 1 {
			l.between = append(l.between, j.piece(edges[i-1], edges[i-2]))
		}
	}
	l.before = j.piece(0, edges[len(edges)-1])
	return l, true
}

// rhythm proposes what rhythmOf finds, and each part of it that lies far from the rest.
func (j *judge) rhythm(p *proposals, r *reading) {
	l, ok := j.rhythmOf(r)
	if !ok {
		return
	}
	for _, c := range append(l.clusters(), l) {
		if !p.gauged[c.key()] {
			p.list = append(p.list, c)
		}
	}
}
