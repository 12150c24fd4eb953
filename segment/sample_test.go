package segment

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// A sample is a recording with a known truth, read.
type sample struct {
	group, name string
	source      string           // file of an open recording; else empty
	truth       []recording.Span // of the reps; nil for running without a plan
	list        []evidence
	right       []bool
	reps        []int
	coded       coded // of the first right reading
}

// newSample is nil for a recording that is too short to be split.
func newSample(group, name string, r *recording.Recording, truth []recording.Span) *sample {
	const kept = 120 // readings with better odds; others have none
	if r.Len() < 2 || r.Duration() < 30 {
		return nil
	}
	s := &sample{group: group, name: name, truth: truth}
	_, _, _, list := read(r, signal.Build(r))
	for i, x := range list {
		right := truth != nil && matches(x.works, truth)
		if right && s.coded.works == nil {
			s.coded = codedOf(x)
		}
		if i < kept || right {
			s.list, s.right, s.reps = append(s.list, x.features), append(s.right, right), append(s.reps, len(x.works))
		}
	}
	return s
}

// matches reports whether rough reps are the true ones: each by 75 % of their union, 60 %
// below a minute, or within 7 s at both edges, which are sharpened later.
func matches(works []piece, truth []recording.Span) bool {
	if len(works) != len(truth) {
		return false
	}
	for i, w := range works {
		a, b, t := float64(w.lo), float64(w.hi), truth[i]
		need := 0.75
		if t.Seconds() < 60 {
			need = 0.6
		}
		near := math.Abs(a-t.StartS) < 7 && math.Abs(b-t.EndS) < 7
		if !near && overlap(a, b, t.StartS, t.EndS) < need {
			return false
		}
	}
	return true
}

// overlap is what two stretches have in common, as a share of what either covers; less than 0 where they are apart.
func overlap(a0, a1, b0, b1 float64) float64 {
	return (min(a1, b1) - max(a0, b0)) / (max(a1, b1) - min(a0, b0))
}

// chosen is the reading that weights choose, -1 for none, and its odds.
func (s *sample) chosen(w *evidence) (at int, odds float64) {
	at = -1
	for i := range s.list {
		if v := s.list[i].dot(w); v > odds {
			at, odds = i, v
		}
	}
	return at, odds
}

// correct reports whether weights choose what is right.
func (s *sample) correct(w *evidence) bool {
	at, _ := s.chosen(w)
	return at >= 0 && s.right[at] || at < 0 && s.truth == nil
}

// workSpans are the true reps of a simulated run; nil for one without a plan.
func workSpans(tr simulate.Truth) []recording.Span {
	if !tr.Structured {
		return nil
	}
	var out []recording.Span
	for _, l := range tr.Legs {
		if l.Role == "work" {
			out = append(out, recording.Span{StartS: l.StartS, EndS: l.EndS})
		}
	}
	return out
}

// parallel runs f for 0 to n-1 on all cores.
func parallel(n int, f func(i int)) {
	next := make(chan int)
	var group sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	group.Wait()
}

// gathered leaves out what could not be read.
func gathered(list []*sample) []*sample {
	return slices.DeleteFunc(list, func(s *sample) bool { return s == nil })
}

// realSamples reads the open recordings and the runs in the test data of two FIT modules,
// as they are and told by fewer of their streams.
func realSamples(dir string) []*sample {
	files, _ := filepath.Glob(filepath.Join(dir, "real-*.csv"))
	files = append(files, filepath.Join(dir, "run_log.csv"))
	if out, err := exec.Command("go", "mod", "download").CombinedOutput(); err != nil { // else the fit would be to fewer runs, unsaid
		panic(fmt.Sprintf("the runs in the test data of modules: %v: %s", err, out))
	}
	for _, m := range []string{"github.com/muktihari/fit", "github.com/tormoder/fit"} {
		root, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", m).Output()
		if err != nil {
			continue
		}
		_ = filepath.WalkDir(filepath.Join(strings.TrimSpace(string(root)), "testdata"), func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() && strings.HasSuffix(strings.ToLower(path), ".fit") {
				files = append(files, path)
			}
			return nil
		})
	}
	tells := 1 + len(tellings)
	out := make([]*sample, len(files)*tells)
	pieces := make([][]*sample, len(files))
	parallel(len(out), func(k int) {
		path, how := files[k%len(files)], k/len(files)
		list, _ := recording.Open(path)
		if len(list) == 0 || strings.HasSuffix(path, ".fit") && (list[0].Sport != recording.Running || list[0].Duration() < 600) {
			return
		}
		r, name := list[0], strings.TrimSuffix(filepath.Base(path), ".csv")
		truth := spansIn(strings.TrimSuffix(path, ".csv") + ".truth.tsv")
		if name == "run_log" {
			truth = numberedStages(r)
		}
		kind, group := "real", "steady"
		switch {
		case truth != nil:
			group = "reps"
		case strings.HasPrefix(name, "real-odd"):
			group = "odd"
		}
		if how > 0 {
			if r = tellings[how-1].tell(r); r == nil {
				return
			}
			kind, name = "retold", name+", "+tellings[how-1].name
		}
		if out[k] = newSample(kind+" "+group, name, r, truth); out[k] != nil {
			out[k].source = path
		}
		if how > 0 {
			return
		}
		for _, c := range crops(r, truth) {
			if s := newSample("cropped "+group, name+", "+c.name, c.r, c.truth); s != nil {
				s.source = path
				pieces[k] = append(pieces[k], s)
			}
		}
	})
	return gathered(append(out, slices.Concat(pieces...)...))
}

