package match

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"pgregory.net/rapid"
)

// made is a session of given speeds, m/s, one a second.
func made(speed []float64) *segment.Session {
	tr := &signal.Trace{Speed: speed, Known: make([]bool, len(speed)), Dist: make([]float64, len(speed)+1), Step: 1}
	for i, v := range speed {
		tr.Known[i] = true
		tr.Dist[i+1] = tr.Dist[i] + v
	}
	tr.Noise = signal.Noise{Sigma: 0.1, LongRun: 0.2}
	return &segment.Session{Trace: tr}
}

// legs joins stretches of even speed: pairs of seconds and m/s.
func legs(secondsAndSpeed ...float64) []float64 {
	var out []float64
	for i := 0; i+1 < len(secondsAndSpeed); i += 2 {
		for range int(secondsAndSpeed[i]) {
			out = append(out, secondsAndSpeed[i+1])
		}
	}
	return out
}

// plainAlign is the slow twin of align: it tries every way.
func plainAlign(ts []task, g *ground, i, j int, afterRep bool) float64 {
	n, last := len(ts), len(g.nodes)-1
	if i == n && j == last {
		return 0
	}
	best := math.Inf(1)
	try := func(c float64, i, j int, afterRep bool) {
		if !math.IsInf(c, 1) {
			best = math.Min(best, c+plainAlign(ts, g, i, j, afterRep))
		}
	}
	open, rate := g.slowPrices(i, n)
	fast := g.fastPrice()
	if afterRep {
		fast += priceAtOnce
	}
	for k := j + 1; k <= last; k++ {
		a, b := g.nodes[j].at, g.nodes[k].at
		end := g.nodes[k].price
		try(open+rate*float64(b-a)+g.slow[b]-g.slow[a]+end, i, k, false)
		try(fast+rateFast*float64(b-a)+g.fast[b]-g.fast[a]+end, i, k, false)
		if i == n {
			continue
		}
		t := &ts[i]
		sum, x := g.sp.misfits(t.level, t.work, t.work), g.along(t)
		switch run := x[k] - x[j]; {
		case g.chained(t):
			try(t.weight*(sum[b]-sum[a])+end, i+1, k, t.work)
		case run >= t.least && run <= t.most:
			c, replaced := g.step(t, sum, x, j, k)
			try(c+end, i+1, k, t.work)
			try(replaced+end, i+1, k, false)
		}
	}
	if i < n {
		try(ts[i].skip, i+1, j, false)
	}
	if rests, end, left := 0, 0, 0; i < n && g.sp.given == nil {
		for k := range ts {
			if ts[k].rest {
				rests++
			}
			if ts[k].work {
				end = k + 1
				if k >= i {
					left++
				}
			}
		}
		if rests > 0 && left > 1 {
			try(priceStop+priceStopRep*float64(left), end, j, false)
		}
	}
	if i+1 < n && (ts[i].work && ts[i+1].rest || ts[i].rest && ts[i+1].work) {
		try(math.Max(ts[i].skip, ts[i+1].skip), i+2, j, false)
	}
	return best
}

func randomPlan(rng *rand.Rand, steps int) []workouts.Planned {
	var out []workouts.Planned
	for i := range steps {
		p := workouts.Planned{Index: i, Role: segment.Work, Set: 1, Rep: 1 + i/2}
		p.Step.Manner = workouts.Work
		if rng.IntN(2) == 0 {
			p.Role = []segment.Role{segment.Recovery, segment.Recovery, segment.Warm, segment.Easy}[rng.IntN(4)]
			p.Step.Manner = workouts.Jog
		}
		switch rng.IntN(4) {
		case 0:
			p.Step.Amount = workouts.Amount{Kind: workouts.Open}
		case 1:
			p.Step.Amount = workouts.Metres(float64(50 + rng.IntN(400)))
		default:
			p.Step.Amount = workouts.Seconds(float64(20 + rng.IntN(100)))
		}
		if rng.IntN(2) == 0 {
			p.Goal = workouts.Goal{Kind: workouts.PaceGoal, Pace: 200 + 150*rng.Float64()}
		}
		out = append(out, p)
	}
	return out
}

func TestAlignAgainstEveryWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		var speed []float64
		for range 2 + rng.IntN(4) {
			speed = append(speed, legs(float64(20+rng.IntN(80)), 5*rng.Float64())...)
		}
		for i := range speed {
			speed[i] = math.Max(0, speed[i]+0.3*rng.NormFloat64())
		}
		ts := tasks(randomPlan(rng, 1+rng.IntN(4)))
		sp := readSpeeds(made(speed), shortest(ts), nil)
		var nodes []node
		for at := 0; at < sp.n && len(nodes) < 7; at += 15 + rng.IntN(60) {
			nodes = append(nodes, node{at, 3 * rng.Float64()})
		}
		nodes = append(nodes, node{sp.n, 1})
		if rng.IntN(3) == 0 {
			sp.give(ts)
		}
		lv := levels{run: 3 + rng.Float64(), low: 0.92}
		g := newGround(sp, nodes, lv.set(ts))
		path, cost := align(ts, g, math.Inf(1))
		want := plainAlign(ts, g, 0, 0, false)
		if math.Abs(cost-want) > 1e-9*(1+want) {
			t.Fatalf("cost %v, want %v; path %v", cost, want, path)
		}
		covers(t, path, len(ts), float64(sp.n))
		// A bound that is passed by nothing changes nothing.
		if again, c := align(ts, g, cost+1e-9); c != cost || len(again) != len(path) {
			t.Fatalf("with a limit: cost %v, want %v", c, cost)
		}
		// The path priced on its own is a way, so it cannot be cheaper.
		if p := priceOf(path, ts, g); p < cost-1e-9 {
			t.Fatalf("the path prices at %v, below the least cost %v", p, cost)
		}
	})
}

// covers checks that a path deals with every step once, in order, and covers
// the time without a hole.
func covers(t *rapid.T, path []placed, steps int, until float64) {
	at, step := 0.0, 0
	for _, p := range path {
		if p.start != at {
			t.Fatalf("a hole or overlap at %v: %v", at, path)
		}
		at = p.end
		if p.move == moveStep || p.move == moveSkip {
			if p.task != step {
				t.Fatalf("step %d comes where %d is due: %v", p.task, step, path)
			}
			step++
		}
	}
	if at != until || step != steps {
		t.Fatalf("the path ends at %v of %v after %d of %d steps: %v", at, until, step, steps, path)
	}
}

// The fit of two levels with a ramp against a plain search over the levels'
// normal equations, cell by cell.
func TestRampFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(0, 6), 5, 40).Draw(t, "v")
		if hole := rapid.IntRange(-1, len(v)-1).Draw(t, "hole"); hole >= 0 {
			v[hole] = math.NaN()
		}
		at := rapid.IntRange(1, len(v)-1).Draw(t, "at")
		ramp := rapid.IntRange(0, 16).Draw(t, "ramp")
		c := newCells(v, rapid.Bool().Draw(t, "belt"))
		got := c.rss(at, ramp)
		if want := plainRSS(&c, at, ramp); math.Abs(got-want) > 1e-6*(1+want) {
			t.Fatalf("rss = %v, want %v", got, want)
		}
	})
}

func plainRSS(c *cells, t, ramp int) float64 {
	v := c.v
	weight := func(i int) float64 {
		switch {
		case i < t:
			return 0
		case i >= t+ramp:
			return 1
		}
		return c.shape((float64(i-t) + 0.5) / float64(ramp))
	}
	rss := func(x, y float64) (s float64) {
		for i, u := range v {
			if w := weight(i); !math.IsNaN(u) {
				d := u - x*(1-w) - y*w
				s += d * d
			}
		}
		return s
	}
	// Coordinate descent on a convex quadratic.
	x, y := 3.0, 3.0
	for range 20000 {
		var a, b, e, d float64
		for i, u := range v {
			if w := weight(i); !math.IsNaN(u) {
				a, b = a+(1-w)*(1-w), b+(1-w)*(u-y*w)
			}
		}
		if a > 0 {
			x = b / a
		}
		for i, u := range v {
			if w := weight(i); !math.IsNaN(u) {
				e, d = e+w*w, d+w*(u-x*(1-w))
			}
		}
		if e > 0 {
			y = d / e
		}
	}
	return rss(x, y)
}
