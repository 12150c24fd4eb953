package segment

import (
	"fmt"
	"go/format"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// marginKinds are sessions beside those of the grammar, so that each length of reps has its share.
var marginKinds = []string{"short 30/30", "200s", "1000s on the road", "4 minute reps", "mile reps", "pyramid", "marathon-effort blocks", "cut-down 3-2-1 km", "two tempo blocks", "floats"}

// drawMargin draws the i-th session for margins on a device; a third are of named kinds.
func drawMargin(d simulate.Device, from uint64, i int) (*recording.Recording, simulate.Truth) {
	seed := from + uint64(i)
	var s simulate.Session
	if i%3 == 0 {
		k, _ := simulate.KindNamed(marginKinds[i/3%len(marginKinds)])
		s = k.Make(seed)
		s.Place = recording.Outdoors
		if d.Indoor {
			s.Place = recording.Treadmill
		}
	} else {
		for s = simulate.Grammar(seed); (s.Place == recording.Treadmill) != d.Indoor; s = simulate.Grammar(seed) {
			seed += 1_000_003
		}
	}
	return simulate.Run(s, d, seed)
}

// marginBorders part reps by their length, s.
var marginBorders = [...]float64{100, 260, 620, math.Inf(1)}

func marginBin(seconds float64) int {
	return slices.IndexFunc(marginBorders[:], func(b float64) bool { return seconds <= b })
}

// A missed is how far an edge was off, s, with its traits, or a pace, as a share.
type missed struct {
	traits
	pace   [paceTraitCount]float64
	off    float64
	weight float64
}

// byLength are those of each length of reps.
type byLength [len(marginBorders)][]missed

// everywhere draws n sessions on each device and gives what look finds of them by the length of their reps. Each device
// and length has the same weight.
func everywhere(from uint64, n int, look func(rec *recording.Recording, truth simulate.Truth) []byLength) [][]missed {
	devices := append(simulate.Devices(), simulate.FurtherDevices()...)
	lists := make([][]byLength, len(devices)*n)
	parallel(len(lists), func(k int) {
		rec, truth := drawMargin(devices[k%len(devices)], from, k/len(devices))
		lists[k] = look(rec, truth)
	})
	out := make([][]missed, len(lists[0]))
	for d := range devices {
		for what := range out {
			for bin := range marginBorders {
				var of []missed
				for k := d; k < len(lists); k += len(devices) {
					of = append(of, lists[k][what][bin]...)
				}
				for i := range of {
					of[i].weight = 1 / float64(len(of))
				}
				out[what] = append(out[what], of...)
			}
		}
	}
	return out
}

// sameRep is the overlap over union from which a rep found is a true rep.
const sameRep = 0.75

// edgesMissed are how far the starts and the ends of reps were off, before what they err in the mean is taken out.
func edgesMissed(rec *recording.Recording, truth simulate.Truth) []byLength {
	out := make([]byLength, 2)
	j, r, ok, _ := read(rec, signal.Build(rec))
	if !ok {
		return out
	}
	r = j.placed(r, j.presses)
	for i, w := range r.works {
		for _, t := range workSpans(truth) {
			if overlap(t.StartS, t.EndS, r.starts[i].at, r.ends[i].at) < sameRep {
				continue
			}
			bin, sides := marginBin(t.Seconds()), r.sides(i)
			for k, p := range []piece{sides[0].piece, sides[1].piece} {
				e, at := [...]edge{r.starts[i], r.ends[i]}[k], [...]float64{t.StartS, t.EndS}[k]
				if p.seconds() >= leastBeside && !(k == 0 && sides[0].joined) {
					out[k][bin] = append(out[k][bin], missed{traits: j.edgeTraits(w, p, e.se), off: e.at - at})
				}
			}
		}
	}
	return out
}

// scaleIn is what a run has in common: the distance that the session has of it over the true one.
func scaleIn(s *Session, truth simulate.Truth) float64 {
	whole := 0.0
	for _, l := range truth.Legs {
		whole += l.DistanceM
	}
	return s.Distance(0, s.Recording.Duration()) / whole
}

// pacesMissed are how far the paces of reps were off, less the scale of the run.
func pacesMissed(rec *recording.Recording, truth simulate.Truth) []byLength {
	out := make([]byLength, 1)
	s, err := Split(rec)
	if err != nil {
		return out
	}
	scale := scaleIn(s, truth)
	for _, g := range s.Segments {
		if g.Role != Work || math.IsNaN(g.WithinSE) {
			continue
		}
		for _, l := range truth.Legs {
			if l.Role == "work" && overlap(l.StartS, l.EndS, g.StartS, g.EndS) >= sameRep {
				p := s.paceError(Edge{AtS: g.StartS, SE: g.StartSE}, Edge{AtS: g.EndS, SE: g.EndSE})
				bin := marginBin(l.EndS - l.StartS)
				out[0][bin] = append(out[0][bin], missed{pace: p.traits(s), off: g.Pace*scale/l.PaceSPerKm - 1})
			}
		}
	}
	return out
}

// quantileRegression is the linear function of x of which a share tau of y lies below: the
// weights least in the check loss (Koenker and Bassett 1978), by majorising it with parabolas
// that grow sharper (Hunter and Lange 2000; both from memory).
func quantileRegression(x [][]float64, y, weight []float64, tau float64) []float64 {
	const ridge = 1e-6 // for traits that no observation has
	n := len(x[0])
	b := mat.NewVecDense(n, nil)
	for round := range 400 {
		soft := max(1e-4, 0.3*math.Pow(0.95, float64(round)))
		a, rhs := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
		for i, row := range x {
			fit := 0.0
			for k, v := range row {
				fit += v * b.AtVec(k)
			}
			w := weight[i] / (soft + math.Abs(y[i]-fit))
			for p, u := range row {
				if u == 0 {
					continue
				}
				rhs.SetVec(p, rhs.AtVec(p)+u*(w*y[i]+(2*tau-1)*weight[i]))
				for q := p; q < n; q++ {
					a.SetSym(p, q, a.At(p, q)+w*u*row[q])
				}
			}
		}
		for p := range n {
			a.SetSym(p, p, a.At(p, p)+ridge)
		}
		var c mat.Cholesky
		if !c.Factorize(a) || c.SolveVecTo(b, rhs) != nil {
			panic("the traits depend on one another")
		}
	}
	return b.RawVector().Data
}

// biases are the means of off by their traits: weighted least squares without the 3 % farthest out on either side, in
// errors by theory.
func biases(list []missed) []float64 {
	of := func(m missed) float64 { return m.off / math.Exp(m.traits[ofTheory]) }
	var off []float64
	for _, m := range list {
		off = append(off, of(m))
	}
	slices.Sort(off)
	lo, hi := off[len(off)*3/100], off[len(off)*97/100]
	n := len(biasTraits)
	a, rhs := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for _, m := range list {
		if x := of(m); x < lo || x > hi {
			continue
		}
		for p, k := range biasTraits {
			rhs.SetVec(p, rhs.AtVec(p)+m.weight*m.traits[k]*m.off)
			for q := p; q < n; q++ {
				a.SetSym(p, q, a.At(p, q)+m.weight*m.traits[k]*m.traits[biasTraits[q]])
			}
		}
	}
	var c mat.Cholesky
	b := mat.NewVecDense(n, nil)
	if !c.Factorize(a) || c.SolveVecTo(b, rhs) != nil {
		panic("the traits depend on one another")
	}
	return b.RawVector().Data
}

// TestMarginFit fits what edges err by in the mean and the margins of edges to simulated sessions, then, with these, the
// margins of paces, and writes them with -refit, after the weights were fitted:
//
//	go test ./segment -run TestMarginFit -refit -v
//
// What was fitted before does not count. TestMargins holds the margins on other sessions.
func TestMarginFit(t *testing.T) {
	if !*refit {
		t.Skip("runs with -refit only")
	}
	const from, sessions = 44_000_000, 240
	const leastS, leastShare = 0.05, 0.0005 // errors that nobody sees
	startBias, endBias = [len(biasTraits)]float64{}, [len(biasTraits)]float64{}
	edges := everywhere(from, sessions, edgesMissed)
	margin := func(of []missed, row func(m *missed) []float64, least float64) []float64 {
		x, y, w := make([][]float64, len(of)), make([]float64, len(of)), make([]float64, len(of))
		for i := range of {
			x[i], y[i], w[i] = row(&of[i]), math.Log(math.Abs(of[i].off)+least), 1000*of[i].weight
		}
		return quantileRegression(x, y, w, 0.95)
	}
	edge := func(list []missed) (late [len(biasTraits)]float64, margins traits) {
		copy(late[:], biases(list))
		for i := range list {
			list[i].off -= list[i].bias(&late)
		}
		copy(margins[:], margin(list, func(m *missed) []float64 { return m.traits[:] }, leastS))
		return late, margins
	}
	startBias, startMargins = edge(edges[0])
	endBias, endMargins = edge(edges[1])
	paces := everywhere(from, sessions, pacesMissed)[0]
	copy(paceMargins[:], margin(paces, func(m *missed) []float64 { return m.pace[:] }, leastShare))

	var b strings.Builder
	fmt.Fprintf(&b, "// Code generated by go test ./segment -run TestMarginFit -refit; DO NOT EDIT.\n\npackage segment\n\n")
	fmt.Fprintf(&b, "// What traits count in how late the start and the end of a rep are in the mean, s, and in the logarithm of their\n"+
		"// margins of 95 %%, s, and of that of a pace, as a share; fitted to %d, %d and %d of them on all simulated devices.\nvar (\n", len(edges[0]), len(edges[1]), len(paces))
	list := func(name, kind string, coefs []float64, label func(i int) string) {
		fmt.Fprintf(&b, "\t%s = %s{\n", name, kind)
		for i, c := range coefs {
			fmt.Fprintf(&b, "\t\t%s %.4g,\n", label(i), c)
		}
		fmt.Fprintf(&b, "\t}\n")
	}
	named := func(names []string) func(i int) string { return func(i int) string { return names[i] + ":" } }
	list("startBias", "[len(biasTraits)]float64", startBias[:], func(int) string { return "" })
	list("startMargins", "traits", startMargins[:], named(traitNames[:]))
	list("endBias", "[len(biasTraits)]float64", endBias[:], func(int) string { return "" })
	list("endMargins", "traits", endMargins[:], named(traitNames[:]))
	list("paceMargins", "[paceTraitCount]float64", paceMargins[:], named(paceTraitNames[:]))
	fmt.Fprintf(&b, ")\n")
	source, err := format.Source([]byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("margin_fitted.go", source, 0o644); err != nil {
		t.Fatal(err)
	}
}

var traitNames = [traitCount]string{
	"always", "ofTheory", "ofStep", "ofLength", "ofBeside", "ofNoise", "ofSlowNoise", "ofRecords", "toStop", "onDevice", "onPositions", "onHeart", "ofBelt",
	"stepUnheard", "lengthUnheard", "noiseUnheard", "recordsUnheard",
}

var paceTraitNames = [paceTraitCount]string{
	"paceAlways", "paceTheory", "paceLean", "paceWander", "paceSingle", "paceRecords", "paceUnsteady", "paceFused", "pacePositions", "paceBelt",
	"paceFaults",
}

// TestQuantileRegression: on a constant alone it is the sample quantile; of y that follow a
// line with errors that spread with x, the lines of two quantiles are those of theory; and no
// small change of the coefficients has less loss.
func TestQuantileRegression(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const n = 4000
	var one, line [][]float64
	var y, w []float64
	for range n {
		x := rng.Float64()
		one, line = append(one, []float64{1}), append(line, []float64{1, x})
		y, w = append(y, 2+x+(1+x)*rng.NormFloat64()), append(w, 1)
	}
	sorted := slices.Sorted(slices.Values(y))
	if got := quantileRegression(one, y, w, 0.9)[0]; got < sorted[n*9/10-3] || got > sorted[n*9/10+3] {
		t.Errorf("a constant: %.4f, want about %.4f", got, sorted[n*9/10])
	}
	loss := func(b []float64, tau float64) (sum float64) {
		for i := range y {
			r := y[i] - b[0] - b[1]*line[i][1]
			sum += r * tau
			if r < 0 {
				sum -= r
			}
		}
		return sum
	}
	for tau, z := range map[float64]float64{0.5: 0, 0.9: 1.2816, 0.95: 1.6449} { // normal quantiles
		b := quantileRegression(line, y, w, tau)
		if math.Abs(b[0]-(2+z)) > 0.2 || math.Abs(b[1]-(1+z)) > 0.35 {
			t.Errorf("%g: the line is %.3f + %.3f x, want %.3f + %.3f x", tau, b[0], b[1], 2+z, 1+z)
		}
		least := loss(b, tau)
		for range 200 {
			c := []float64{b[0] + 0.05*rng.NormFloat64(), b[1] + 0.05*rng.NormFloat64()}
			if l := loss(c, tau); l < least-1e-3*least {
				t.Errorf("%g: %v loses %.4f, but %v only %.4f", tau, b, least, c, l)
			}
		}
	}
}
