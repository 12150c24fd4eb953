package segment

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawPieces are touching pieces from a border on: running of a few levels,
// standing, and stretches of which little or nothing is known.
func drawPieces(rng *rand.Rand, n int) []piece {
	levels := []float64{0, 1.4, 2.5, 2.7 + rng.Float64(), 4.1, 4.5, 5 * rng.Float64()}
	lo := rng.IntN(50)
	out := make([]piece, n)
	for i := range out {
		p := piece{lo: lo, hi: lo + 8 + rng.IntN(90), mean: levels[rng.IntN(len(levels))] * (1 + 0.02*rng.NormFloat64())}
		p.w = p.seconds()
		switch rng.IntN(8) {
		case 0:
			p.w *= rng.Float64()
		case 1:
			p.w, p.mean = 0, 0
		}
		p.mean = max(p.mean, 0)
		p.ss = rng.Float64() * p.w
		lo, out[i] = p.hi, p
	}
	return out
}

func drawLabels(rng *rand.Rand, n int) []bool {
	out := make([]bool, n)
	for i := range out {
		out[i] = rng.IntN(2) == 0
	}
	return out
}

// wrongSide is what label minimises, in metres.
func wrongSide(pieces []piece, fast []bool, threshold, swell float64) float64 {
	cost := 0.0
	for i, p := range pieces {
		if over := (p.mean - threshold) * p.w; over > 0 != fast[i] {
			cost += math.Abs(over)
		}
		if i > 0 && fast[i] != fast[i-1] {
			cost += swell
		}
	}
	return cost
}

// TestLabel holds the two-state search to the cheapest of all labellings.
func TestLabel(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	changed := 0
	for range 3000 {
		n := 1 + rng.IntN(10)
		pieces := drawPieces(rng, n)
		threshold, swell := 1+4*rng.Float64(), 60*rng.Float64()
		fast := make([]bool, n)
		label(pieces, threshold, swell, fast, make([][2]bool, n))
		got := wrongSide(pieces, fast, threshold, swell)
		least, each := math.Inf(1), make([]bool, n)
		for bits := range 1 << n {
			for i := range each {
				each[i] = bits>>i&1 == 1
			}
			least = min(least, wrongSide(pieces, each, threshold, swell))
		}
		if math.Abs(got-least) > 1e-9 {
			t.Fatalf("%v at %v, swell %v: labels %v cost %v, the cheapest %v", pieces, threshold, swell, fast, got, least)
		}
		for i, p := range pieces {
			if fast[i] != (p.mean > threshold) && p.w > 0 {
				changed++ // passed over as too short
				break
			}
		}
	}
	if changed < 500 {
		t.Errorf("in %d cases a departure was passed over: too few to prove anything", changed)
	}
}

// joined is the cost of runs of pieces by joining them.
func joined(c []piece, i, k int) float64 {
	p := c[i]
	for _, q := range c[i+1 : k] {
		p = join(p, q)
	}
	return p.ss
}

func proposed(level []piece, by func(*proposals, []piece)) []labelling {
	var p proposals
	by(&p, level)
	return p.list
}

// TestKeyOf: the key of labels is that of the labelling made of them, and each is
// proposed once.
func TestKeyOf(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	keys := map[uint64]string{}
	for range 2000 {
		n := 2 + rng.IntN(12)
		level := make([]piece, n)
		for i := range level {
			level[i] = piece{lo: 30 * i, hi: 30*i + 30, w: 30, mean: 2 + float64(rng.IntN(20))/10}
		}
		fast := drawLabels(rng, n)
		l, ok := gather(level, fast)
		if !ok {
			continue
		}
		if got, want := keyOf(level, fast), l.key(); got != want {
			t.Fatalf("labels %v have the key %x, their labelling %x", fast, got, want)
		}
		var edges []int
		for _, w := range l.works {
			edges = append(edges, w.lo, w.hi)
		}
		text := fmt.Sprint(edges)
		if other, known := keys[l.key()]; known && other != text {
			t.Fatalf("the edges %v and %v share a key", text, other)
		}
		keys[l.key()] = text
		var p proposals
		p.add(level, fast)
		once := len(p.list)
		if p.add(level, fast); once == 0 || len(p.list) != once {
			t.Fatalf("labels %v proposed %d times, then %d", fast, once, len(p.list))
		}
	}
}

