package segment_test

import (
	"flag"
	"fmt"
	"hash/fnv"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

var (
	full      = flag.Bool("full", false, "evaluate every kind of session on every device, with many seeds")
	evalSeeds = flag.Int("evalseeds", 0, "seeds for each kind of session (0 takes the default)")
)

// Seeds from untuned on were never looked at while the splitter was made; the
// others were.
const untuned = 9000

// TestEvaluate splits simulated sessions of all kinds, seen by all devices, and
// compares with the truth. With -v it prints a table as that of ACCURACY.md. The
// limits are a little wider than what was measured with -full, since the fast
// set is small.
func TestEvaluate(t *testing.T) {
	for _, set := range []struct {
		name string
		from uint64
	}{{"tuned", 1}, {"untuned", untuned}} {
		t.Run(set.name, func(t *testing.T) {
			seeds := 2
			if *full {
				seeds = 10
			}
			if *evalSeeds > 0 {
				seeds = *evalSeeds
			}
			table, all, steady, clean := evaluate(set.from, seeds)
			t.Log("\n" + table)
			atLeast := func(what string, got, want float64) {
				if got < want {
					t.Errorf("%s is %.3f, want at least %.3f", what, got, want)
				}
			}
			atMost := func(what string, got, want float64) {
				if !(got <= want) {
					t.Errorf("%s is %.2f, want at most %.2f", what, got, want)
				}
			}
			atLeast("share of sessions with the exact structure", all.exactShare(), 0.895)
			atLeast("the same with a clean signal", clean.exactShare(), 0.94)
			atLeast("share of sessions whose notation is as meant", share(all.meant, all.structured), 0.85)
			atLeast("recall", all.recall(), 0.955)
			atLeast("precision", all.precision(), 0.98)
			atLeast("share of steady runs without reps", 1-share(steady.steadyWrong, steady.steady), 0.94)
			atMost("median error of a duration, s", medianOf(all.duration), 1)
			atMost("median error of a start, s", medianOf(all.start), 1)
			atMost("median error of an end, s", medianOf(all.end), 1)
			atMost("median error of a pace, %", medianOf(all.pace), 1.3)
			atMost("median error of a pace within the run, %", medianOf(all.within), 0.5)
			for what, z := range map[string][]float64{"pace": all.zPace, "start": all.zStart, "end": all.zEnd} {
				if c := covered(z); c < 0.88 || c > 0.995 {
					t.Errorf("95 %% intervals of %s cover %.3f", what, c)
				}
			}
		})
	}
}

// evaluate runs the sessions and gives a row for each kind and each device.
// clean holds those with a good signal: treadmills and the better watches.
func evaluate(from uint64, seeds int) (table string, all, steady, clean score) {
	type job struct {
		kind   simulate.Kind
		device simulate.Device
		seed   uint64
	}
	var jobs []job
	for k, kind := range simulate.Kinds() {
		for seed := from; seed < from+uint64(seeds); seed++ {
			devices := simulate.DevicesFor(kind.Make(seed).Place)
			if !*full { // two devices each, in turn
				n := len(devices)
				a := (int(seed)*7 + 3*k) % n
				devices = []simulate.Device{devices[a], devices[(a+n/2)%n]}
			}
			for _, d := range devices {
				jobs = append(jobs, job{kind, d, ownSeed(seed, kind, d)})
			}
		}
	}
	scores := make([]score, len(jobs))
	segment.Parallel(len(jobs), func(i int) {
		r, truth := simulate.Run(jobs[i].kind.Make(jobs[i].seed), jobs[i].device, jobs[i].seed)
		scores[i] = judgeRun(r, truth)
	})

	kinds, devices := map[string]*score{}, map[string]*score{}
	tally := func(m map[string]*score, name string, s score) {
		if m[name] == nil {
			m[name] = new(score)
		}
		m[name].add(s)
	}
	for i, j := range jobs {
		tally(kinds, j.kind.Name, scores[i])
		if !j.kind.Structured {
			steady.add(scores[i])
			continue
		}
		all.add(scores[i])
		tally(devices, j.device.Name, scores[i])
		if isClean(j.device) {
			clean.add(scores[i])
		}
	}
	var rows, runs []string
	for _, k := range simulate.Kinds() {
		if k.Structured {
			rows = append(rows, kinds[k.Name].row(k.Name))
		} else {
			runs = append(runs, kinds[k.Name].row(k.Name))
		}
	}
	for _, d := range simulate.Devices() {
		if devices[d.Name] != nil {
			rows = append(rows, devices[d.Name].row("device: "+d.Name))
		}
	}
	rows = append(rows, clean.row("clean and treadmill signals"), all.row("all structured"))
	runs = append(runs, steady.row("all unstructured"))
	table = scoreHead + "\n" + strings.Join(rows, "\n") + "\n\n| | | |\n|---|---|---|\n" + strings.Join(runs, "\n") + "\n"
	return table, all, steady, clean
}

// ownSeed gives each kind and device sessions and errors of its own: with a shared
// seed all would have the same odometer error and be run at the same paces, and a
// few draws would decide a median over thousands of reps.
func ownSeed(seed uint64, k simulate.Kind, d simulate.Device) uint64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d %s %s", seed, k.Name, d.Name)
	return h.Sum64()
}

func isClean(d simulate.Device) bool {
	switch d.Name {
	case "good watch, open sky", "watch leading through steps", "watch with foot sensor":
		return true
	}
	return d.Indoor
}

// TestPlaces makes sure that the evaluation sees every place.
func TestPlaces(t *testing.T) {
	seen := map[recording.Place]bool{}
	for _, k := range simulate.Kinds() {
		seen[k.Make(untuned).Place] = true
	}
	for _, p := range []recording.Place{recording.Outdoors, recording.Track, recording.Treadmill, recording.Trail} {
		if !seen[p] {
			t.Errorf("no kind of session is run on %q", p)
		}
	}
}
