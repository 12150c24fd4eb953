package segment_test

import (
	"bufio"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/internal/opendata"
	"example.org/rungs/segment/recording"
)

// dataFile finds a file of the folder of open recordings, or skips the test.
func dataFile(t *testing.T, name string) string {
	t.Helper()
	return opendata.File(t, name)
}

func splitFile(t *testing.T, path string) *segment.Session {
	t.Helper()
	list, err := recording.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := segment.Split(list[0])
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestOpenSessions splits two recorded interval sessions whose laps are known:
// 6 x 800 m (dblock/tcx test data, CC-BY-SA-4.0) and a track session of 400 and
// 800 m (msimms/rust_fit_file test data, MIT).
func TestOpenSessions(t *testing.T) {
	for _, name := range []string{"real-6x800", "real-track-400-800"} {
		t.Run(name, func(t *testing.T) {
			s := splitFile(t, dataFile(t, name+".csv"))
			truth := readTruth(t, dataFile(t, name+".truth.tsv"))
			sc := judgeReps(s, truth)
			t.Logf("%s: %d of %d reps matched, %d found; edges differ from the laps by %.1f s at starts and %.1f s at ends (medians)",
				writtenWithoutTargets(s), sc.matched, sc.truth, sc.found, medianOf(sc.start), medianOf(sc.end))
			if sc.matched != sc.truth || sc.found != sc.truth {
				t.Errorf("%d of %d reps matched, %d found", sc.matched, sc.truth, sc.found)
			}
		})
	}
}

func readTruth(t *testing.T, path string) []trueRep {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var reps []trueRep
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		w := strings.Split(sc.Text(), "\t")
		if len(w) < 3 || w[2] != "rep" {
			continue
		}
		start, err1 := strconv.ParseFloat(w[0], 64)
		end, err2 := strconv.ParseFloat(w[1], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: %q", path, sc.Text())
		}
		reps = append(reps, trueRep{start: start, end: end})
	}
	return reps
}

// TestAnnotatedRun splits the run of the annotated change-point benchmark (van
// den Burg & Williams 2020, arXiv 2003.06222, series run_log) and scores the
// edges against its five annotators: F1 with a margin of 5 samples, and
// covering. The scorers are held to published values in package changepoint.
func TestAnnotatedRun(t *testing.T) {
	path := dataFile(t, "run_log.csv")
	list, err := recording.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	r := list[0]
	s, err := segment.Split(r)
	if err != nil {
		t.Fatal(err)
	}
	var truth []trueRep
	for i := range r.Stage {
		_, err := strconv.Atoi(r.Stage[i]) // reps are numbered; WU, 1R and CD are not reps
		run := err == nil
		if i > 0 && r.Stage[i] == r.Stage[i-1] {
			if run {
				truth[len(truth)-1].end = r.T[i]
			}
			continue
		}
		if run {
			truth = append(truth, trueRep{start: r.T[i], end: r.T[i]})
		}
	}
	data, err := os.ReadFile(dataFile(t, "annotations.json"))
	if err != nil {
		t.Fatal(err)
	}
	var annotations map[string]map[string][]int
	if err := json.Unmarshal(data, &annotations); err != nil {
		t.Fatal(err)
	}
	var humans [][]int
	for _, id := range []string{"6", "7", "8", "10", "12"} {
		humans = append(humans, annotations["run_log"][id])
	}
	var edges []int
	for _, g := range s.Segments[1:] {
		k := 0
		for k < r.Len()-1 && r.T[k] < g.StartS {
			k++
		}
		edges = append(edges, k)
	}
	f1, err := fMeasure(humans, edges, 5)
	if err != nil {
		t.Fatal(err)
	}
	cover, err := covering(humans, edges, r.Len())
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%s: edges %v, F1 %.3f, cover %.3f", writtenWithoutTargets(s), edges, f1, cover)
	if f1 < 0.985 || cover < 0.80 {
		t.Errorf("F1 %.3f, cover %.3f; want 0.985 and 0.80 at least (the true phases score 0.990 and 0.827)", f1, cover)
	}
	if sc := judgeReps(s, truth); sc.truth != 4 || sc.matched != 4 || sc.found != 4 {
		t.Errorf("%d of %d reps matched, %d found; the run has four", sc.matched, sc.truth, sc.found)
	}
}

// TestOpenSteadyRuns must find no reps in three recorded runs without any: a
// race over a hill (dblock/tcx, CC-BY-SA-4.0), ten kilometres with walks and
// surges (jmackie/activityio, MIT), an easy run with walks (Tigge/FIT-to-TCX).
func TestOpenSteadyRuns(t *testing.T) {
	for _, name := range []string{"real-hilly-race", "real-10k-zero-speed", "real-slow-walkbreak"} {
		t.Run(name, func(t *testing.T) {
			if s := splitFile(t, dataFile(t, name+".csv")); len(foundReps(s)) > 0 {
				t.Errorf("found %s", writtenWithoutTargets(s))
			}
		})
	}
}

// TestModuleRuns must find no reps in the running files that ship with the test
// data of two FIT modules: steady runs, one with eighteen stops of the timer.
// Their distances must be those of the files' own session messages to 0.5 %, but for what was
// told not to be believed.
func TestModuleRuns(t *testing.T) {
	n := 0
	for _, module := range []string{"github.com/tormoder/fit", "github.com/muktihari/fit"} {
		out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
		if err != nil {
			t.Skipf("the module %s cannot be found: %v", module, err)
		}
		root := strings.TrimSpace(string(out))
		err = filepath.WalkDir(filepath.Join(root, "testdata"), func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(strings.ToLower(path), ".fit") {
				return err
			}
			list, _ := recording.Open(path)
			for _, r := range list {
				if r.Sport != recording.Running || r.Duration() < 600 {
					continue
				}
				s, err := segment.Split(r)
				if err != nil {
					t.Errorf("%s: %v", filepath.Base(path), err)
					continue
				}
				n++
				t.Logf("%s: %.0f min, %s, %d stops, source %s: %q", filepath.Base(path), r.Duration()/60, r.Place, len(r.Stops), s.Trace.Source, writtenWithoutTargets(s))
				if len(foundReps(s)) > 0 {
					t.Errorf("%s: found %s", filepath.Base(path), writtenWithoutTargets(s))
				}
				want, got := r.Summary.DistanceM, s.Distance(0, r.Duration())
				for _, f := range s.Trace.Faults {
					got += f.ExcessM // which is told
				}
				if want > 0 && !math.IsNaN(got) && math.Abs(got/want-1) > 0.005 {
					t.Errorf("%s: %.0f m, the file says %.0f m", filepath.Base(path), got, want)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if n == 0 {
		t.Error("no running file was found")
	}
}
