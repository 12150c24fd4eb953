package session

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
)

// steadyDemo is the demo session as if nothing in it were a rep.
func steadyDemo() *segment.Session {
	s := demoSession()
	s.Structure = nil
	for i := range s.Segments {
		s.Segments[i].Role, s.Segments[i].Rep, s.Segments[i].Set = segment.Run, 0, 0
	}
	return s
}

// A run without reps says what it was, and never what was not found.
func TestSteadyRun(t *testing.T) {
	s := steadyDemo()
	s.Recording.Stops = []recording.Span{{StartS: 100, EndS: 130}, {StartS: 400, EndS: 410}}
	r := Split(s, Options{Page: true})
	var text strings.Builder
	if err := r.Text(&text, report.Page{}); err != nil {
		t.Fatal(err)
	}
	page := string(writePage(t, r))
	for name, got := range map[string]string{"text": text.String(), "page": page} {
		if !strings.Contains(got, "2 stops, 0:40 in all.") || !strings.Contains(got, "4.43 km in 23:00") { // the sums of TestLedger
			t.Errorf("the %s does not say what was run: %s", name, got)
		}
		for _, never := range []string{"No reps", "o session structure", "0 reps"} {
			if strings.Contains(got, never) {
				t.Errorf("the %s says %q", name, never)
			}
		}
	}
	if r = Split(s, Options{Page: true, Miles: true}); r.Front.Answer != "2.75 mi in 23:00" { // 4428 m / 1609.344
		t.Errorf("in miles: %s", r.Front.Answer)
	}
}

// The stretches of a run are its kilometres: each as long as it took, all
// together the whole.
func TestInside(t *testing.T) {
	s := steadyDemo()
	charts := inside(s, 0, 1380, "", figures.Kilometre)
	if len(charts) == 0 {
		t.Fatal("4.43 km are not drawn")
	}
	marks := charts[0].Marks
	if len(marks) != 5 || marks[0].X0 != 0 || math.Abs(marks[4].X1-s.Distance(0, 1380)/1000) > 1e-9 {
		t.Fatalf("stretches %+v", marks)
	}
	// 1800 m in the first 600 s: 5:33 for the first kilometre
	if want := "5:33 /km"; !strings.HasPrefix(marks[0].Figures[0], want) {
		t.Errorf("the first kilometre is %q, want %s", marks[0].Figures, want)
	}
	if inside(s, 0, 600, "", figures.Kilometre) != nil {
		t.Error("1.8 km are drawn kilometre by kilometre")
	}
}

func constant(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// Smoothing keeps a constant, the length, and gaps.
func TestSmooth(t *testing.T) {
	v := constant(4, 30)
	v[10] = math.NaN()
	got := smooth(v, smoothS)
	for i, x := range got {
		if (i == 10) != math.IsNaN(x) || i != 10 && x != 4 {
			t.Errorf("second %d is %v", i, x)
		}
	}
	if got := smooth([]float64{0, 0, 9, 0, 0}, 3); !slices.Equal(got, []float64{0, 3, 3, 3, 0}) {
		t.Errorf("a peak of 9 over 3 is %v", got)
	}
}

// The drift of a heart that gains so many beats in the second half, whatever its
// pace does, is those beats: simulated truth, 8 beats, 2 beats per 0.1 m/s.
func TestHeartDrift(t *testing.T) {
	inside, runs := 0, 200
	for seed := range uint64(runs) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		var stretches []chart.Stretch
		for i := range 21 {
			v := 3.3 + 0.1*rnd.NormFloat64()
			x := chart.Stretch{From: float64(i), To: float64(i + 1), Pace: 1000 / v, Heart: 140 + 20*(v-3.3) + rnd.NormFloat64()}
			if i > 10 {
				x.Heart += 8
			}
			stretches = append(stretches, x)
		}
		d := heartDrift(stretches)
		if math.Abs(d.Beats-8) <= d.Margin {
			inside++
		}
	}
	// 95 % of 200 by the normal quantile, with 17 degrees of freedom; four standard
	// deviations of the binomial below
	if inside < 176 {
		t.Errorf("the truth is in the margin %d times of %d", inside, runs)
	}
	if d := heartDrift(nil); !math.IsNaN(d.Beats) {
		t.Errorf("a drift of nothing is %v", d.Beats)
	}
}

// Seconds fall into the bands that hold them, and none are lost.
func TestBands(t *testing.T) {
	counts := map[int]float64{}
	total := 0.0
	for k := 4; k < 24; k++ {
		counts[k] = float64(10 * k)
		total += counts[k]
	}
	list := bands(counts, func(k int) string { return fmt.Sprint(k) }, func(k int) string { return fmt.Sprint("from ", k) })
	sum := 0.0
	for _, b := range list {
		sum += b.Seconds
	}
	if len(list) != mostBands || sum != total || list[0].Name != "4" || list[0].Seconds != 40 || list[mostBands-1].Name != "from 13" {
		t.Errorf("%d bands with %v of %v s: %v", len(list), sum, total, list)
	}
}

// A page of several recordings opens with an overview that leads to each.
func TestOverview(t *testing.T) {
	page := string(writePage(t, Split(demoSession(), Options{Page: true}), Check(forPage(demoResult()))))
	nav, _, _ := strings.Cut(page, "<article")
	for _, want := range []string{`href="#r1"`, `href="#r2"`, "2 recordings"} {
		if strings.Count(nav, want) != 1 {
			t.Errorf("the overview has no %s: %s", want, nav)
		}
	}
	if one := string(writePage(t, Split(demoSession(), Options{Page: true}))); strings.Contains(one, "<nav") {
		t.Error("one recording has an overview")
	}
}

// An article within another's page has the classes of its columns in its cells, as the style
// of that page cannot know their numbers.
func TestArticleDressesCells(t *testing.T) {
	var b bytes.Buffer
	if err := report.Article(&b, "x", Check(forPage(demoResult()))); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`class="r k1"`, `<td class="r">`, `class="rest f1"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the article has no %s", want)
		}
	}
	for _, want := range []string{"section:has(.f1[open]) :is(.k0,.k2", ".r{text-align:right}"} {
		if !strings.Contains(report.CSS(), want) {
			t.Errorf("the style has no %s", want)
		}
	}
}