// TestSwells: a surge of a few metres and a stumble in a rep are passed over.
func TestSwells(t *testing.T) {
	pieces := row(3, 300, 4.6, 10, 3, 120, 4.5, 180, 3.9, 9, 4.5, 100, 2.6, 120, 4.5, 280, 3, 200)
	want := [][2]int{{430, 719}, {839, 1119}} // cells
	for _, l := range proposed(pieces, (*proposals).swells) {
		var got [][2]int
		for _, w := range l.works {
			got = append(got, [2]int{w.lo, w.hi})
		}
		if slices.Equal(got, want) {
			return
		}
	}
	t.Errorf("no proposal has the works %v", want)
	if l := proposed(make([]piece, 3), (*proposals).swells); l != nil {
		t.Errorf("proposals where nothing is known: %v", l)
	}
}

// row is pieces from pairs of a speed (m/s) and a length (s).
func row(speedsAndSeconds ...float64) []piece {
	var out []piece
	lo := 0
	for i := 0; i < len(speedsAndSeconds); i += 2 {
		p := piece{lo: lo, hi: lo + int(speedsAndSeconds[i+1]), w: speedsAndSeconds[i+1], mean: speedsAndSeconds[i]}
		out, lo = append(out, p), p.hi
	}
	return out
}

func TestThresholds(t *testing.T) {
	if got := thresholds(row(3, 60, 4.4, 60, 3.01, 60, 4.4, 60, 0, 60)); !slices.Equal(got, []float64{(0.3 + 3) / 2, (3.01 + 4.4) / 2}) {
		t.Errorf("standing, easy and work: %v", got)
	}
	rng := rand.New(rand.NewPCG(2, 2))
	for range 2000 {
		level := drawPieces(rng, 1+rng.IntN(30))
		// Every gap between neighbouring levels, by comparing all pairs.
		type gap struct{ ratio, middle float64 }
		var gaps []gap
		for i, p := range level {
			for k, q := range level {
				a, b := max(p.mean, 0.3), max(q.mean, 0.3)
				next := i != k && b > a*1.012
				for _, r := range level {
					next = next && !(max(r.mean, 0.3) > a && max(r.mean, 0.3) < b)
				}
				if g := (gap{b / a, (a + b) / 2}); next && !slices.Contains(gaps, g) {
					gaps = append(gaps, g)
				}
			}
		}
		slices.SortFunc(gaps, func(a, b gap) int { return cmp.Compare(b.ratio, a.ratio) })
		got := thresholds(level)
		if len(got) != min(12, len(gaps)) {
			t.Fatalf("%d thresholds for %d gaps", len(got), len(gaps))
		}
		for i, th := range got {
			if math.Abs(th-gaps[i].middle) > 1e-12 {
				t.Fatalf("threshold %d is %v, want %v", i, th, gaps[i].middle)
			}
		}
	}
}

// TestTrended: reps and recoveries that both fade until the last rep is slower
// than the first recovery are told apart by no threshold, but by one that runs
// along.
func TestTrended(t *testing.T) {
	var level []piece
	var truth []bool
	lo := 0
	for i := range 16 {
		p := piece{lo: lo, hi: lo + 120, w: 120, mean: 4 - 0.055*float64(i)}
		if i%2 == 0 {
			p.mean += 0.7
		}
		truth = append(truth, i%2 == 0)
		level, lo = append(level, p), p.hi
	}
	if level[14].mean > level[1].mean {
		t.Fatal("a threshold would do")
	}
	fast := make([]bool, len(level))
	for _, threshold := range thresholds(level) {
		for i, p := range level {
			fast[i] = p.mean > threshold
		}
		if slices.Equal(fast, truth) {
			t.Fatalf("the threshold %v does", threshold)
		}
	}
	for i, p := range level {
		fast[i] = p.mean > 3.75
	}
	if !trended(level, fast) || !slices.Equal(fast, truth) {
		t.Errorf("fading reps are labelled %v", fast)
	}
	if trended(level, fast) {
		t.Error("right labels were changed")
	}
	found := false
	for _, l := range proposed(level, (*proposals).contrasts) {
		found = found || len(l.works) == 8 && l.works[7].lo == level[14].lo
	}
	if !found {
		t.Error("no proposal has the fading reps")
	}
	few := []bool{true, true, false, false, false}
	if trended(level[:5], few) || !slices.Equal(few, []bool{true, true, false, false, false}) {
		t.Error("two pieces were taken for a trend")
	}
}

