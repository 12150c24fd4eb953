package match

import (
	"math"
	"slices"
)

// A move says what a stretch of the alignment is.
type move uint8

const (
	moveNone     move = iota
	moveStep          // a planned step, run
	moveSkip          // a planned step, left out
	moveSkipPair      // a rep and the recovery before or after it, both left out; not in paths
	moveReplaced      // a rep jogged instead of run: left out, and a slow stretch of its amount; not in paths
	moveStop          // all steps left out up to the last rep; not in paths
	moveSlow          // unplanned slow running or standing
	moveFast          // an unplanned rep
)

// A placed is one stretch of an alignment: a planned step and where it was
// run, a planned step that was not (start = end), or an unplanned stretch.
type placed struct {
	move       move
	task       int     // index of the planned step, of moveStep and moveSkip
	start, end float64 // s
}

// A lattice is the table of the alignment. A cell is the cheapest way of having
// dealt with the first i steps and covered the time up to node j; there are two
// of each, for ways that end in a rep and for all others, since an unplanned
// rep is dearer right after a planned one.
type lattice struct {
	cells [][]cell // by step; two for each node
}

type cell struct {
	cost  float64
	from  int32 // place of the cell before it
	steps int16 // that a stop leaves out
	move  move
}

// place is where the cell of a node stands in its row.
func place(node int, afterRep bool) int {
	if afterRep {
		return 2*node + 1
	}
	return 2 * node
}

func makeLattice(steps, nodes int) *lattice {
	l := &lattice{make([][]cell, steps+1)}
	for i := range l.cells {
		l.cells[i] = make([]cell, 2*nodes)
		for j := range l.cells[i] {
			l.cells[i][j].cost = math.Inf(1)
		}
	}
	return l
}

// relax takes the way that costs c to the cell at p after i steps when it is
// the cheapest so far.
func (l *lattice) relax(i, p int, c float64, from int, m move) {
	if at := &l.cells[i][p]; c < at.cost {
		*at = cell{cost: c, from: int32(from), move: m}
	}
}

// best is the cheaper of the two cells of a node, and its place.
func (l *lattice) best(i, node int) (cost float64, at int) {
	at = 2 * node
	if l.cells[i][at+1].cost < l.cells[i][at].cost {
		at++
	}
	return l.cells[i][at].cost, at
}

// A chain is a stretch of any length that grows node by node at a rate.
type chain struct {
	cost float64
	from int // place of the cell it began at
}

func (c *chain) open(cost float64, from int) {
	if cost < c.cost {
		c.cost, c.from = cost, from
	}
}

// A ground is what the steps are laid over: the candidate moments, and the
// sums that price a stretch between two of them.
type ground struct {
	nodes       []node
	t, d, stood []float64 // time (s), distance (m) and seconds stood, up to each node
	standing    []bool    // the runner stands there
	before      []float64 // s stood in the last edgeSlackS up to each node
	after       []float64 // the same from each node on
	slow, fast  []float64 // misfit of unplanned stretches up to each second
	sp          *speeds
}

func newGround(sp *speeds, nodes []node, u unplanned) *ground {
	n := len(nodes)
	g := &ground{nodes, make([]float64, n), make([]float64, n), make([]float64, n), make([]bool, n), make([]float64, n), make([]float64, n),
		sp.misfits(u.slow, false, false), sp.misfits(u.fast, true, false), sp}
	for j, c := range nodes {
		g.t[j], g.d[j], g.stood[j] = float64(c.at), sp.dist(c.at), sp.halt[c.at]
		g.before[j], g.after[j] = sp.stoodS(max(0, c.at-edgeSlackS), c.at), sp.stoodS(c.at, min(sp.n, c.at+edgeSlackS))
		g.standing[j] = sp.stoodS(max(0, c.at-4), c.at) > 0 && sp.stoodS(c.at, min(sp.n, c.at+4)) > 0
	}
	return g
}

// along is the measure that a step is counted in.
func (g *ground) along(t *task) []float64 {
	if t.metres {
		return g.d
	}
	return g.t
}

