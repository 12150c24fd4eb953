package segment

import (
	"cmp"
	"math"
	"slices"
)

// A shape is how reps and the recoveries between them are put together: a
// single rep, a repeat of one rep, sets, or a sequence of these. Its cost is
// its description length in nats against the same reps without any plan, so a
// negative cost means that the shape explains something.

// A stretch is one rep or recovery as the shape search sees it.
type stretch struct {
	sight
	speed  float64 // m/s, mean, standing inside a rep left out
	moving float64 // m/s, median while moving; known once refined
}

// Prior costs of the parts of a shape, nats. They are of the size of the
// choices they stand for (a count, a kind of part, where it begins).
const (
	costStep   = 2.0
	costRepeat = 3.0
	costSets   = 1.0
	costOpen   = 15.0 // by feel: rarer than by watch
)

// stood reports whether a recovery was stood: how far one moved is of no account.
func (s stretch) stood() bool { return s.speed < standing }

// standing is the mean speed under which a recovery is called stood, m/s (common practice, no source).
const standing = 0.5

// A part is a node of a shape. Reps from..to (inclusive) belong to it.
type part struct {
	from, to int
	open     bool       // run by feel: amounts mean nothing
	passes   int        // sets: number of passes over inner, 2 or more; else 0
	inner    []part     // sets: indexes are those of the first pass
	work     amountFit  // of the rep or of all reps in a repeat
	rest     *amountFit // between repeats, or between passes of a set
	after    *amountFit // the recovery that follows in a sequence, nil at the end
	cost     float64    // nats
}

// A shaper finds the cheapest shape. reps[i] is followed by rests[i], the last
// rep by none; a rest of no length says that two reps touch. Each entry is a list,
// since the passes of a set are pooled.
type shaper struct {
	reps, rests [][]stretch
	sets        bool    // whether a part may itself be sets
	feel        bool    // whether all may be run by feel
	typical     float64 // s, the median rep
	work, rest  habit
	repFits     []amountFit // of single reps
	restFits    []amountFit
	scratch     []sight
}

// shapeOf finds the cheapest shape of a session's reps and of the recoveries
// between them, one fewer, and its cost in nats.
func shapeOf(reps, rests []stretch, work, rest habit, feel bool) ([]part, float64) {
	sh := shaper{sets: true, feel: feel, work: work, rest: rest, reps: make([][]stretch, len(reps)), rests: make([][]stretch, len(rests))}
	for i := range reps {
		sh.reps[i] = reps[i : i+1]
	}
	for i := range rests {
		sh.rests[i] = rests[i : i+1]
	}
	lengths := make([]float64, len(reps))
	for i, r := range reps {
		lengths[i] = r.seconds
	}
	sh.typical = median(lengths)
	borders := 0
	for _, b := range sh.borders() {
		if b {
			borders++
		}
	}
	if borders > mostBorders {
		return sh.anyhow()
	}
	return sh.best()
}

// anyhow is all reps as run by feel, where nothing else is looked for: though some may touch.
func (sh *shaper) anyhow() ([]part, float64) {
	p := sh.openPart()
	if math.IsInf(p.cost, 1) {
		p.cost = costRepeat + costOpen
	}
	return []part{p}, p.cost
}

// mostBorders is from how many changes of amount on reps are named as run by feel: nobody
// plans so many, and looking for sets among them takes time that grows with their cube.
const mostBorders = 40

// consistentShape finds the cheapest shape given that a session's reps are
// mostly meant in one unit and its recoveries in one, whichever these are. Recoveries
// that are walked are mostly meant in time, those run on at an easy speed (m/s, 0 when
// unknown) between long reps in kilometres as these are.
func consistentShape(reps, rests []stretch, easy float64, work, rest habit, feel bool) []part {
	const strange = 3.5 // nats for a part in the other unit
	// Some keep their recoveries by and large only: sd as a share, and what it costs to
	// think so.
	const bySight, costSloppy = 0.09, 1.5
	walked, ranOn := len(rests) > 0, len(rests) > 0 && easy > 0
	for i, r := range rests {
		walked = walked && (r.moving < 1.75 || r.seconds == 0)
		ranOn = ranOn && r.moving > 0.9*easy && reps[i].metres > 2000
	}
	if walked {
		rest.distance += strange / 2
	}
	shape := func(c int, rest habit) ([]part, float64) {
		w, r := work, rest
		if c&1 == 0 {
			w.distance += strange
		} else {
			w.time += strange
		}
		if c&2 == 0 {
			r.distance += strange
		} else {
			r.time += strange
		}
		p, cost := shapeOf(reps, rests, w, r, feel)
		if c == 2 && len(reps) > 1 || c == 1 && ranOn {
			cost += strange // by the watch and by the metre in turn
		}
		return p, cost
	}
	best, least, unit := []part(nil), math.Inf(1), 0
	for c := range 4 {
		if p, cost := shape(c, rest); cost < least {
			best, least, unit = p, cost, c
		}
	}
	rest.share, rest.memo = bySight, map[uint64]fits{}
	if p, cost := shape(unit, rest); cost+costSloppy < least {
		best = p
	}
	if mile, metric := units(best); mile && metric {
		work.shelf, work.memo = work.shelf.metric(), map[uint64]fits{}
		return consistentShape(reps, rests, easy, work, rest, feel)
	}
	return best
}

