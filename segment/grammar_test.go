package segment_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// A drawn is a session of the grammar, or a steady run, that no weight was fitted to.
type drawn struct {
	r             *recording.Recording
	truth         simulate.Truth
	shape, device string
	restless      bool
}

// drawnRun is number i of them. Devices of nothing but heart rate are left out.
func drawnRun(i int, steady bool) drawn {
	const first = 77_000_000
	seed := uint64(first + i)
	s := simulate.Grammar(seed)
	if steady {
		s = simulate.GrammarSteady(seed)
	}
	list := slices.DeleteFunc(simulate.DevicesFor(s.Place), func(d simulate.Device) bool { return !d.Speed && !d.Distance })
	d := list[rand.New(rand.NewPCG(seed, 3)).IntN(len(list))]
	r, truth := simulate.Run(s, d, seed)
	_, shape, _ := strings.Cut(s.Name, ": ")
	return drawn{r, truth, shape, d.Name, s.Restless}
}

// grammarRuns splits n sessions of the grammar and half as many steady runs, none of which
// any weight was fitted to, and adds up scores by shape and by device. A session's sets are
// not asked for: a free sequence may fairly be read as sets.
func grammarRuns(n int) (shapes, devices map[string]*score, calm, restless, steady, hilly score) {
	type job struct {
		score
		shape, device   string
		restless, hilly bool
	}
	jobs := make([]job, n+n/2)
	segment.Parallel(len(jobs), func(i int) {
		x := drawnRun(i, i >= n)
		jobs[i] = job{judgeRun(x.r, withoutSets(x.truth)), x.shape, x.device, x.restless, x.shape == "hills" || x.shape == "trail"}
	})
	shapes, devices = map[string]*score{}, map[string]*score{}
	add := func(m map[string]*score, name string, s score) {
		if m[name] == nil {
			m[name] = &score{}
		}
		m[name].add(s)
	}
	for _, j := range jobs {
		switch {
		case j.steady > 0:
			steady.add(j.score)
			if j.hilly {
				hilly.add(j.score)
			}
			continue
		case j.restless:
			restless.add(j.score)
		default:
			calm.add(j.score)
		}
		add(shapes, j.shape, j.score)
		add(devices, j.device, j.score)
	}
	return shapes, devices, calm, restless, steady, hilly
}

// withoutSets is a truth that leaves open how reps are grouped.
func withoutSets(t simulate.Truth) simulate.Truth {
	t.Legs = slices.Clone(t.Legs)
	for i := range t.Legs {
		t.Legs[i].Set = 0
	}
	return t
}

// grammarTable is those scores as a table.
func grammarTable(n int) (table string, calm, restless, steady, hilly score) {
	shapes, devices, calm, restless, steady, hilly := grammarRuns(n)
	var b strings.Builder
	row := func(name string, s *score) {
		fmt.Fprintf(&b, "| %s | %d | %.1f | %.1f | %.1f |\n", name, s.structured, 100*s.exactShare(), 100*s.recall(), 100*s.precision())
	}
	b.WriteString("| | sessions | exact | recall | precision |\n|---|---|---|---|---|\n")
	row("calm runners", &calm)
	row("restless runners", &restless)
	for _, m := range []map[string]*score{shapes, devices} {
		names := make([]string, 0, len(m))
		for name := range m {
			names = append(names, name)
		}
		slices.Sort(names)
		for _, name := range names {
			row(name, m[name])
		}
	}
	fmt.Fprintf(&b, "\nSteady runs with reps: %d of %d, of these on hills and trails %d of %d.\n", steady.steadyWrong, steady.steady, hilly.steadyWrong, hilly.steady)
	return b.String(), calm, restless, steady, hilly
}

// TestGrammar holds the reading of sessions from a broad grammar to a little less than was
// measured over more of them (ACCURACY.md).
func TestGrammar(t *testing.T) {
	table, calm, restless, steady, _ := grammarTable(160)
	t.Log("\n" + table)
	for _, l := range []struct {
		what        string
		got, atWill float64
	}{
		{"calm runners: exact", calm.exactShare(), 0.80},
		{"restless runners: exact", restless.exactShare(), 0.66},
		{"calm runners: recall", calm.recall(), 0.90},
		{"calm runners: precision", calm.precision(), 0.93},
		{"steady runs without reps", 1 - share(steady.steadyWrong, steady.steady), 0.94},
	} {
		if !(l.got >= l.atWill) {
			t.Errorf("%s: %.3f, want at least %.3f", l.what, l.got, l.atWill)
		}
	}
}

// TestProbabilities: readings that are told with a probability are right about as often, in
// tenths from a half up, over simulated sessions that no weight was fitted to.
func TestProbabilities(t *testing.T) {
	table, worst := reliability(240)
	t.Log("\n" + table)
	if worst > 0.25 {
		t.Errorf("a tenth is off by %.2f", worst)
	}
}

// reliability is a table of how often readings of some probability are right. worst is the
// largest difference in a tenth that holds at least 30 of them.
func reliability(n int) (table string, worst float64) {
	sure, right := toldAndRight(88_000_000, n)
	var b strings.Builder
	b.WriteString("| told with | readings | right |\n|---|---|---|\n")
	for k := range 10 {
		count, hits, sum := 0, 0, 0.0
		for i, p := range sure {
			if p >= float64(k)/10 && (p < float64(k+1)/10 || k == 9) {
				count, sum = count+1, sum+p
				if right[i] {
					hits++
				}
			}
		}
		if count == 0 {
			continue
		}
		fmt.Fprintf(&b, "| %.0f %% | %d | %.0f %% |\n", 100*sum/float64(count), count, 100*share(hits, count))
		if count >= 30 {
			worst = max(worst, math.Abs(sum/float64(count)-share(hits, count)))
		}
	}
	return b.String(), worst
}

// toldAndRight are the probabilities of the readings of n sessions of the grammar, from a first
// seed on, NaN where none has reps, and whether they are right.
func toldAndRight(first uint64, n int) (sure []float64, right []bool) {
	sure, right = make([]float64, n), make([]bool, n)
	segment.Parallel(n, func(i int) {
		seed := first + uint64(i)
		s := simulate.Grammar(seed)
		list := simulate.DevicesFor(s.Place)
		d := list[rand.New(rand.NewPCG(seed, 3)).IntN(len(list))]
		r, truth := simulate.Run(s, d, seed)
		x, err := segment.Split(r)
		if err != nil || len(x.Structure) == 0 {
			sure[i] = math.NaN()
			return
		}
		sc := judgeReps(x, trueReps(withoutSets(truth)))
		sure[i], right[i] = x.Probability, sc.exact == 1
	})
	return sure, right
}
