package match

import (
	"cmp"
	"math"
	"slices"
)

// A layout is the plan laid over the run.
type layout struct {
	tasks   []task // in the order in which they were run
	path    []placed
	edges   []edge  // len(path)+1
	noise   float64 // unevenness inside the reps, m/s * sqrt(s); 0 when unknown
	cost    float64 // of the alignment
	swapped [2]int  // sets that were run in each other's place; zero when none
	at      []int   // position in tasks by index in the plan
}

// task is the planned step of that index.
func (l *layout) task(index int) *task { return &l.tasks[l.at[index]] }

const (
	gridS     = 15        // seconds between candidate moments where nothing happens
	mostCells = 1_000_000 // steps times moments that the alignment may hold
	mostSwaps = 6         // pairs of sets to try in each other's place
	swapCells = 60_000    // the alignments of all tries together may hold so many
	priceSwap = 6.0
	// cheap is the cost per step under which an alignment needs no second look.
	cheap = 1.5
)

// layOut lays the steps over the run. Where they fit badly and the plan has
// sets of different content, two of them may have been run in each other's
// place.
func layOut(ts []task, sp *speeds, from anchor) layout {
	every := gridS
	if sp.given != nil { // short steps may lie where nothing shows
		every = min(gridS, max(4, sp.n/placeNodes))
	}
	nodes := sp.nodes(max(every, sp.n*(len(ts)+1)/mostCells))
	best, cost := fit(ts, sp, nodes, from, math.Inf(1))
	if sp.given == nil && cost > cheap*float64(len(ts)) {
		tries := max(1, min(mostSwaps, swapCells/(len(ts)*len(nodes))))
		for _, pair := range swaps(ts, tries) {
			if other, c := fit(exchange(ts, pair), sp, nodes, from, cost-priceSwap); c+priceSwap < cost {
				best, cost = other, c+priceSwap
				best.swapped = pair
			}
		}
	}
	best.cost = cost
	best.at = make([]int, len(ts))
	for k, t := range best.tasks {
		best.at[t.planned.Index] = k
	}
	sp.setNoise(cmp.Or(best.noise, sp.first))
	best.edges = sp.refine(best.tasks, best.path)
	sp.agree(best.tasks, best.path, best.edges)
	return best
}

// fit aligns twice: with the speeds that the reps are first looked for at, then with
// those that the reps of the first alignment were run at. The cost is infinite when it
// would pass the limit.
func fit(ts []task, sp *speeds, nodes []node, from anchor, limit float64) (layout, float64) {
	lay := layout{tasks: slices.Clone(ts)}
	lv := levels{run: sp.firstLook(), mean: sp.at(float64(sp.n)) / math.Max(float64(sp.n)-sp.halt[sp.n], 1), anchor: from, low: 0.92}
	sp.setNoise(sp.first)
	if sp.given != nil {
		path, cost := sp.place(lay.tasks, newGround(sp, nodes, lv.set(lay.tasks)))
		return lay.found(path, sp), cost
	}
	path, _ := align(lay.tasks, newGround(sp, coarse(nodes), lv.set(lay.tasks)), math.Inf(1))
	sp.setNoise(cmp.Or(sp.noiseIn(lay.tasks, path), sp.first))
	lv.learn(lay.tasks, path, sp)
	g := newGround(sp, nodes, lv.set(lay.tasks))
	// The first path, priced anew, bounds what the second search must look at.
	limit = math.Min(limit, priceOf(path, lay.tasks, g)+1e-6)
	path, cost := align(lay.tasks, g, limit)
	return lay.found(path, sp), cost
}

// found is the layout with the path that was found.
func (l layout) found(path []placed, sp *speeds) layout {
	l.path = withEnds(l.tasks, inOrder(l.tasks, joinRests(l.tasks, path), sp))
	l.noise = sp.noiseIn(l.tasks, l.path)
	return l
}

// coarse leaves out every second moment at which nothing happens.
func coarse(nodes []node) []node {
	var out []node
	odd := false
	for _, c := range nodes {
		if c.price >= priceGrid {
			if odd = !odd; odd {
				continue
			}
		}
		out = append(out, c)
	}
	return out
}

// swaps lists pairs of sets with different content, neighbours first.
func swaps(ts []task, most int) [][2]int {
	var sets [][]task
	var numbers []int
	for _, t := range ts {
		if !t.work {
			continue
		}
		if k := len(sets); k == 0 || numbers[k-1] != t.planned.Set {
			sets, numbers = append(sets, nil), append(numbers, t.planned.Set)
		}
		sets[len(sets)-1] = append(sets[len(sets)-1], t)
	}
	same := func(a, b []task) bool {
		return slices.EqualFunc(a, b, func(x, y task) bool { return x.group == y.group && x.planned.Goal == y.planned.Goal })
	}
	var out [][2]int
	for apart := 1; apart < len(sets); apart++ {
		for a := 0; a+apart < len(sets) && len(out) < most; a++ {
			if b := a + apart; !same(sets[a], sets[b]) {
				out = append(out, [2]int{numbers[a], numbers[b]})
			}
		}
	}
	return out
}

// exchange puts two sets in each other's place; what lies between them stays.
func exchange(ts []task, pair [2]int) []task {
	span := func(set int) (from, to int) {
		from = -1
		for i, t := range ts {
			if t.work && t.planned.Set == set {
				if from < 0 {
					from = i
				}
				to = i + 1
			}
		}
		return from, to
	}
	a0, a1 := span(pair[0])
	b0, b1 := span(pair[1])
	return slices.Concat(ts[:a0], ts[b0:b1], ts[a1:b0], ts[a0:a1], ts[b1:])
}