// step prices running step t from node j to node k; sum is its own misfit.
// Replaced prices leaving the step out and jogging about its amount instead.
func (g *ground) step(t *task, sum, x []float64, j, k int) (cost, replaced float64) {
	run := x[k] - x[j]
	if g.sp.given != nil {
		return g.sp.given.step(g, t, run, j, k), math.Inf(1)
	}
	from, to := g.nodes[j].at, g.nodes[k].at
	amount := t.misfit(run)
	replaced = math.Inf(1)
	fit := t.weight * (sum[to] - sum[from])
	about := math.Abs(run-t.amount) < 0.25*t.amount
	switch {
	case t.work:
		if about {
			replaced = priceReplaced + amount + g.slow[to] - g.slow[from]
		}
		if stood := g.stood[k] - g.stood[j]; stood > g.after[j]+g.before[k] {
			if !t.metres {
				amount = math.Min(amount, t.misfit(run-stood))
			}
			amount += priceHalt
			if g.standing[j] || g.standing[k] {
				amount += priceHaltEnd
			}
		}
	case t.rest && about:
		fit = math.Min(fit, priceThrough+g.fast[to]-g.fast[from])
	}
	return amount + fit, replaced
}

// fastPrice is the price of beginning an unplanned rep.
func (g *ground) fastPrice() float64 {
	if g.sp.given != nil {
		return givenFast
	}
	return priceFast
}

// chained tells whether a step is priced second by second and may have any length.
func (g *ground) chained(t *task) bool { return t.open && g.sp.given == nil }

// slowPrices are the prices of beginning an unplanned slow stretch, and of a
// second of it, when i of n steps are dealt with.
func (g *ground) slowPrices(i, n int) (open, rate float64) {
	switch {
	case g.sp.given != nil && (i == 0 && g.sp.given.ends[0] || i == n && g.sp.given.ends[1]):
		return placeOuter, placeOuterS
	case i == 0 || i == n: // before and after the plan
		return 0, rateSlow / 4
	case g.sp.given != nil:
		return givenSlow, givenSlowS
	}
	return priceSlow, rateSlow
}

// align finds the cheapest way to lay the steps, in their order, over the
// whole recording: each step run or left out, and unplanned stretches between.
// It is exact over the given nodes. No way dearer than limit is looked at; the
// path is nil when there is none within it. Branches: the recursion is in one function, so that
// all ways to a cell are seen side by side.
func align(ts []task, g *ground, limit float64) (path []placed, cost float64) {
	n, last := len(ts), len(g.nodes)-1
	l := makeLattice(n, len(g.nodes))
	l.cells[0][0].cost = 0
	stop, left := g.stops(ts)
	for i := 0; i <= n; i++ {
		openSlow, rSlow := g.slowPrices(i, n)
		s, f, o := chain{math.Inf(1), 0}, chain{math.Inf(1), 0}, chain{math.Inf(1), 0}
		var sum, x []float64
		var t *task
		if i < n {
			t = &ts[i]
			sum, x = g.sp.misfits(t.level, t.work, t.work), g.along(t)
		}
		for j, here := range g.nodes {
			if j > 0 {
				was := g.nodes[j-1].at
				dt := float64(here.at - was)
				s.cost += rSlow*dt + g.slow[here.at] - g.slow[was]
				f.cost += rateFast*dt + g.fast[here.at] - g.fast[was]
				l.relax(i, place(j, false), s.cost+here.price, s.from, moveSlow)
				l.relax(i, place(j, false), f.cost+here.price, f.from, moveFast)
				if t != nil && g.chained(t) {
					o.cost += t.weight * (sum[here.at] - sum[was])
					l.relax(i+1, place(j, t.work), o.cost+here.price, o.from, moveStep)
				}
			}
			c, at := l.best(i, j)
			if !(c <= limit) {
				continue
			}
			s.open(c+openSlow, at)
			f.open(l.cells[i][place(j, false)].cost+g.fastPrice(), place(j, false))
			f.open(l.cells[i][place(j, true)].cost+g.fastPrice()+priceAtOnce, place(j, true))
			if t == nil {
				continue
			}
			l.relax(i+1, place(j, false), c+t.skip, at, moveSkip)
			if i < stop && left[i] > 1 {
				if p := c + priceStop + priceStopRep*float64(left[i]); p < l.cells[stop][place(j, false)].cost {
					l.cells[stop][place(j, false)] = cell{p, int32(at), int16(stop - i), moveStop}
				}
			}
			if i+1 < n && (t.work && ts[i+1].rest || t.rest && ts[i+1].work) {
				l.relax(i+2, place(j, false), c+math.Max(t.skip, ts[i+1].skip), at, moveSkipPair)
			}
			if g.chained(t) {
				o.open(c, at)
				continue
			}
			lo := j + 1 + lowerBound(x[j+1:], x[j]+t.least)
			for k := lo; k <= last && x[k]-x[j] <= t.most; k++ {
				run, replaced := g.step(t, sum, x, j, k)
				l.relax(i+1, place(k, t.work), c+run+g.nodes[k].price, at, moveStep)
				if t.work {
					l.relax(i+1, place(k, false), c+replaced+g.nodes[k].price, at, moveReplaced)
				}
			}
		}
	}
	cost, end := l.best(n, last)
	if !(cost <= limit) || math.IsInf(cost, 1) {
		return nil, math.Inf(1)
	}
	return l.trace(g.nodes, end), cost
}

