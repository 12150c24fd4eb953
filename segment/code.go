package segment

import "math"

// How amounts come about: the shares of lengths that copy an earlier one, go on a
// ladder, are round, and are free (common practice, no source; what they weigh against
// the rest is fitted).
const (
	copied = 0.55
	rung   = 0.08
	round  = 0.27
	free   = 1 - copied - rung - round

	byFeel = 0.1 // share of sessions in which nobody meant a length
)

// A length is a stretch as the code of amounts sees it, in time and in distance.
type length struct {
	x, sd [2]float64 // logarithm of the length and its standard error
	round [2]float64 // density of round amounts at that length
}

// lengthOf measures the length of cells lo to hi, once for each habit.
func (j *judge) lengthOf(p piece, rest bool) *length {
	key := [3]int{p.lo, p.hi, 0}
	h := &j.work
	if rest {
		key[2], h = 1, &j.rest
	}
	if l := j.lengths[key]; l != nil {
		return l
	}
	t := p.seconds()
	d := max(j.tr.Shown[p.hi]-j.tr.Shown[p.lo], 1)
	se := math.Hypot(1.5, (j.tr.Step-1)/2) // of both edges, before they are sharpened
	sizes := [2]float64{t, d}
	ses := [2]float64{
		math.Hypot(se, math.Hypot(h.seconds, h.share*t)),
		math.Sqrt(sq(d/t*math.Hypot(se, h.seconds)) + sq(2) + sq((0.006+h.share)*d)),
	}
	l := &length{}
	for u, shelf := range [2][]meant{h.shelf.time, h.shelf.distance} {
		l.x[u], l.sd[u] = math.Log(sizes[u]), ses[u]/sizes[u]
		for at := atLeast(shelf, sizes[u]-4*ses[u]); at < len(shelf) && shelf[at].size < sizes[u]+4*ses[u]; at++ {
			l.round[u] += math.Exp(-shelf[at].cost) * normal(l.x[u]-math.Log(shelf[at].size), l.sd[u])
		}
	}
	j.lengths[key] = l
	return l
}

// amounts reads what it saves to describe the lengths of reps and recoveries as amounts
// that people mean, in nats against lengths that follow no plan: each is a copy of an
// earlier one, a further rung of a ladder, round, or free.
func (j *judge) amounts(r *reading) {
	reps, rests := j.reps[:0], j.rests[:0]
	for _, w := range r.works {
		reps = append(reps, j.lengthOf(w, false))
	}
	for _, b := range r.between {
		if b.hi > b.lo {
			rests = append(rests, j.lengthOf(b, true))
		}
	}
	j.reps, j.rests = reps, rests
	e := &r.features
	e[amountWork] = codeOf(reps, nil)
	e[amountRest] = codeOf(rests, reps)
}

// codeOf is what it saves, in nats, to take stretches for amounts, in time or in
// distance, or as run by feel. like are stretches of another kind that may be copied.
func codeOf(list, like []*length) float64 {
	if len(list) == 0 {
		return 0
	}
	inTime, inMetres := codeIn(list, like, 0), codeIn(list, like, 1)
	return logSumExp([]float64{math.Log((1-byFeel)/2) + inTime, math.Log((1-byFeel)/2) + inMetres, math.Log(byFeel)})
}

// codeIn is codeOf in one unit.
func codeIn(list, like []*length, u int) float64 {
	const remembered = 12 // kinds of amounts
	type kind struct{ x, n float64 }
	var buf [remembered]kind
	kinds := buf[:0]
	total, seen, product := 0.0, 0.0, 1.0
	for i, s := range list {
		x, sd := s.x[u], s.sd[u]
		p := free*plainDensity + round*s.round[u]
		if len(kinds) > 0 {
			for _, k := range kinds {
				p += copied * k.n / seen * within5(x-k.x, 1.4*sd)
			}
		} else {
			p += copied * plainDensity
		}
		if i > 1 {
			a, b := list[i-2].x[u], list[i-1].x[u]
			if up := 2 - math.Exp(a-b); up > 0 { // of b, by as much as b is of a
				p += rung / 2 * within5(x-b-math.Log(up), 2*sd)
			}
			p += rung / 2 * within5(x-2*b+a, 2.5*sd)
		} else {
			p += rung * plainDensity
		}
		if n := min(len(like), i+1, 3); n > 0 {
			for _, o := range like[:n] {
				p += 0.1 / float64(n) * within5(x-o.x[u], 1.4*sd)
			}
		}
		if product *= p / plainDensity; product > 1e100 || product < 1e-100 {
			total, product = total+math.Log(product), 1
		}
		known := false
		for k := range kinds {
			if math.Abs(kinds[k].x-x) < 2*sd {
				kinds[k].n++
				kinds[k].x += (x - kinds[k].x) / kinds[k].n
				known = true
				break
			}
		}
		switch {
		case known:
			seen++
		case len(kinds) < remembered:
			kinds, seen = append(kinds, kind{x, 1}), seen+1
		}
	}
	return total + math.Log(product)
}

// within5 is the normal density, taken for none five standard deviations out.
func within5(x, sd float64) float64 {
	if x > 5*sd || x < -5*sd {
		return 0
	}
	return normal(x, sd)
}