// parts lists the pieces of a labelling in time order.
func (l labelling) parts() []piece {
	out := []piece{l.before}
	for i, w := range l.works {
		out = append(out, w)
		if i < len(l.between) {
			out = append(out, l.between[i])
		}
	}
	return append(out, l.after)
}

// checkLabelling makes sure that a labelling covers the pieces it was made of,
// in order and without overlap, and that nothing known was lost or invented.
func checkLabelling(t *testing.T, l labelling, level []piece) {
	t.Helper()
	if len(l.between) != len(l.works)-1 || l.bridged != nil && len(l.bridged) != len(l.works) {
		t.Fatalf("%d works, %d pieces between, %d marks", len(l.works), len(l.between), len(l.bridged))
	}
	at := level[0].lo
	for _, p := range l.parts() {
		if p.lo != at || p.hi < p.lo {
			t.Fatalf("a piece from %d to %d begins where the last ended, at %d", p.lo, p.hi, at)
		}
		at = p.hi
		// Mean and sum of squares, anew from the pieces inside.
		var w, sum, ss float64
		for _, q := range level {
			if q.lo >= p.lo && q.hi <= p.hi {
				w, sum = w+q.w, sum+q.w*q.mean
			}
		}
		for _, q := range level {
			if q.lo >= p.lo && q.hi <= p.hi && w > 0 {
				ss += q.ss + q.w*sq(q.mean-sum/w)
			}
		}
		bridged := false
		for i, b := range l.bridged {
			bridged = bridged || b && l.works[i] == p
		}
		if bridged || p.hi == p.lo {
			continue // the level of the running alone
		}
		if math.Abs(p.w-w) > 1e-6 || w > 0 && math.Abs(p.mean-sum/w) > 1e-9 || math.Abs(p.ss-ss) > 1e-6*(1+ss) {
			t.Fatalf("piece %+v: want w %v, mean %v, ss %v", p, w, sum/w, ss)
		}
	}
	if end := level[len(level)-1].hi; at != end {
		t.Fatalf("the labelling ends at %d, not at %d", at, end)
	}
}

func TestGather(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	bridges := 0
	for range 3000 {
		level := drawPieces(rng, 2+rng.IntN(14))
		fast := drawLabels(rng, len(level))
		l, ok := gather(level, fast)
		if ok != slices.Contains(fast, true) {
			t.Fatalf("%v: ok is %v", fast, ok)
		}
		if !ok {
			continue
		}
		checkLabelling(t, l, level)
		for i, p := range level {
			inside := slices.ContainsFunc(l.works, func(w piece) bool { return p.lo >= w.lo && p.hi <= w.hi })
			if inside != fast[i] {
				t.Fatalf("%v: piece %d is work: %v", fast, i, inside)
			}
		}
		again, _ := gather(level, fast)
		b, ok := l.bridge()
		if !slices.Equal(l.works, again.works) || !slices.Equal(l.between, again.between) {
			t.Fatal("bridge changed what it was given")
		}
		if !ok {
			continue
		}
		bridges++
		checkLabelling(t, b, level)
		if len(b.works) >= len(l.works) || slices.ContainsFunc(b.between, halt) {
			t.Fatalf("bridged: %d works of %d, between them %v", len(b.works), len(l.works), b.between)
		}
		for i, w := range b.works {
			if b.bridged[i] == slices.Contains(l.works, w) {
				t.Fatalf("work %d is marked as bridged: %v", i, b.bridged[i])
			}
		}
	}
	if bridges < 300 {
		t.Errorf("%d labellings were bridged: too few to prove anything", bridges)
	}
}

