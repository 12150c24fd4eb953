package segment

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// TestReadingsAreSound: over sessions of all kinds, each reading covers the recording without
// a gap, its features are numbers, its odds are what its features make of them, none is
// told twice, and what is told first is the most probable.
func TestReadingsAreSound(t *testing.T) {
	for i, kind := range simulate.Kinds() {
		s := kind.Make(uint64(i) + 40)
		list := simulate.DevicesFor(s.Place)
		r, _ := simulate.Run(s, list[i%len(list)], uint64(i))
		tr := signal.Build(r)
		j := newJudge(tr, tr.Effort, cut(tr.Effort, tr), r.Place)
		j.presses, j.steps = recording.Presses(r.Laps), ledSteps(r)
		readings := j.readings(math.Inf(-1))
		seen := map[uint64]bool{}
		for k, x := range readings {
			at := x.before.hi
			if x.before.lo != 0 || x.after.hi != tr.Len() || len(x.between) != len(x.works)-1 {
				t.Fatalf("%s: %+v", kind.Name, x.labelling)
			}
			for n, w := range x.works {
				if w.lo != at || w.hi <= w.lo {
					t.Fatalf("%s: work %d begins at %d, not %d: %+v", kind.Name, n, w.lo, at, x.labelling)
				}
				if at = w.hi; n < len(x.between) {
					if x.between[n].lo != at {
						t.Fatalf("%s: %+v", kind.Name, x.labelling)
					}
					at = x.between[n].hi
				}
			}
			if at != x.after.lo {
				t.Fatalf("%s: the last work ends at %d, the rest begins at %d", kind.Name, at, x.after.lo)
			}
			for f, v := range x.features {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%s: %s is %g in %+v", kind.Name, featureNames[f], v, x.labelling)
				}
			}
			if d := x.features.dot(&weights) - x.odds; math.Abs(d) > 1e-9 {
				t.Fatalf("%s: odds are off by %g", kind.Name, d)
			}
			if key := x.key(); seen[key] {
				t.Fatalf("%s: told twice: %+v", kind.Name, x.labelling)
			} else {
				seen[key] = true
			}
			if k > 0 && x.odds > readings[k-1].odds {
				t.Fatalf("%s: reading %d is more probable than the one before", kind.Name, k)
			}
		}
		_, best, ok, _ := read(r, tr)
		if ok && !(best.sure > 0 && best.sure <= 1+1e-9 && best.evidence >= best.odds) {
			t.Errorf("%s: probability %g, evidence %g, odds %g", kind.Name, best.sure, best.evidence, best.odds)
		}
	}
}

// TestParts: a part of a labelling keeps its works and covers the recording; clusters lie far
// apart and leave nothing of three reps and more out.
func TestParts(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for range 200 {
		n := 4 + rng.IntN(12)
		at := rng.IntN(300)
		l := labelling{before: piece{hi: at, w: float64(at), mean: 3}}
		for i := range n {
			if i > 0 {
				gap := 30 + rng.IntN(40)
				if rng.IntN(6) == 0 {
					gap = 900
				}
				l.between = append(l.between, piece{at, at + gap, float64(gap), 2, 0})
				at += gap
			}
			l.works = append(l.works, piece{at, at + 60, 60, 4, 0})
			at += 60
		}
		l.after = piece{at, at + 100, 100, 3, 0}
		for _, c := range l.clusters() {
			if c.before.lo != 0 || c.before.hi != c.works[0].lo || c.after.lo != c.works[len(c.works)-1].hi || c.after.hi != l.after.hi {
				t.Fatalf("%+v of %+v", c, l)
			}
			if len(c.works) < 3 || len(c.between) != len(c.works)-1 || len(c.works) >= n {
				t.Fatalf("%d of %d works", len(c.works), n)
			}
			for _, b := range c.between {
				if b.seconds() >= 900 {
					t.Errorf("a cluster holds a recovery of %g s", b.seconds())
				}
			}
		}
	}
}

