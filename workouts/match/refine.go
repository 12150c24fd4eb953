package match

import (
	"math"

	"example.org/rungs/segment/recording"
)

// An edge is a border between two stretches of the alignment.
type edge struct{ at, se float64 }

const (
	refineS     = 20  // seconds an edge may move either way
	contextS    = 30  // seconds beyond that which set the two levels
	leastSE     = 0.3 // s: records come once a second at best
	blindSE     = 5.0 // s: of an edge of which nothing can be said
	edgeNoise   = 0.5 // share of the long-run variance that blurs an edge, which is a matter of seconds
	longestGapS = 15  // between records of a runner who runs on
	longestTry  = 16  // seconds of speeding up or slowing down, at most
)

// refine moves the edges of a path to where the speed says they are, weighing
// the planned amounts in, and returns the edges: len(path)+1 of them.
//
// Each edge is the posterior mean of the moment at which the speed leaves one
// level for the other, over a least-squares fit of two levels with a ramp
// between them. Where the speed says little, as between 4:30 and 4:45 per km,
// the planned amount decides, and a press of the lap button.
func (sp *speeds) refine(ts []task, path []placed) []edge {
	edges := make([]edge, len(path)+1)
	for k, p := range path {
		edges[k+1] = edge{p.end, blindSE}
	}
	run := path[:0:0] // the stretches with a length
	for _, p := range path {
		if p.end > p.start {
			run = append(run, p)
		}
	}
	if len(run) == 0 {
		return edges
	}
	at := make([]edge, len(run)+1)
	at[0] = edge{run[0].start, leastSE}
	for k, p := range run {
		at[k+1] = edge{p.end, leastSE}
	}
	masked := sp.halts(ts, run)
	for range 2 {
		for k := 1; k < len(run); k++ {
			at[k] = sp.locate(at[k-1].at, run[k].start, at[k+1].at, masked, sp.prior(ts, run[k-1]), sp.prior(ts, run[k]))
		}
	}
	for k := 1; k < len(run); k++ {
		if run[k-1].rep(ts) || run[k].rep(ts) {
			at[k] = sp.asTold(at[k])
		}
	}
	for k := 1; k < len(at); k++ {
		at[k].at = math.Max(at[k].at, at[k-1].at) // of stretches too short to tell
	}
	// Left-out steps stand at the edge between the stretches around them.
	k := 0
	for i, p := range path {
		edges[i] = at[k]
		if p.end > p.start {
			k++
		}
	}
	edges[len(path)] = at[k]
	return edges
}

// rep tells whether a stretch is a rep, planned or not.
func (p placed) rep(ts []task) bool {
	return p.move == moveFast || p.move == moveStep && ts[p.task].work
}

// A prior prices where a stretch ends, given where it begins.
type prior func(start, end float64) float64

func (sp *speeds) prior(ts []task, p placed) prior {
	if p.move != moveStep || ts[p.task].open {
		return func(a, b float64) float64 { return 0 }
	}
	t := &ts[p.task]
	return func(a, b float64) float64 {
		if t.metres {
			return t.misfit(sp.s.Distance(a, b))
		}
		c := t.misfit(b - a)
		if stood := sp.stoodS(int(a), int(b)); t.work && stood > 0 {
			c = math.Min(c, t.misfit(b-a-stood))
		}
		return c
	}
}

// halts marks the seconds stood well inside reps, which say nothing of where
// the reps begin and end.
func (sp *speeds) halts(ts []task, run []placed) []bool {
	const inset = 5 // s
	out := make([]bool, sp.n)
	for _, p := range run {
		if p.move != moveStep || !ts[p.task].work {
			continue
		}
		for i := int(p.start) + inset; i < int(p.end)-inset; i++ {
			if sp.halt[i+1] == sp.halt[i] {
				continue
			}
			// Slowing down and speeding up belong to the halt.
			for k := max(i-3, 0); k < min(i+6, sp.n); k++ {
				out[k] = true
			}
		}
	}
	return out
}