func TestBridge(t *testing.T) {
	tests := []struct {
		name   string
		level  []piece
		marks  []bool
		metres float64 // m/s of the first work
	}{
		{"a red light in the second rep", row(3, 600, 4.5, 300, 2.6, 120, 4.5, 100, 0.2, 30, 4.7, 200, 2.6, 120, 4.5, 300, 3, 600), []bool{false, true, false}, 4.5},
		{"two stops in one rep", row(3, 600, 4.4, 100, 0, 20, 4.6, 100, 0.1, 30, 4.5, 100, 2.6, 120, 4.5, 300, 3, 600), []bool{true, false}, 4.5},
		{"one stop between two stretches", row(3, 600, 4.5, 300, 0, 40, 4.5, 300), []bool{true}, 4.5},
		{"standing recoveries throughout", row(3, 600, 4.5, 200, 0, 60, 4.5, 200, 0, 60, 4.5, 200, 0, 60, 4.5, 200, 3, 600), nil, 0},
		{"a long stand", row(3, 600, 4.5, 300, 0, 91, 4.5, 300), nil, 0},
		{"jogs alone", row(3, 600, 4.5, 300, 2.4, 60, 4.5, 300), nil, 0},
		{"one rep", row(3, 600, 4.5, 300, 0, 60), nil, 0},
	}
	for _, tt := range tests {
		fast := make([]bool, len(tt.level))
		for i, p := range tt.level {
			fast[i] = p.mean > 3.8
		}
		l, _ := gather(tt.level, fast)
		b, ok := l.bridge()
		if ok != (tt.marks != nil) || ok && !slices.Equal(b.bridged, tt.marks) {
			t.Errorf("%s: bridged %v %v, want %v", tt.name, ok, b.bridged, tt.marks)
		}
		if ok && math.Abs(b.works[0].mean-tt.metres) > 1e-9 {
			t.Errorf("%s: runs at %v, want %v, the stop left out", tt.name, b.works[0].mean, tt.metres)
		}
	}
}

func TestWithout(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for range 2000 {
		level := drawPieces(rng, 3+rng.IntN(12))
		l, ok := gather(level, drawLabels(rng, len(level)))
		if !ok {
			continue
		}
		l.bridged = make([]bool, len(l.works))
		kept := labelling{works: slices.Clone(l.works), between: slices.Clone(l.between), before: l.before, after: l.after}
		for i := range l.works {
			less, ok := l.without(i)
			if ok != (len(l.works) > 1) {
				t.Fatalf("%d works: ok is %v", len(l.works), ok)
			}
			if !ok {
				continue
			}
			checkLabelling(t, less, level)
			if want := slices.Delete(slices.Clone(l.works), i, i+1); !slices.Equal(less.works, want) {
				t.Fatalf("without %d: %v, want %v", i, less.works, want)
			}
			if less.key() == l.key() {
				t.Fatalf("without %d the key is the same", i)
			}
		}
		if !slices.Equal(kept.works, l.works) || !slices.Equal(kept.between, l.between) || kept.before != l.before || kept.after != l.after {
			t.Fatal("without changed what it was given")
		}
	}
}

// TestKey: labellings have the same key when their works have the same edges.
func TestKey(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	level := drawPieces(rng, 12)
	edges := map[uint64][]int{}
	seen := 0
	for bits := 1; bits < 1<<12; bits++ {
		fast := make([]bool, 12)
		for i := range fast {
			fast[i] = bits>>i&1 == 1
		}
		l, _ := gather(level, fast)
		var list []int
		for k := range l.works {
			list = append(list, l.works[k].lo, l.works[k].hi)
			l.works[k].mean = rng.Float64() // does not count
		}
		if old, ok := edges[l.key()]; ok && !slices.Equal(old, list) {
			t.Fatalf("%v and %v have one key", old, list)
		}
		edges[l.key()] = list
		again, _ := gather(level, fast)
		if again.key() != l.key() {
			t.Fatalf("%v has two keys", list)
		}
		seen++
	}
	if len(edges) != seen {
		t.Errorf("%d keys for %d labellings", len(edges), seen)
	}
}

// TestSides: what lies beside a rep, and what a rep in touching parts counts.
func TestSides(t *testing.T) {
	p := row(3, 600, 4, 180, 5, 60, 2.5, 120, 4, 180, 5, 60, 3, 300)
	l := labelling{before: p[0], works: []piece{p[1], p[2], p[4], p[5]}, after: p[6]}
	l.between = []piece{{lo: p[1].hi, hi: p[1].hi}, p[3], {lo: p[4].hi, hi: p[4].hi}}
	want := [][2]side{
		{{p[0], false}, {p[2], true}},
		{{p[1], true}, {p[3], false}},
		{{p[3], false}, {p[5], true}},
		{{p[4], true}, {p[6], false}},
	}
	total := 0.0
	for i := range l.works {
		if got := l.sides(i); got != want[i] {
			t.Errorf("work %d: beside it %v, want %v", i, got, want[i])
		}
		if l.share(i) != 0.5 {
			t.Errorf("work %d counts %v, want a half", i, l.share(i))
		}
		total += l.share(i)
	}
	if total != 2 || l.continuous() {
		t.Errorf("two reps in two parts count %v; continuous: %v", total, l.continuous())
	}
	// The steps are 4/3-1, four times |log(5/4)|, 5/2.5-1, 4/2.5-1 and 5/3-1.
	least, typical := l.contrast()
	if math.Abs(least-math.Log(1.25)) > 1e-12 || math.Abs(typical-(math.Log(1.25)+1.0/3)/2) > 1e-12 {
		t.Errorf("contrasts: least %v, typical %v", least, typical)
	}
	touching := labelling{before: p[0], works: p[1:3], between: l.between[:1], after: p[3]}
	if !touching.continuous() || touching.share(0) != 0.5 {
		t.Error("two touching parts are one block")
	}
	alone := labelling{works: p[1:2]}
	if least, typical := alone.contrast(); !alone.continuous() || alone.share(0) != 1 || !math.IsNaN(least) || !math.IsNaN(typical) {
		t.Errorf("a rep with nothing beside it: contrast %v, %v", least, typical)
	}
}