// units reports whether reps are meant in miles and whether in metres: nobody mixes them.
func units(parts []part) (mile, metric bool) {
	for _, p := range parts {
		a, b := units(p.inner)
		mile, metric = mile || a || p.work.amount.Mile, metric || b || p.work.amount.Metres > 0 && !p.work.amount.Mile
	}
	return mile, metric
}

// best is a dynamic program over the last part of the sequence.
func (sh *shaper) best() ([]part, float64) {
	parts, cost := sh.bestWithin(sh.borders())
	if math.IsInf(cost, 1) { // reps that drift apart without a border between them
		if len(sh.reps) > mostBorders {
			return sh.anyhow()
		}
		all := make([]bool, len(sh.reps)+1)
		for i := range all {
			all[i] = true
		}
		parts, cost = sh.bestWithin(all)
	}
	return parts, cost
}

func (sh *shaper) bestWithin(border []bool) ([]part, float64) {
	n := len(sh.reps)
	type state struct {
		cost float64
		from int
		last part
	}
	states := make([]state, n+1)
	for to := 1; to <= n; to++ {
		states[to].cost = math.Inf(1)
		if !border[to] {
			continue
		}
		for from := to - 1; from >= 0; from-- {
			if !border[from] {
				continue
			}
			base := states[from].cost
			if from > 0 {
				base += sh.restAfter(from - 1).cost
			}
			for _, p := range sh.partsOf(from, to-1) {
				if c := base + p.cost; c < states[to].cost {
					states[to] = state{c, from, p}
				}
			}
		}
	}
	var out []part
	if math.IsInf(states[n].cost, 1) {
		return nil, states[n].cost
	}
	for to := n; to > 0; to = states[to].from {
		p := states[to].last
		if to < n {
			p.after = sh.restAfter(to - 1)
		}
		out = append([]part{p}, out...)
	}
	return out, states[n].cost
}

// borders says where parts may begin and end. With few reps that is anywhere;
// with many, only where a rep or a recovery differs from the one before it, for
// nobody breaks a row of like reps into two parts.
func (sh *shaper) borders() []bool {
	n := len(sh.reps)
	out := make([]bool, n+1)
	out[0], out[n] = true, true
	unlike := func(a, b []stretch) bool { return !within([][]stretch{a[:1], b[:1]}, 1.1, 0) }
	for i := 1; i < n; i++ {
		odd := unlike(sh.reps[i-1], sh.reps[i])
		if i < n-1 {
			odd = odd || unlike(sh.rests[i-1], sh.rests[i])
		}
		if i > 1 {
			odd = odd || unlike(sh.rests[i-2], sh.rests[i-1])
		}
		out[i] = odd || n <= 8
	}
	return out
}

// restAfter is the fit of the single recovery after rep i, alone or as one of the like ones of the session.
func (sh *shaper) restAfter(i int) *amountFit {
	if sh.restFits == nil {
		sh.restFits = sh.inGroups(sh.rests, sh.rest)
	}
	return &sh.restFits[i]
}

// repFit is the same of rep i.
func (sh *shaper) repFit(i int) amountFit {
	if sh.repFits == nil {
		sh.repFits = sh.inGroups(sh.reps, sh.work)
	}
	return sh.repFits[i]
}