// priceOf prices a path over a ground: an upper bound on what align finds.
func priceOf(path []placed, ts []task, g *ground) float64 {
	at := map[int]int{}
	for j, c := range g.nodes {
		at[c.at] = j
	}
	sum, afterRep := 0.0, false
	for k, p := range path {
		i := 0 // steps dealt with
		for m := k - 1; m >= 0 && i == 0; m-- {
			i = path[m].task + 1
		}
		j, ok1 := at[int(p.start)]
		e, ok2 := at[int(p.end)]
		if !ok1 || !ok2 {
			return math.Inf(1)
		}
		a, b := g.nodes[j].at, g.nodes[e].at
		switch p.move {
		case moveSkip:
			sum += ts[p.task].skip
			afterRep = false
			continue
		case moveStep:
			t := &ts[p.task]
			own := g.sp.misfits(t.level, t.work, t.work)
			if g.chained(t) {
				sum += t.weight * (own[b] - own[a])
			} else {
				run, _ := g.step(t, own, g.along(t), j, e)
				sum += run
			}
		case moveSlow:
			open, rate := g.slowPrices(i, len(ts))
			sum += open + rate*float64(b-a) + g.slow[b] - g.slow[a]
		case moveFast:
			sum += g.fastPrice() + rateFast*float64(b-a) + g.fast[b] - g.fast[a]
			if afterRep {
				sum += priceAtOnce
			}
		}
		sum += g.nodes[e].price
		afterRep = p.move == moveStep && ts[p.task].work
	}
	return sum
}

// stops tells after which step nothing but what follows all reps is left, and how many reps are left before each step. It is
// after 0 in a plan without recoveries, where nothing shows that it was stopped, and in one that is known to be what was run.
func (g *ground) stops(ts []task) (last int, left []int) {
	left = make([]int, len(ts)+1)
	for i := len(ts) - 1; i >= 0; i-- {
		if left[i] = left[i+1]; ts[i].work {
			left[i]++
			last = max(last, i+1)
		}
	}
	if g.sp.given != nil || !slices.ContainsFunc(ts, func(t task) bool { return t.rest }) {
		last = 0
	}
	return last, left
}

func lowerBound(x []float64, v float64) int {
	k, _ := slices.BinarySearch(x, v)
	return k
}

// trace walks the cheapest path back from the cell at place end.
func (l *lattice) trace(nodes []node, end int) []placed {
	var out []placed
	i, at := len(l.cells)-1, end
	for i > 0 || at > 1 {
		c := l.cells[i][at]
		p := placed{move: c.move, task: -1, start: float64(nodes[c.from/2].at), end: float64(nodes[at/2].at)}
		switch p.move {
		case moveStep, moveSkip:
			i--
			p.task = i
		case moveSkipPair:
			p.move = moveSkip
			out = append(out, placed{moveSkip, i - 1, p.start, p.end})
			i -= 2
			p.task = i
		case moveStop:
			p.move = moveSkip
			for k := 1; k < int(c.steps); k++ {
				out = append(out, placed{moveSkip, i - k, p.start, p.end})
			}
			i -= int(c.steps)
			p.task = i
		case moveReplaced:
			i--
			p.move = moveSlow
			out = append(out, p)
			p = placed{moveSkip, i, p.start, p.start}
		case moveSlow, moveFast:
		default:
			return nil // nothing leads here
		}
		at = int(c.from)
		out = append(out, p)
	}
	slices.Reverse(out)
	return out
}
