package block

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block/demo"
)

// withWay gives a made run what recordings are compared by.
func withWay(r Run) Run {
	r.Way = nil
	for t := 0.0; t < r.ElapsedS; t += wayS {
		r.Way = append(r.Way, int(math.Round(r.DistanceM*min(wayS, r.ElapsedS-t)/r.ElapsedS)))
	}
	return r
}

func withHeart(r Run) Run {
	r.Sensor = true
	r.Heart[Elsewhere] = Tally{1400, uint16(r.ElapsedS)}
	return r
}

func codesOf(warnings []recording.Warning) string {
	var codes []string
	for _, w := range warnings {
		codes = append(codes, w.Code)
	}
	return strings.Join(codes, " ")
}

// What is one run, what is two, and which recording of a run is counted.
func TestMergeDoubles(t *testing.T) {
	start := utc(9, 8, 17)
	at := func(s float64) time.Time { return start.Add(time.Duration(s * float64(time.Second))) }
	run := func(file string, from, km float64) Run {
		return withWay(easyOf(file, at(from), km, recording.Treadmill))
	}
	longer := func(r Run, km float64) Run { // the same time, another odometer
		r.DistanceM = 1000 * km
		return withWay(r)
	}
	copied := run("copy", 0, 10)
	original := run("original", 0, 10)
	copied.key, original.key = "k-0", "k-0"
	copied.Way, original.Way = nil, nil
	for _, c := range []struct {
		name  string
		runs  []Run
		kept  string
		codes string
	}{
		{"watch and belt", []Run{run("watch", 0, 10), longer(run("belt", 20, 10), 10.4)}, "watch", RecordedTwice},
		{"heart rate decides", []Run{run("a", 0, 10), withHeart(longer(run("b", 20, 10), 10.4))}, "b", RecordedTwice},
		{"unless time is lost", []Run{run("a", 0, 10), withHeart(run("b", 0, 6))}, "a", RecordedTwice},
		{"three of them", []Run{run("a", 0, 10), run("b", 5, 10), run("c", 10, 10)}, "a", RecordedTwice + " " + RecordedTwice},
		{"a copy without any distance", []Run{original, copied}, "copy", RecordedTwice},
		{"two runners", []Run{run("a", 0, 10), longer(run("b", 0, 10), 14)}, "a b", Overlapping},
		{"one after the other by far", []Run{run("a", 0, 10), run("b", 3600+1201, 10)}, "a b", ""},
		{"one begins when the other ends", []Run{run("a", 0, 10), run("b", 3600, 10)}, "a b", ""},
		{"whole and pieces: the whole is longer", []Run{run("a1", 0, 4), run("whole", 0, 10), run("a2", 1600, 5)}, "whole", RecordedTwice + " " + RecordedTwice},
		{"whole and pieces: the pieces have the heart rate", []Run{withHeart(run("a1", 0, 4)), run("whole", 0, 10), withHeart(run("a2", 1440+30, 5.5))}, "a1 a2", RecordedTwice},
	} {
		for range 2 {
			slices.SortStableFunc(c.runs, func(a, b Run) int {
				if d := a.Start.Compare(b.Start); d != 0 {
					return d
				}
				return strings.Compare(a.File, b.File)
			})
			kept, warnings := once(c.runs)
			var files []string
			for _, r := range kept {
				files = append(files, r.File)
			}
			if got := strings.Join(files, " "); got != c.kept || codesOf(warnings) != c.codes {
				t.Errorf("%s: kept %s, warned %q, want %s, %q", c.name, got, codesOf(warnings), c.kept, c.codes)
			}
			slices.Reverse(c.runs) // the order they come in does not matter
		}
	}
}