// inGroups are the fits of single stretches, each alone or as one of a group of like ones, which share the cost of their
// amount and pay for being of that group: people plan 2:00 after each rep of a pyramid, and its way down repeats the way up.
func (sh *shaper) inGroups(lists [][]stretch, h habit) []amountFit {
	out := make([]amountFit, len(lists))
	for i := range lists {
		out[i] = fitAmount(sh.collect(lists[i:i+1]), h)
	}
	groups := groupsOf(lists)
	choice := math.Log(float64(len(groups)))
	for _, g := range groups {
		if len(g) < 2 {
			continue
		}
		var together [][]stretch
		for _, i := range g {
			together = append(together, lists[i])
		}
		f := fitAmount(sh.collect(together), h)
		if f.none {
			continue
		}
		own := f.cost/float64(len(g)) + choice
		f.next += own - f.cost
		f.cost = own
		for _, i := range g {
			if f.cost < out[i].cost {
				out[i] = f
			}
		}
	}
	return out
}

// groupsOf are the indexes of lists that may be of one amount, those of the shortest first.
func groupsOf(lists [][]stretch) (groups [][]int) {
	order := make([]int, len(lists))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(lists[a][0].seconds, lists[b][0].seconds) })
	var together [][]stretch
	for _, i := range order {
		if k := len(groups) - 1; k >= 0 && within(append(together, lists[i]), 1, 0) {
			groups[k], together = append(groups[k], i), append(together, lists[i])
			continue
		}
		groups, together = append(groups, []int{i}), [][]stretch{lists[i]}
	}
	return groups
}

func (sh *shaper) collect(lists [][]stretch) []sight {
	out := sh.scratch[:0]
	for _, l := range lists {
		for _, s := range l {
			out = append(out, s.sight)
		}
	}
	sh.scratch = out
	return out
}

// partsOf lists the parts that reps from..to may form together.
func (sh *shaper) partsOf(from, to int) []part {
	var out []part
	switch reps := sh.reps[from : to+1]; {
	case !alike(reps, 1.15):
	case from == to:
		p := part{from: from, to: to, work: sh.repFit(from)}
		p.cost = p.work.cost + costStep + sh.oddness(reps[0])
		out = append(out, p)
	case sh.rests[from][0].seconds > 0 && alike(sh.rests[from:to], 1.9):
		work, rest := fitAmount(sh.collect(reps), sh.work), fitAmount(sh.collect(sh.rests[from:to]), sh.rest)
		pair(&work, &rest)
		out = append(out, part{from: from, to: to, work: work, rest: &rest, cost: costRepeat + cohesion(reps) + work.cost + rest.cost})
	}
	n := to - from + 1
	if !sh.sets || n < 4 {
		return out
	}
	if n == len(sh.reps) && sh.feel {
		out = append(out, sh.openPart())
	}
	if len(sh.reps) > manyReps && n < len(sh.reps)-4 {
		return out
	}
	if plain(sh.reps[from:to+1], sh.rests[from:to]) {
		return out
	}
	for period := 2; period <= n/2; period++ {
		if n%period != 0 {
			continue
		}
		if p, ok := sh.setsOf(from, to, period); ok {
			out = append(out, p)
		}
	}
	return out
}

// plain reports whether reps and recoveries are all alike: nobody finds sets in such a row. Of many some may be off, as much as
// those of a row may.
func plain(reps, rests [][]stretch) bool {
	if len(reps) > manyReps {
		return alike(reps, 1.2) && alike(rests, 1.25)
	}
	return within(reps, 1.2, 0) && within(rests, 1.25, 0)
}

// manyReps is from how many reps on sets are looked for in the whole of a session only, and noise may hide that they are alike.
const manyReps = 16

// pair reads reps and the recoveries between them as of one amount where that
// costs less: "on and off" takes one amount to describe, not two.
func pair(work, rest *amountFit) {
	const saved = 1.6 // nats
	w, r := *work, *rest
	second := func(f amountFit) amountFit {
		return amountFit{amount: f.second, cost: f.next, next: f.cost, second: f.amount}
	}
	least := w.cost + r.cost
	for _, a := range []amountFit{w, second(w)} {
		for _, b := range []amountFit{r, second(r)} {
			if a.amount == b.amount && a.amount != (Amount{}) && a.cost+b.cost-saved < least {
				least = a.cost + b.cost - saved
				*work, *rest = a, b
				rest.cost -= saved
			}
		}
	}
}

// oddness is what it costs that a rep outside any repeat differs in length from
// the other reps: within a session they are of one order of size.
func (sh *shaper) oddness(rep []stretch) float64 {
	const sd = 0.7
	x := math.Log(rep[0].seconds / sh.typical)
	return math.Log(plainDensity) - math.Log(0.999*normal(x, sd)+0.001*plainDensity)
}

