package block

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block/demo"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
)

// demoWeeks writes so many weeks of the demo into a folder, and gives its sums.
func demoWeeks(t testing.TB, folder string, weeks int, c *Cache) []Run {
	t.Helper()
	for week := 1; week <= weeks; week++ {
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
	runs, errs := Gatherer{Cache: c}.Gather(context.Background(), []string{folder})
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	return runs
}

// frequent is a workout that the demo runs often, and a log that says of two recordings
// what else they were.
func frequent(t testing.TB, runs []Run) (library.Entry, log.Log, Calendar) {
	t.Helper()
	times := map[string]int{}
	most := ""
	for _, r := range runs {
		if times[r.Main]++; r.Main != "" && times[r.Main] > times[most] {
			most = r.Main
		}
	}
	w, err := notation.Parse("x", "15:00 warm + "+most+" + 10:00 cool")
	if err != nil {
		t.Fatal(err)
	}
	var hits, others []string
	for _, r := range runs {
		if line := r.Start.UTC().Format("2006-01-02 15:04"); r.Main == most {
			hits = append(hits, line)
		} else if r.Main != "" {
			others = append(others, line)
		}
	}
	if len(hits) < 3 || len(others) < 1 {
		t.Fatalf("the demo runs %q %d times, and others %d times", most, len(hits), len(others))
	}
	l := log.Parse("log", hits[0]+" leave out\n"+others[0]+" was 15:00 warm + "+most+" + 10:00 cool\n")
	if wrong := l.Wrong(); len(wrong) > 0 {
		t.Fatal(wrong)
	}
	return library.Entry{Name: "frequent", Text: notation.Print(w), Workout: w}, l, Calendar{Home: time.UTC, FirstDay: time.Monday}
}

// toldPast is a history in all its figures.
func toldPast(h library.History) string {
	var b strings.Builder
	for _, r := range h.Runs {
		result := *r.Result
		r.Result = nil
		fmt.Fprintf(&b, "%+v\n", r.Versus)
		r.Versus = nil
		fmt.Fprintf(&b, "%+v %s\n", r, result.Verdict)
		for _, x := range result.Reps {
			x.Heart, x.Recovery = nil, nil // pointers
			fmt.Fprintf(&b, "%+v\n", x)
		}
	}
	return fmt.Sprintf("%s%+v", &b, h.Warnings)
}

// A history by the sums and the cache is the one by all recordings, the log obeyed.
func TestPastIsThatOfAllRecordings(t *testing.T) {
	folder := t.TempDir()
	c := openCache(t, t.TempDir(), "1")
	runs := demoWeeks(t, folder, 8, c)
	of, l, calendar := frequent(t, runs)
	all := append(library.Shelf(), of)
	var asked atomic.Int64 // recordings that were read again
	calibrate := func(s *segment.Session) {
		asked.Add(1)
		s.Calibrate(0.01, 0.005)
	}

	slow := library.NewHistorian(of, all, athlete.New(), library.OdometerPct)
	for _, r := range runs {
		e := saidOf(r, l, calendar)
		if e.LeaveOut || !r.counts() {
			continue
		}
		rec, err := r.Recording()
		if err != nil {
			t.Fatal(err)
		}
		s, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		calibrate(s)
		if _, err := slow.Add(correct.Told(s, e)); err != nil {
			t.Fatal(err)
		}
	}
	want := slow.History()
	if len(want.Runs) < 3 {
		t.Fatalf("only %d runs of %s", len(want.Runs), of.Text)
	}
	quick := func(when string, c *Cache) {
		t.Helper()
		h := library.NewHistorian(of, all, athlete.New(), library.OdometerPct)
		calls := 0
		progress := func(done, of int) {
			if calls++; done != calls || of != len(runs) {
				t.Errorf("%s: progress %d of %d in call %d", when, done, of, calls)
			}
		}
		defer func() {
			if calls != len(runs) {
				t.Errorf("%s: progress was told %d times, of %d runs", when, calls, len(runs))
			}
		}()
		if errs := (Gatherer{Cache: c, Progress: progress}).Past(context.Background(), h, Past{Runs: runs, Log: l, Calendar: calendar, Calibrate: calibrate}); len(errs) > 0 {
			t.Fatal(errs)
		}
		if got := toldPast(h.History()); got != toldPast(want) {
			t.Errorf("%s: got\n%s\nwant\n%s", when, got, toldPast(want))
		}
	}
	asked.Store(0)
	quick("without a cache", nil)
	again := int(asked.Load())
	if again < len(want.Runs) || again > len(runs)/2 {
		t.Errorf("%d of %d recordings were read again, for a history of %d", again, len(runs), len(want.Runs))
	}
	quick("with an empty cache", c)
	if err := os.RemoveAll(folder); err != nil { // so that nothing can be read again
		t.Fatal(err)
	}
	quick("with a full cache", c)

	// An entry that cannot be is made anew, which here cannot be done.
	paths, _ := filepath.Glob(filepath.Join(c.Folder(), "past-*"))
	if len(paths) != 1 {
		t.Fatalf("%d entries", len(paths))
	}
	for n, body := range []string{`{"trials":"AAAA"}`, `{}`, "no JSON", strings.Repeat("x", 100)} {
		if err := os.WriteFile(paths[0], []byte(hash([]byte(body))+"\n"+body), 0o600); err != nil {
			t.Fatal(err)
		}
		h := library.NewHistorian(of, all, athlete.New(), library.OdometerPct)
		if errs := (Gatherer{Cache: c}).Past(context.Background(), h, Past{Runs: runs, Log: l, Calendar: calendar, Calibrate: calibrate}); len(errs) != again || c.Damaged() != n+1 {
			t.Errorf("%.20s: %d damaged entries are told, %d of %d recordings looked for", body, c.Damaged(), len(errs), again)
		}
	}
}

// The sums of a recording tell how like a workout it is about as well as the recording does.
func TestSumsTellWorkouts(t *testing.T) {
	const most = 0.05 // half of what a history allows for
	shelf := library.Shelf()
	for _, r := range demoWeeks(t, t.TempDir(), 4, nil) {
		if !r.counts() || r.Unmeasured {
			continue
		}
		rec, err := r.Recording()
		if err != nil {
			t.Fatal(err)
		}
		s, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		exact, err := library.Recognise(shelf, s)
		if err != nil {
			t.Fatal(err)
		}
		bySums, err := library.Recognise(shelf, r.session())
		if err != nil {
			t.Fatal(err)
		}
		like := map[string]float64{}
		for _, c := range bySums.Candidates {
			like[c.Entry.Name] = c.Likeness
		}
		for _, c := range exact.Candidates {
			if d := math.Abs(like[c.Entry.Name] - c.Likeness); d > most {
				t.Errorf("%s and %s: %.3f by its sums, %.3f by itself", r.File, c.Entry.Name, like[c.Entry.Name], c.Likeness)
			}
		}
	}
}

// benchWeeks is how many weeks of the demo the benchmarks read, some 5.4 recordings each;
// RUNGS_WEEKS may say another number.
func benchWeeks(b *testing.B) int {
	b.Helper()
	asked := os.Getenv("RUNGS_WEEKS")
	if asked == "" {
		return 12
	}
	n, err := strconv.Atoi(asked)
	if err != nil {
		b.Fatal(err)
	}
	return n
}

// BenchmarkPast is what a history costs beside its sums, per file, when nothing is kept of it
// and when all is.
func BenchmarkPast(b *testing.B) {
	c := openCache(b, b.TempDir(), "1")
	folder := b.TempDir()
	runs := demoWeeks(b, folder, benchWeeks(b), c)
	of, l, calendar := frequent(b, runs)
	perFile := func(b *testing.B) {
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(runs))/1e6, "ms/file")
	}
	past := func(b *testing.B, c *Cache) {
		h := library.NewHistorian(of, library.Shelf(), athlete.New(), library.OdometerPct)
		if errs := (Gatherer{Cache: c}).Past(context.Background(), h, Past{Runs: runs, Log: l, Calendar: calendar}); len(errs) > 0 {
			b.Fatal(errs)
		}
	}
	b.Run("sums", func(b *testing.B) {
		for b.Loop() {
			if _, errs := (Gatherer{Cache: c}).Gather(context.Background(), []string{folder}); len(errs) > 0 {
				b.Fatal(errs)
			}
		}
		perFile(b)
	})
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			past(b, nil)
		}
		perFile(b)
	})
	b.Run("cached", func(b *testing.B) {
		past(b, c)
		for b.Loop() {
			past(b, c)
		}
		perFile(b)
	})
}