// writeWeek writes a week of the demo, with a session in pieces and a double.
func writeWeek(t testing.TB, folder string, weeks ...int) {
	t.Helper()
	for _, week := range weeks {
		for _, o := range demo.Week(1, week) {
			files, err := o.Files()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range files {
				if err := os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

// told is the whole of a block as a program gets it.
func told(t testing.TB, g Gatherer, paths ...string) string {
	t.Helper()
	runs, errs := g.Gather(t.Context(), paths)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	sessions, said := g.Merge(runs)
	a := athlete.New()
	a.MaxHR = 190
	b := New(sessions, runs, a, calendar(t, "UTC"))
	var out bytes.Buffer
	if err := b.Report(Telling{Trends: b.Trends(nil), Warnings: said}).JSON(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// Pieces are joined as Join and Split join them; what cannot be read again is
// counted apart, with a warning.
func TestMergePieces(t *testing.T) {
	folder := t.TempDir()
	writeWeek(t, folder, 5)
	g := Gatherer{}
	runs, errs := g.Gather(t.Context(), []string{folder})
	if len(errs) > 0 || len(runs) != 6 {
		t.Fatal(len(runs), errs)
	}
	sessions, said := g.Merge(runs)
	if len(sessions) != 5 || codesOf(said) != Joined {
		t.Fatalf("%d sessions, %s", len(sessions), codesOf(said))
	}
	i := slices.IndexFunc(sessions, func(r Run) bool { return len(r.Pieces) > 0 })
	whole := sessions[i]
	var pieces []*recording.Recording
	for _, p := range whole.Pieces {
		recs, err := recording.Open(p)
		if err != nil {
			t.Fatal(err)
		}
		pieces = append(pieces, recs...)
	}
	joined, err := recording.Join(pieces[0], pieces[1])
	if err != nil {
		t.Fatal(err)
	}
	s, err := segment.Split(joined)
	if err != nil {
		t.Fatal(err)
	}
	want := Summarise(s)
	near(t, "distance", whole.DistanceM, want.DistanceM, 1e-9)
	if diff := cmp.Diff(want.Detail, whole.full().Detail, cmp.Comparer(func(a, b Tally) bool { return slices.Equal(a, b) })); diff != "" {
		t.Error(diff)
	}
	sum, seconds := 0.0, 0.0
	for _, w := range whole.Where {
		sum, seconds = sum+w.DistanceM, seconds+w.MovingS
	}
	near(t, "places", sum, whole.DistanceM, 1e-6)
	near(t, "time in places", seconds, whole.MovingS, 1e-6)

	if err := os.Remove(whole.Pieces[1]); err != nil {
		t.Fatal(err)
	}
	sessions, said = g.Merge(runs)
	if len(sessions) != 6 || codesOf(said) != NotJoined || !strings.Contains(said[0].Message, "does not exist") {
		t.Errorf("without a piece: %d sessions, %v", len(sessions), said)
	}
}

// However files come, alone or in an archive, from one worker or many, the
// result is the same, but for the names.
func TestGatherAnyWay(t *testing.T) {
	folder := t.TempDir()
	writeWeek(t, folder, 4, 5)
	want := told(t, Gatherer{Workers: 1}, folder)
	if got := told(t, Gatherer{Workers: 7}, folder); got != want {
		t.Error("seven workers give another result than one")
	}
	paths, err := filepath.Glob(filepath.Join(folder, "*.fit"))
	if err != nil {
		t.Fatal(err)
	}
	var archive bytes.Buffer
	z := zip.NewWriter(&archive)
	for _, p := range paths {
		raw, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		w, err := z.Create(filepath.Base(p))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(raw); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "all.zip")
	if err := os.WriteFile(name, archive.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := strings.ReplaceAll(told(t, Gatherer{Workers: 3}, name), name, folder); got != want {
		t.Error("an archive gives another result than its files")
	}
	// Every file named twice is counted once.
	b := told(t, Gatherer{}, append(paths, paths...)...)
	if i, j := strings.Index(want, `"distance_m"`), strings.Index(b, `"distance_m"`); want[i:i+30] != b[j:j+30] {
		t.Errorf("twice the files: %s, once %s", b[j:j+30], want[i:i+30])
	}
}

// Bad files are told, in their places, and cost nothing else.
func TestGatherBadFiles(t *testing.T) {
	folder := t.TempDir()
	writeWeek(t, folder, 1)
	want := told(t, Gatherer{}, folder)
	bad := map[string]string{"0.fit": "no recording", "2026-01-06-x.fit": "", "zz.gpx": "<gpx>", "z.csv": "t_s,x\n1,2\n"}
	for name, data := range bad {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	calls := 0
	g := Gatherer{Workers: 2, Progress: func(done, of int) {
		if calls++; done != calls || of != 10 {
			t.Errorf("progress %d of %d in call %d", done, of, calls)
		}
	}}
	runs, errs := g.Gather(t.Context(), []string{folder, filepath.Join(folder, "missing")})
	if len(runs) != 5 || len(errs) != 5 {
		t.Fatalf("%d runs, %d errors: %v", len(runs), len(errs), errs)
	}
	for i, name := range []string{"0.fit", "2026-01-06-x.fit", "z.csv", "zz.gpx", "missing"} {
		if !strings.Contains(errs[i].Error(), name) {
			t.Errorf("error %d is %v", i, errs[i])
		}
	}
	for name := range bad {
		if err := os.Remove(filepath.Join(folder, name)); err != nil {
			t.Fatal(err)
		}
	}
	sessions, said := g.Merge(runs)
	a := athlete.New()
	a.MaxHR = 190
	b := New(sessions, runs, a, calendar(t, "UTC"))
	var out bytes.Buffer
	if err := b.Report(Telling{Trends: b.Trends(nil), Warnings: said}).JSON(&out); err != nil {
		t.Fatal(err)
	}
	if out.String() != want {
		t.Error("bad files change the result of the others")
	}
}

// unpacked is the run as split writes it.
func unpacked(r Run) Run {
	r = r.full()
	r.Packed = nil
	return r
}

// Sums survive being written and read, and lines of "split" with them give
// what the recordings give.
func TestLines(t *testing.T) {
	folder := t.TempDir()
	writeWeek(t, folder, 4, 5)
	want := told(t, Gatherer{}, folder)
	g := Gatherer{}
	runs, _ := g.Gather(t.Context(), []string{folder})
	slices.Reverse(runs)
	var b bytes.Buffer
	for _, r := range runs {
		text, err := json.Marshal(struct {
			Schema string `json:"schema"`
			File   string `json:"file"`
			Sums   Run    `json:"sums"`
		}{"rungs/split/1", r.File, unpacked(r)})
		if err != nil {
			t.Fatal(err)
		}
		b.Write(append(text, '\n'))
	}
	path := filepath.Join(t.TempDir(), "runs.jsonl")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := told(t, Gatherer{}, path); got != want {
		t.Error("lines give another result than recordings")
	}
	for text, reason := range map[string]string{
		lineStart + `1","file":"x"}`:                                                         ":1: has no sums; make it with rungs split --format json --sums",
		lineStart + `1","file":`:                                                             ":1: is no line of rungs split: unexpected end of JSON input",
		lineStart + "1\",\"file\":\"x\"}\n{}\n":                                              ":2: is no line of rungs split",
		lineStart + `1","file":"x","sums":{"elapsed_s":-1}}`:                                 ":1: cannot be: elapsed_s is -1",
		lineStart + `1","file":"x","sums":{"distance_m":1e300}}`:                             ":1: cannot be: distance_m is 1e+300",
		lineStart + `1","file":"x","sums":{"elapsed_s":1}}`:                                  ":1: cannot be: it was run nowhere",
		lineStart + `1","file":"x","sums":{"where":[{}],"elapsed_s":10,"way_m":[1,2]}}`:      ":1: cannot be: 2 figures of the way in 10 s",
		lineStart + `1","file":"x","sums":{"where":[{}],"heart":[[1],[],[]],"elapsed_s":1}}`: ":1: cannot be: a tally lacks",
	} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		runs, errs := g.Gather(t.Context(), []string{path})
		if len(runs) > 0 || len(errs) == 0 || !strings.Contains(fmt.Sprint(errs), path+reason) {
			t.Errorf("%s: %v", text, errs)
		}
	}
}

// Whatever stands in lines, it is told or refused.
func FuzzLines(f *testing.F) {
	folder := f.TempDir()
	writeWeek(f, folder, 5)
	runs, _ := (Gatherer{}).Gather(context.Background(), []string{folder})
	for _, r := range runs {
		plain := unpacked(r)
		text, err := json.Marshal(line{"rungs/split/1", "f", &plain})
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte(lineStart + `1","file":"x","sums":{"where":[{}],"elapsed_s":10,"parts":[{"role":"work","end_s":1e9,"distance_m":-3}],"found":[{"Count":-1,"Body":[{}]}],"main":"x"}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if !isLines(raw) {
			raw = append([]byte(lineStart), raw...)
		}
		found := readLines("lines", bytes.NewReader(append(append(raw, '\n'), raw...)))
		for _, r := range found.runs {
			r.path = "nowhere"
		}
		sessions, said := (Gatherer{}).Merge(found.runs)
		b := New(sessions, found.runs, athlete.New(), Calendar{})
		var out bytes.Buffer
		r := b.Report(Telling{Trends: b.Trends(nil), Warnings: said})
		if err := r.JSON(&out); err != nil || !json.Valid(out.Bytes()) {
			t.Fatalf("%v: %s", err, out.Bytes())
		}
	})
}

// TestGatherStops: nothing is read for one who no longer wants it, nor kept as if whole.
func TestGatherStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	runs, errs := (Gatherer{}).Gather(ctx, []string{filepath.Join("..", "..", "testdata", "demo")})
	if len(runs) != 0 || len(errs) != 1 || !errors.Is(errs[0], context.Canceled) {
		t.Errorf("%d runs, errors %v; want none and %v", len(runs), errs, context.Canceled)
	}
}
