package segment

import (
	"math"
	"slices"
)

// An origin is a way in which the length of a stretch comes about.
type origin int

const (
	free         origin = iota // as nobody meant it
	round                      // an amount that people mean
	copied                     // as an earlier one
	stepped                    // by as much more or less as the one before it was
	scaled                     // by as many times as the one before it was
	borrowed                   // a recovery as long as a rep
	inProportion               // a recovery to its rep as an earlier one to its own
	originCount
)

// origins are the shares of lengths of each origin, or densities of a length by each.
type origins [originCount]float64

const (
	feel = 0.1 // share of sessions in which nobody meant a length (common practice, no source)

	// taught is for how many lengths the shares of all sessions count (code_fitted.go) beside those of the session
	// itself: with 2, 4 and 10 the right reading of 3,200 simulated sessions wins in as many.
	taught = 6
)

// A length is a stretch as the code of amounts sees it, in time and in distance.
type length struct {
	x, sd [2]float64 // logarithm of the length and its standard error
	round [2]float64 // density of round amounts at that length
}

// lengthOf measures the length of cells lo to hi, once for each habit.
func (j *judge) lengthOf(p piece, h *habit) *length {
	key := stretchOf{p.lo, p.hi, h}
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

// A stretchOf is cells lo to hi of one habit.
type stretchOf struct {
	lo, hi int
	*habit
}

// amounts reads what it saves to describe the lengths of reps and recoveries, and of what lies before
// and after, as amounts that people mean, in nats against lengths that follow no plan.
func (j *judge) amounts(r *reading) {
	reps, rests, before := j.reps[:0], j.rests[:0], j.before[:0]
	for i, w := range r.works {
		reps = append(reps, j.lengthOf(w, &j.work))
		if i > 0 && r.between[i-1].hi > r.between[i-1].lo {
			rests, before = append(rests, j.lengthOf(r.between[i-1], &j.rest)), append(before, reps[i-1])
		}
	}
	j.reps, j.rests, j.before = reps, rests, before
	e := &r.features
	e[amountWork] = codeOf(reps, nil, &workOrigins)
	e[amountRest] = codeOf(rests, before, &restOrigins)
	e[amountEnds] = 0
	for _, p := range [...]piece{r.before, r.after} {
		if p.seconds() >= leastEnd {
			e[amountEnds] += math.Log(1 - endsMeant + endsMeant*j.endDensity(p)/plainDensity)
		}
	}
}

// byFeel reports whether the reps may be told as run by feel: it saves little to take their lengths for amounts, and no device
// led through one.
func (j *judge) byFeel(r *reading) bool {
	j.amounts(r) // a reading that was laid has none yet
	led := slices.ContainsFunc(r.reps, func(x stretch) bool { return x.told != (Amount{}) })
	return !led && r.features[amountWork] < surelyMeant*float64(len(r.works))
}

// surelyMeant is what it saves for each rep to take lengths for amounts where they surely are, nats: of simulated sessions all
// 83 by feel save less, one in five pyramids and three in five of mixed reps; these may still be told by their amounts.
const surelyMeant = 1.0

// leastEnd is how long a warm-up or a cool-down is at least, s (common practice, no source).
const leastEnd = 60

// endDensity is the density of the length of what lies before or after all reps, where it is an amount in time or in distance.
func (j *judge) endDensity(p piece) float64 {
	l := j.lengthOf(p, &j.outer)
	return (l.round[0] + l.round[1]) / 2
}

// codeOf is what it saves, in nats, to take stretches for amounts, in time or in
// distance, or as run by feel. before are the reps that recoveries follow.
func codeOf(list, before []*length, shares *origins) float64 {
	if len(list) == 0 {
		return 0
	}
	inTime, inMetres := codeIn(list, before, shares, 0), codeIn(list, before, shares, 1)
	return logSumExp([]float64{math.Log((1-feel)/2) + inTime, math.Log((1-feel)/2) + inMetres, math.Log(feel)})
}

// codeIn is codeOf in one unit: each length counts by the shares of all sessions and of the session so far (Krichevsky and
// Trofimov 1981, for a Dirichlet prior; from memory).
func codeIn(list, before []*length, shares *origins, u int) float64 {
	var counts origins
	for k := range counts {
		counts[k] = taught * shares[k]
	}
	var c kinds
	total, product := 0.0, 1.0
	for i := range list {
		d := c.densities(list, before, i, u)
		p := 0.0
		for k := range d {
			d[k] *= counts[k]
			p += d[k]
		}
		for k := range d {
			counts[k] += d[k] / p
		}
		if product *= p / (float64(taught+i) * plainDensity); product > 1e100 || product < 1e-100 {
			total, product = total+math.Log(product), 1
		}
		c.remember(list[i].x[u], list[i].sd[u])
	}
	return total + math.Log(product)
}

// kinds are the different lengths so far, at most so many.
type kinds struct {
	list [12]struct{ x, n float64 } // logarithms, and how often
	n    int
	seen float64 // lengths that are of them
}

// densities are those of the logarithm of length i of a list in a unit by each origin; what an origin does not tell yet
// follows no plan. before are the reps that recoveries follow, nil for reps.
func (c *kinds) densities(list, before []*length, i, u int) (d origins) {
	x, sd := list[i].x[u], list[i].sd[u]
	for k := range d {
		d[k] = plainDensity
	}
	d[round] = list[i].round[u]
	if c.n > 0 {
		d[copied] = 0
		for _, k := range c.list[:c.n] {
			d[copied] += k.n / c.seen * within5(x-k.x, 1.4*sd)
		}
	}
	if i > 1 {
		a, b := list[i-2].x[u], list[i-1].x[u]
		d[stepped] = 0
		if up := 2 - math.Exp(a-b); up > 0 { // of b, by as much as b is of a
			d[stepped] = within5(x-b-math.Log(up), 2*sd)
		}
		d[scaled] = within5(x-2*b+a, 2.5*sd)
	}
	if before == nil {
		return d
	}
	const looked = 3 // at so many others
	d[borrowed] = 0
	first := before[:min(i+1, looked)]
	for _, o := range first {
		d[borrowed] += within5(x-o.x[u], 1.4*sd) / float64(len(first))
	}
	if i > 0 {
		d[inProportion] = 0
		from := max(0, i-looked)
		for k := from; k < i; k++ {
			d[inProportion] += within5(x-list[k].x[u]-(before[i].x[0]-before[k].x[0]), 2*sd) / float64(i-from)
		}
	}
	return d
}

// remember counts a length, of a kind that is known or of a new one.
func (c *kinds) remember(x, sd float64) {
	for k := range c.list[:c.n] {
		if q := &c.list[k]; math.Abs(q.x-x) < 2*sd {
			q.n++
			q.x += (x - q.x) / q.n
			c.seen++
			return
		}
	}
	if c.n < len(c.list) {
		c.list[c.n].x, c.list[c.n].n = x, 1
		c.n, c.seen = c.n+1, c.seen+1
	}
}

// within5 is the normal density, taken for none five standard deviations out.
func within5(x, sd float64) float64 {
	if x > 5*sd || x < -5*sd {
		return 0
	}
	return normal(x, sd)
}