// locate finds the edge near b, within its stretches [a, b] and [b, c].
func (sp *speeds) locate(a, b, c float64, masked []bool, before, after prior) edge {
	r := math.Min(refineS, 0.45*math.Min(b-a, c-b))
	if r < 1 {
		return edge{b, leastSE}
	}
	from := int(math.Max(a+math.Min(4, 0.1*(b-a)), b-r-contextS))
	to := int(math.Min(c-math.Min(4, 0.1*(c-b)), b+r+contextS))
	from, to = max(from, 0), min(to, sp.n)
	lo, hi := int(math.Ceil(b-r)), int(math.Floor(b+r))
	if hi < lo || to-from < 4 {
		return edge{b, blindSE}
	}
	v := sp.cells(from, to, masked)
	// A change shows from the record before it on, and later by the odometer's
	// delay; but a belt's even change of speed, fitted as such, makes up for that.
	gap := math.Min(math.Max(sp.s.Trace.Step, 1), longestGapS)
	shift := (gap - 1) / 2
	if !v.belt {
		shift -= sp.s.Trace.DelayS
	}
	cost := make([]float64, 0, hi-lo+1)
	best := math.Inf(1)
	for t := lo; t <= hi; t++ {
		fit := math.Inf(1)
		for ramp := 0; ramp <= longestTry && t+ramp <= to; ramp += 2 {
			fit = math.Min(fit, v.rss(t-from, ramp))
		}
		at := float64(t) + shift
		j := fit/(2*edgeNoise*sp.longRn*sp.longRn) + before(a, at) + after(at, c) + sp.atPress(at)
		cost = append(cost, j)
		best = math.Min(best, j)
	}
	var w, m, q float64
	for k, j := range cost {
		x := float64(lo+k) + shift
		p := math.Exp(best - j)
		w, m, q = w+p, m+p*x, q+p*x*x
	}
	if !(w > 0) {
		return edge{b, blindSE}
	}
	m /= w
	// The moment between two records is anyone's guess.
	se := math.Sqrt(math.Max(q/w-m*m, 0) + leastSE*leastSE + (gap*gap-1)/12)
	return edge{math.Max(a, math.Min(m, c)), se}
}

// cells are the speeds of consecutive seconds with prefix sums, for fits of
// two levels.
type cells struct {
	v        []float64                 // m/s; NaN does not count
	n, s, ss []float64                 // sums of 1, v and v squared before each cell
	belt     bool                      // on a treadmill
	weight   [longestTry + 1][]float64 // by length of the ramp: how far the change has got, cell by cell
}

// cells are the speeds of seconds from to to, without the masked ones.
func (sp *speeds) cells(from, to int, masked []bool) cells {
	v := make([]float64, to-from)
	for i := range v {
		if v[i] = sp.look[from+i+1] - sp.look[from+i]; masked[from+i] {
			v[i] = nan
		}
	}
	belt := sp.s.Recording != nil && sp.s.Recording.Place == recording.Treadmill
	return newCells(v, belt)
}

func newCells(v []float64, belt bool) cells {
	c := cells{v, make([]float64, len(v)+1), make([]float64, len(v)+1), make([]float64, len(v)+1), belt, [longestTry + 1][]float64{}}
	for ramp := range c.weight {
		c.weight[ramp] = make([]float64, ramp)
		for i := range ramp {
			c.weight[ramp][i] = c.shape((float64(i) + 0.5) / float64(ramp))
		}
	}
	for i, x := range v {
		c.n[i+1], c.s[i+1], c.ss[i+1] = c.n[i], c.s[i], c.ss[i]
		if !math.IsNaN(x) {
			c.n[i+1], c.s[i+1], c.ss[i+1] = c.n[i]+1, c.s[i]+x, c.ss[i]+x*x
		}
	}
	return c
}

// shape is how far the change from level to level has got, of 0 to 1, when a
// share x of its time has passed. A belt changes speed evenly; legs do most of
// it at once and the rest by and by.
func (c *cells) shape(x float64) float64 {
	const steep = 3
	if c.belt {
		return x
	}
	return (1 - math.Exp(-steep*x)) / (1 - math.Exp(-steep))
}

// rss is the residual sum of squares of the best fit of one level before cell
// t, another from cell t+ramp on, and a ramp between.
func (c *cells) rss(t, ramp int) float64 {
	// Weights w rise from 0 to 1; least squares for v = x(1-w) + y w.
	last := len(c.v)
	t = max(0, min(t, last))
	end := min(t+ramp, last)
	suu, su := c.n[t], c.s[t]
	sww, sw := c.n[last]-c.n[end], c.s[last]-c.s[end]
	var suw float64
	for i := t; i < end; i++ {
		v := c.v[i]
		if math.IsNaN(v) {
			continue
		}
		w := c.weight[ramp][i-t]
		u := 1 - w
		suu, suw, sww = suu+u*u, suw+u*w, sww+w*w
		su, sw = su+u*v, sw+w*v
	}
	det := suu*sww - suw*suw
	if det <= 1e-9 {
		if n := c.n[last]; n > 0 {
			return c.ss[last] - c.s[last]*c.s[last]/n
		}
		return 0
	}
	x := (su*sww - sw*suw) / det
	y := (sw*suu - su*suw) / det
	return c.ss[last] - x*su - y*sw
}