// spansIn are the reps in a table of truth; nil without one.
func spansIn(path string) []recording.Span {
	f, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	var out []recording.Span
	for sc := bufio.NewScanner(f); sc.Scan(); {
		if w := strings.Split(sc.Text(), "\t"); len(w) >= 3 && strings.TrimSpace(w[2]) == "rep" {
			a, err1 := strconv.ParseFloat(w[0], 64)
			b, err2 := strconv.ParseFloat(w[1], 64)
			if err1 == nil && err2 == nil {
				out = append(out, recording.Span{StartS: a, EndS: b})
			}
		}
	}
	return out
}

// numberedStages are the reps of the annotated run, whose stages are numbered.
func numberedStages(r *recording.Recording) (out []recording.Span) {
	for i := range r.Stage {
		if _, err := strconv.Atoi(r.Stage[i]); err != nil {
			continue
		}
		if i > 0 && r.Stage[i] == r.Stage[i-1] {
			out[len(out)-1].EndS = r.T[i]
		} else {
			out = append(out, recording.Span{StartS: r.T[i], EndS: r.T[i]})
		}
	}
	return out
}

// kindSamples draws sessions of all named kinds, each on one device.
func kindSamples(from uint64, seeds int) []*sample {
	kinds := simulate.Kinds()
	out := make([]*sample, len(kinds)*seeds)
	parallel(len(out), func(i int) {
		kind, seed := kinds[i%len(kinds)], (from+uint64(i/len(kinds)))*1000+uint64(i)
		rng := rand.New(rand.NewPCG(seed, 11))
		s := kind.Make(seed)
		devices := simulate.DevicesFor(s.Place)
		d := devices[rng.IntN(len(devices))]
		r, truth := simulate.Run(s, d, seed)
		group := "kinds"
		if !truth.Structured {
			group = "kinds, steady"
		}
		out[i] = newSample(group, kind.Name+" / "+d.Name, r, workSpans(truth))
	})
	return gathered(out)
}

// grammarSamples draws sessions from the grammar and half as many steady runs, each on one
// device; half of them as restless as an open recording.
func grammarSamples(dir string, from uint64, n int) []*sample {
	return drawnSamples(dir, from, n, "grammar", func(_ *rand.Rand, whole crop) crop { return whole })
}

// pieceSamples are the same of which each was begun late or stopped early.
func pieceSamples(dir string, from uint64, n int) []*sample {
	return drawnSamples(dir, from, n, "pieces", func(rng *rand.Rand, whole crop) crop {
		list := crops(whole.r, whole.truth)
		if len(list) == 0 {
			return whole
		}
		return list[rng.IntN(len(list))]
	})
}

// otherSteps gives a run the steps of another session, through which the device led while nobody kept to them.
func otherSteps(r *recording.Recording, d simulate.Device, seed uint64) {
	other := simulate.Grammar(seed + 1<<40)
	for other.Place == recording.Treadmill {
		seed++
		other = simulate.Grammar(seed + 1<<40)
	}
	o, _ := simulate.Run(other, d, seed)
	r.Laps, r.Plan = nil, o.Plan
	for _, l := range o.Laps {
		if l.StartS < r.Duration()-1 {
			l.EndS = min(l.EndS, r.Duration())
			r.Laps = append(r.Laps, l)
		}
	}
	if last := len(r.Laps) - 1; r.Laps[last].EndS < r.Duration() {
		r.Laps = append(r.Laps, recording.Lap{Span: recording.Span{StartS: r.Laps[last].EndS, EndS: r.Duration()}, DistanceM: math.NaN(), Trigger: recording.SessionEnd, Step: -1})
	}
}

// drawnSamples are the samples of what is taken of each session, in groups that begin with a name.
func drawnSamples(dir string, from uint64, n int, what string, taken func(rng *rand.Rand, whole crop) crop) []*sample {
	lenders := lendersIn(dir)
	out := make([]*sample, n+n/2)
	parallel(len(out), func(i int) {
		seed := from*1000003 + uint64(i)
		rng := rand.New(rand.NewPCG(seed, 5))
		s, group := simulate.Grammar(seed), what+", calm"
		switch {
		case i >= n:
			s, group = simulate.GrammarSteady(seed), what+", steady"
		case s.Restless:
			group = what + ", restless"
		}
		devices := append(simulate.DevicesFor(s.Place), simulate.FurtherDevicesFor(s.Place)...)
		d := devices[rng.IntN(len(devices))]
		lent := len(lenders) > 0 && s.Place != recording.Treadmill && rng.IntN(2) == 0
		if lent {
			d, _ = simulate.DeviceNamed("good watch, open sky")
		}
		r, truth := simulate.Run(s, d, seed)
		name := s.Name + " / " + d.Name
		if lent {
			l := lenders[rng.IntN(len(lenders))]
			l.lend(r, rng.IntN(3) > 0, rng.IntN(5000))
			group, name = group+", lent", s.Name+" / "+l.name
		}
		if d.Laps == simulate.StepLaps && (i >= n && seed%3 > 0 || seed%5 == 0) {
			name += ", other steps"
			otherSteps(r, d, seed)
		}
		c := taken(rng, crop{name, r, workSpans(truth)})
		out[i] = newSample(group, name, c.r, c.truth)
	})
	return gathered(out)
}
