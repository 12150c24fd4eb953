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

// A lattice is the table of the alignment: cost[i][j] is the least cost of
// having dealt with the first i steps and covered the time up to node j.
type lattice struct {
	cost [][]float64
	from [][]int32 // node at which the last stretch began
	move [][]move
}

func makeLattice(layers, nodes int) *lattice {
	l := &lattice{cost: make([][]float64, layers), from: make([][]int32, layers), move: make([][]move, layers)}
	for i := range l.cost {
		l.cost[i] = make([]float64, nodes)
		for j := range l.cost[i] {
			l.cost[i][j] = math.Inf(1)
		}
		l.from[i] = make([]int32, nodes)
		l.move[i] = make([]move, nodes)
	}
	return l
}

func (l *lattice) relax(i, j int, c float64, from int, m move) {
	if c < l.cost[i][j] {
		l.cost[i][j], l.from[i][j], l.move[i][j] = c, int32(from), m
	}
}

// A chain is a stretch of any length that grows node by node at a rate.
type chain struct {
	cost float64
	from int
}

func (c *chain) open(cost float64, at int) {
	if cost < c.cost {
		c.cost, c.from = cost, at
	}
}

// align finds the cheapest way to lay the steps, in their order, over the
// whole recording: each step run or left out, and unplanned stretches between.
// It is exact over the given nodes. Slow and fast are the speeds of unplanned
// stretches.
func align(ts []task, sp *speeds, nodes []node, slow, fast band) (path []placed, cost float64) {
	n, last := len(ts), len(nodes)-1
	l := makeLattice(n+1, len(nodes))
	l.cost[0][0] = 0
	slowSum, fastSum := sp.misfits(slow, false), sp.misfits(fast, false)
	byTime, byDist, halts := positions(sp, nodes)
	for i := 0; i <= n; i++ {
		openSlow, rSlow := priceSlow, rateSlow
		if i == 0 || i == n { // before and after the plan
			openSlow, rSlow = 0, rateSlow/4
		}
		s, f, o := chain{math.Inf(1), 0}, chain{math.Inf(1), 0}, chain{math.Inf(1), 0}
		var sum []float64
		var t *task
		if i < n {
			t = &ts[i]
			sum = sp.misfits(t.level, t.work)
		}
		for j := range nodes {
			at := nodes[j].at
			if j > 0 {
				was := nodes[j-1].at
				dt := float64(at - was)
				s.cost += rSlow*dt + slowSum[at] - slowSum[was]
				f.cost += rateFast*dt + fastSum[at] - fastSum[was]
				l.relax(i, j, s.cost+nodes[j].price, s.from, moveSlow)
				l.relax(i, j, f.cost+nodes[j].price, f.from, moveFast)
				if t != nil && t.open {
					o.cost += t.weight * (sum[at] - sum[was])
					l.relax(i+1, j, o.cost+nodes[j].price, o.from, moveStep)
				}
			}
			c := l.cost[i][j]
			if math.IsInf(c, 1) {
				continue
			}
			s.open(c+openSlow, j)
			openFast := priceFast
			if i > 0 && ts[i-1].work && l.move[i][j] == moveStep {
				openFast += priceAtOnce
			}
			f.open(c+openFast, j)
			if t == nil {
				continue
			}
			l.relax(i+1, j, c+t.skip, j, moveSkip)
			if i+1 < n && (t.work && ts[i+1].rest || t.rest && ts[i+1].work) {
				l.relax(i+2, j, c+math.Max(t.skip, ts[i+1].skip), j, moveSkipPair)
			}
			if t.open {
				o.open(c, j)
				continue
			}
			x := byTime
			if t.metres {
				x = byDist
			}
			lo := j + 1 + lowerBound(x[j+1:], x[j]+t.least)
			for k := lo; k <= last && x[k]-x[j] <= t.most; k++ {
				run := x[k] - x[j]
				m := t.misfit(run)
				if stood := halts[k] - halts[j]; t.work && stood > 0 {
					if !t.metres {
						m = math.Min(m, t.misfit(run-stood))
					}
					m += priceHalt
				}
				fit := t.weight * (sum[nodes[k].at] - sum[at])
				if t.rest && math.Abs(run-t.amount) < 0.25*t.amount {
					fit = math.Min(fit, priceThrough+fastSum[nodes[k].at]-fastSum[at])
				}
				l.relax(i+1, k, c+m+fit+nodes[k].price, j, moveStep)
			}
		}
	}
	return l.trace(nodes), l.cost[n][last]
}

func lowerBound(x []float64, v float64) int {
	k, _ := slices.BinarySearch(x, v)
	return k
}

// positions gives time, distance and seconds stood at every node.
func positions(sp *speeds, nodes []node) (t, d, halts []float64) {
	t, d, halts = make([]float64, len(nodes)), make([]float64, len(nodes)), make([]float64, len(nodes))
	for j, c := range nodes {
		t[j], d[j], halts[j] = float64(c.at), sp.dist(c.at), sp.halt[c.at]
	}
	return t, d, halts
}

// trace walks the cheapest path back from the end.
func (l *lattice) trace(nodes []node) []placed {
	var out []placed
	i, j := len(l.cost)-1, len(nodes)-1
	for i > 0 || j > 0 {
		from := int(l.from[i][j])
		p := placed{move: l.move[i][j], task: -1, start: float64(nodes[from].at), end: float64(nodes[j].at)}
		switch p.move {
		case moveStep, moveSkip:
			i--
			p.task = i
		case moveSkipPair:
			p.move = moveSkip
			out = append(out, placed{moveSkip, i - 1, p.start, p.end})
			i -= 2
			p.task = i
		case moveSlow, moveFast:
		default:
			return nil // nothing leads here
		}
		j = from
		out = append(out, p)
	}
	slices.Reverse(out)
	return out
}

// joinRests lets a recovery take in the unplanned slow stretches next to it:
// what lies between two reps that follow each other in the plan is one rest.
func joinRests(ts []task, path []placed) []placed {
	isWork := func(p placed) bool { return p.move == moveFast || p.task >= 0 && ts[p.task].work }
	var out []placed
	for i := 0; i < len(path); {
		if isWork(path[i]) {
			out = append(out, path[i])
			i++
			continue
		}
		j := i
		for j < len(path) && !isWork(path[j]) {
			j++
		}
		gap := path[i:j]
		between := i > 0 && j < len(path) && path[i-1].move != moveSkip && path[j].move != moveSkip
		if between {
			gap = joined(gap)
		}
		out = append(out, gap...)
		i = j
	}
	return out
}

// joined gives the slow stretches of a gap to the planned step after them, or
// else to the one before.
func joined(gap []placed) []placed {
	var out []placed
	wait := -1.0 // start of a slow stretch that waits for a step
	for _, p := range gap {
		switch p.move {
		case moveSlow:
			if wait < 0 {
				wait = p.start
			}
			continue
		case moveStep:
			if wait >= 0 {
				p.start, wait = wait, -1
			}
		}
		out = append(out, p)
	}
	if wait < 0 {
		return out
	}
	end := gap[len(gap)-1].end
	for k := len(out) - 1; k >= 0; k-- {
		if out[k].move == moveStep {
			out[k].end = end
			for m := k + 1; m < len(out); m++ {
				out[m].start, out[m].end = end, end
			}
			return out
		}
	}
	return append(out, placed{moveSlow, -1, wait, end})
}