// openPart reads all reps as run by feel: nobody meant their lengths, nor those
// of the recoveries, but both are of one order of size.
func (sh *shaper) openPart() part {
	n := len(sh.reps)
	p := part{from: 0, to: n - 1, open: true, rest: &amountFit{}, cost: costRepeat + costOpen}
	lengths := make([]float64, 0, n)
	for _, r := range sh.rests {
		if r[0].seconds == 0 {
			p.cost = math.Inf(1)
		}
		lengths = append(lengths, r[0].seconds)
	}
	typical := median(lengths)
	for i, r := range sh.reps {
		p.cost += sh.oddness(r)
		if i < n-1 {
			x := math.Log(max(sh.rests[i][0].seconds, 1) / typical)
			p.cost += math.Log(plainDensity) - math.Log(0.999*normal(x, 0.7)+0.001*plainDensity)
		}
	}
	return p
}

// setsOf pools the passes of a set and shapes one pass.
func (sh *shaper) setsOf(from, to, period int) (part, bool) {
	passes := (to - from + 1) / period
	in := shaper{typical: sh.typical, work: sh.work, rest: sh.rest, reps: make([][]stretch, period), rests: make([][]stretch, period-1)}
	for k := range period {
		for q := range passes {
			in.reps[k] = append(in.reps[k], sh.reps[from+k+q*period]...)
			if k < period-1 {
				rest := sh.rests[from+k+q*period]
				if (rest[0].seconds == 0) != (sh.rests[from+k][0].seconds == 0) {
					return part{}, false // reps touch in one pass and not in another
				}
				in.rests[k] = append(in.rests[k], rest...)
			}
		}
	}
	var between [][]stretch
	for q := 1; q < passes; q++ {
		between = append(between, sh.rests[from+q*period-1])
	}
	if between[0][0].seconds == 0 {
		return part{}, false // sets are kept apart by a recovery
	}
	if !alike(between, 1.9) {
		return part{}, false
	}
	inner, cost := in.bestWithin(in.borders())
	if math.IsInf(cost, 1) {
		return part{}, false
	}
	r := fitAmount(sh.collect(between), sh.rest)
	return part{from: from, to: to, passes: passes, inner: inner, rest: &r, cost: cost + r.cost + costSets}, true
}

// alike is a quick refusal: stretches whose times and distances both spread by
// more than the ratio are not of one amount. One in eight may be off, at either end, but none by more than mostLonger
// at the long one.
func alike(lists [][]stretch, ratio float64) bool { return within(lists, ratio, 1.0/8) }

// mostLonger is how many times as long as the others one may be that is still of their amount (common practice, no source).
const mostLonger = 1.6

// within is alike with a given share of stretches that may be off.
func within(lists [][]stretch, ratio, off float64) bool {
	var tBuf, dBuf [48]float64
	t, d := tBuf[:0], dBuf[:0]
	stood, se, speed, noise := true, 0.0, 0.0, 0.0
	for _, l := range lists {
		for _, s := range l {
			t, d = append(t, s.seconds), append(d, s.metres)
			stood = stood && s.stood()
			se, speed, noise = max(se, s.se), max(speed, s.speed), max(noise, s.noise)
		}
	}
	if len(t) < 2 {
		return true
	}
	median(t)
	median(d)
	trim := int(off * float64(len(t)))
	if t[0] == 0 {
		return t[len(t)-1] == 0 // changes of pace without a recovery
	}
	// Short stretches are seen less exactly, so some seconds are always allowed.
	spread := func(x []float64, slack float64) bool {
		n := len(x)
		return x[n-1-trim] <= ratio*x[trim]+slack && x[n-1] <= mostLonger*x[n/2]+slack
	}
	slack := 2 + 2*se
	return spread(t, slack) || !stood && spread(d, 10+slack*speed+2*noise) && t[len(t)-1] <= 2*t[len(t)/2]+slack
}

// cohesion is what it saves to code the speeds of reps as one speed.
func cohesion(lists [][]stretch) float64 {
	var buf [48]float64
	v := buf[:0]
	for _, l := range lists {
		for _, s := range l {
			v = append(v, s.speed)
		}
	}
	if len(v) < 2 {
		return 0
	}
	med := median(v)
	if med == 0 {
		return 0 // nothing but heart rate is known
	}
	const sd, plain = 0.06, 0.5
	cost := 0.0
	for _, x := range v {
		cost += math.Log(plain) - math.Log(0.95*normal(math.Log(max(x, 0.1)/med), sd)+0.05*plain)
	}
	return cost * float64(len(v)-1) / float64(len(v))
}