// TestShares: however reps touch, the shares of the parts of a rep add up to one.
func TestShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var l labelling
		lo, groups := 0, 1
		for i := range rapid.IntRange(1, 12).Draw(t, "works") {
			if i > 0 {
				gap := rapid.SampledFrom([]int{0, 30}).Draw(t, "gap")
				l.between = append(l.between, piece{lo: lo, hi: lo + gap})
				lo += gap
				groups += min(1, gap)
			}
			l.works = append(l.works, piece{lo: lo, hi: lo + 60, mean: 4})
			lo += 60
		}
		sum := 0.0
		for i := range l.works {
			sum += l.share(i)
		}
		if math.Abs(sum-float64(groups)) > 1e-9 || l.continuous() != (groups == 1) {
			t.Fatalf("%d reps count %v; continuous: %v", groups, sum, l.continuous())
		}
	})
}

// leastCosts are the least costs of a series of n samples cut into 1, 2, ... n
// segments, cost(lo, hi) each (the recursion of Auger & Lawrence 1989, Bull. Math.
// Biol. 51:39-54).
func leastCosts(cost func(lo, hi int) float64, n int) []float64 {
	best := slices.Repeat([]float64{math.Inf(1)}, n+1)
	best[0] = 0
	var out []float64
	for range n {
		for hi := n; hi >= 0; hi-- {
			least := math.Inf(1)
			for lo := range hi {
				least = min(least, best[lo]+cost(lo, hi))
			}
			best[hi] = least
		}
		out = append(out, best[n])
	}
	return out
}

// TestLadder: the coarser splits cover the finest, cost what their pieces cost, and
// an edge survives the largest penalty at which some split has it. Each level is
// the cheapest with as many pieces.
func TestLadder(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for range 200 {
		pieces := drawPieces(rng, 2+rng.IntN(40))
		const low = 2
		levels, survives := ladderOf(pieces, low)
		costs := leastCosts(func(i, k int) float64 { return joined(pieces, i, k) }, len(pieces))
		if !slices.Equal(levels[0], pieces) {
			t.Fatal("the finest split is not the pieces themselves")
		}
		seen := make([]int, len(pieces)) // the coarsest level at which a piece begins
		for n, level := range levels {
			if n > 0 && len(level) >= len(levels[n-1]) {
				t.Fatalf("level %d has %d pieces, the one before %d", n, len(level), len(levels[n-1]))
			}
			at, cost := pieces[0].lo, 0.0
			for _, p := range level {
				cost += p.ss
				i := slices.IndexFunc(pieces, func(q piece) bool { return q.lo == p.lo })
				if p.lo != at || i < 0 {
					t.Fatalf("level %d: %v does not touch", n, level)
				}
				seen[i], at = n, p.hi
			}
			if at != pieces[len(pieces)-1].hi {
				t.Fatalf("level %d ends at %d", n, at)
			}
			if least := costs[len(level)-1]; math.Abs(cost-least) > 1e-6*(1+cost) {
				t.Fatalf("level %d of %d pieces costs %v, the cheapest %v", n, len(level), cost, least)
			}
		}
		for i := 1; i < len(pieces); i++ {
			if seen[i] == 0 != (survives[i] == low) {
				t.Fatalf("piece %d begins at level %d and survives %v", i, seen[i], survives[i])
			}
			for k := 1; k < len(pieces); k++ {
				if seen[i] > seen[k] && survives[i] <= survives[k] {
					t.Fatalf("piece %d begins at level %d and survives %v, piece %d at %d and %v", i, seen[i], survives[i], k, seen[k], survives[k])
				}
			}
		}
	}
}