// TestCodeTwin holds the code of amounts to a plain one that multiplies no likelihoods, takes
// no density for none, and looks kinds up anew for each length.
func TestCodeTwin(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	lengths := func(n int) []*length {
		out := make([]*length, n)
		common := 30 + 300*rng.Float64()
		for i := range out {
			size := common
			if rng.IntN(3) == 0 {
				size = 20 + 600*rng.Float64()
			}
			l := &length{}
			for u := range 2 {
				l.x[u], l.sd[u], l.round[u] = math.Log(size*float64(1+3*u))+0.01*rng.NormFloat64(), 0.01+0.02*rng.Float64(), 3*rng.Float64()
			}
			out[i] = l
		}
		return out
	}
	plain := func(list, before []*length, shares *origins, u int) float64 {
		total := 0.0
		seen := *shares // how often each origin was seen, with what is taken from all sessions
		for k := range seen {
			seen[k] *= taught
		}
		for i, s := range list {
			x, sd := s.x[u], s.sd[u]
			var kinds, counts []float64
			for _, o := range list[:i] {
				known := false
				for k := range kinds {
					if math.Abs(kinds[k]-o.x[u]) < 2*o.sd[u] {
						counts[k]++
						kinds[k] += (o.x[u] - kinds[k]) / counts[k]
						known = true
						break
					}
				}
				if !known && len(kinds) < 12 {
					kinds, counts = append(kinds, o.x[u]), append(counts, 1)
				}
			}
			of := map[origin][]float64{free: {plainDensity}, round: {s.round[u]}}
			of[copied], of[stepped], of[scaled] = []float64{plainDensity}, []float64{plainDensity}, []float64{plainDensity}
			of[borrowed], of[inProportion] = []float64{plainDensity}, []float64{plainDensity}
			if len(kinds) > 0 {
				of[copied] = nil
				for k := range kinds {
					for range int(counts[k]) {
						of[copied] = append(of[copied], normal(x-kinds[k], 1.4*sd))
					}
				}
			}
			if i > 1 {
				a, b := math.Exp(list[i-2].x[u]), math.Exp(list[i-1].x[u])
				of[stepped] = []float64{0}
				if 2*b > a {
					of[stepped] = []float64{normal(x-math.Log(2*b-a), 2*sd)}
				}
				of[scaled] = []float64{normal(x-math.Log(b*b/a), 2.5*sd)}
			}
			if before != nil {
				of[borrowed] = nil
				for _, o := range before[:min(i+1, 3)] {
					of[borrowed] = append(of[borrowed], normal(x-o.x[u], 1.4*sd))
				}
				if i > 0 {
					of[inProportion] = nil
					for k := max(0, i-3); k < i; k++ {
						ratio := math.Exp(list[k].x[u] - before[k].x[0])
						of[inProportion] = append(of[inProportion], normal(x-math.Log(ratio*math.Exp(before[i].x[0])), 2*sd))
					}
				}
			}
			p, sum := 0.0, 0.0
			for k := range seen {
				p += seen[k] * meanOf(of[origin(k)])
				sum += seen[k]
			}
			total += math.Log(p / sum / plainDensity)
			for k := range seen {
				seen[k] += seen[k] * meanOf(of[origin(k)]) / p
			}
		}
		return total
	}
	for range 300 {
		list := lengths(1 + rng.IntN(40))
		before := lengths(len(list))
		for u := range 2 {
			for got, want := range map[float64]float64{
				codeIn(list, nil, &workOrigins, u):    plain(list, nil, &workOrigins, u),
				codeIn(list, before, &restOrigins, u): plain(list, before, &restOrigins, u),
			} {
				if math.Abs(got-want) > 0.01*float64(len(list)) { // what lies five standard deviations out
					t.Fatalf("%d lengths: %.4f nats, the plain code has %.4f", len(list), got, want)
				}
			}
		}
	}
	alike, unlike := []*length{}, []*length{}
	for i := range 6 {
		alike = append(alike, &length{x: [2]float64{5, 6}, sd: [2]float64{0.01, 0.01}})
		unlike = append(unlike, &length{x: [2]float64{5 + 0.2*math.Sqrt(float64(i*i*i)), 6 + 0.3*math.Sin(float64(7*i))}, sd: [2]float64{0.01, 0.01}})
	}
	if a, b := codeOf(alike, nil, &workOrigins), codeOf(unlike, nil, &workOrigins); !(a > 10 && b < 0) {
		t.Errorf("six alike save %.1f nats, six unlike %.1f", a, b)
	}
}
