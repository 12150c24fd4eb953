package shelf

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
)

var day = time.Date(2026, time.September, 1, 17, 0, 0, 0, time.UTC)

// known is a history made by hand: 5 reps of 1 km in 4:10, 4:00 and 4:02 on the
// treadmill, a week apart, and one outdoors between them.
func known() library.History {
	rep := match.Rep{Step: 0}
	run := func(name string, on int, place recording.Place, pace float64) library.Run {
		return library.Run{Name: name, Start: day.AddDate(0, 0, on), Place: place, Likeness: 1, Result: &match.Result{Reps: []match.Rep{rep}},
			Done: 5, Planned: 5, WorkS: 5 * pace, WorkM: 5000, Pace: pace, PaceSE: 1, Drift: math.NaN(), HeartBPM: 160,
			EqualPaceBPM: 160, EqualPaceSE: 3, EqualPace: 244, RecoveryS: 90, RecoveryDriftS: math.NaN(), HeartDrop60: math.NaN()}
	}
	h := library.History{Entry: library.Entry{Name: "kilometres"}, OdometerPct: 1.5, Runs: []library.Run{
		run("a", 0, recording.Treadmill, 250), run("b", 7, recording.Treadmill, 240), run("out", 10, recording.Outdoors, 236), run("c", 14, recording.Treadmill, 242),
	}}
	h.Runs[1].Versus = &library.Versus{With: 0, Reps: 5, DeltaSPerKm: -10, SE: 4, Call: match.Quicker}
	h.Runs[3].Versus = &library.Versus{With: 1, Reps: 5, DeltaSPerKm: 2, SE: 5.1, Call: match.Level}
	return h
}

// The margin from run to run of 4:00 with a standard error of 1 s and an
// odometer of 1.5 %, 3.6 s, is 1.96 * hypot(1, 3.6) = 7.3 s.
func TestPage(t *testing.T) {
	r := History(known(), false)
	f := r.Front
	if want := "Level with the time before, 8 Sep 2026"; f.Answer != want {
		t.Errorf("the answer is %q, want %q", f.Answer, want)
	}
	if len(f.Lead) != len(r.Said) || f.Care != heartNote {
		t.Errorf("the page opens with %v, and cautions %q", f.Lead, f.Care)
	}
	figures := map[string]string{}
	for _, x := range f.Figures {
		figures[x.Name] = x.Value
	}
	for name, want := range map[string]string{
		"times run": "4", "pace of the last run": "4:02 /km", "quickest on the treadmill, 8 Sep 2026": "4:00 /km", "reps run the last time": "5 of 5",
	} {
		if figures[name] != want {
			t.Errorf("%s: %q, want %q", name, figures[name], want)
		}
	}
	if len(f.Charts) != 1 {
		t.Fatalf("%d pictures", len(f.Charts))
	}
	c := f.Charts[0]
	if len(c.Panels) != 3 { // the keys of places, pace, heart rate
		t.Fatalf("%d panels", len(c.Panels))
	}
	var points []chart.Points
	var words []string
	for _, l := range c.Panels[1].Layers {
		switch l := l.(type) {
		case chart.Points:
			points = append(points, l)
		case chart.Note:
			words = append(words, l.Text)
		}
	}
	if want := []string{"quicker", "level"}; !slices.Equal(words, want) {
		t.Errorf("words %q, want %q", words, want)
	}
	if len(points) != 2 || len(points[0].X) != 3 || len(points[1].X) != 1 || points[0].Ink == points[1].Ink {
		t.Fatalf("places are drawn as %+v", points)
	}
	in := points[0]
	for i, want := range []struct{ x, y float64 }{{0, 250}, {7, 240}, {14, 242}} {
		if in.X[i] != want.x || in.Y[i] != want.y {
			t.Errorf("point %d at %v, %v, want %v", i, in.X[i], in.Y[i], want)
		}
	}
	if margin := in.High[1] - in.Y[1]; math.Abs(margin-7.32) > 0.01 || math.Abs(in.Y[1]-in.Low[1]-margin) > 1e-9 {
		t.Errorf("the margin of 4:00 is %.2f, want 7.32", margin)
	}
	if len(c.Marks) != 4 || c.Marks[1].X0 != 3.5 || c.Marks[1].X1 != 8.5 {
		t.Errorf("marks are %+v", c.Marks)
	}
	if got := strings.Join(c.Marks[1].Figures, "; "); got != "4:00 /km ±2 within the run; quicker than that of 2026-09-01 by 10 ±8 s/km; treadmill; 5 of 5 reps; heart rate 160, at equal pace 160 ±6" {
		t.Errorf("the second run tells %q", got)
	}
	for _, want := range []string{"2026-09-01: 4:10 /km", "2026-09-11: 3:56 /km ±2 within the run, outdoors", "level with that of 2026-09-08"} {
		if !strings.Contains(c.Text, want) {
			t.Errorf("the text alternative %q lacks %q", c.Text, want)
		}
	}
}

// What is not known has no place in the picture, and is no trouble.
func TestPageWithGaps(t *testing.T) {
	h := known()
	h.Runs[1].Start, h.Runs[1].Versus = h.Runs[1].Start.AddDate(-3000, 0, 0), nil
	for i := range h.Runs {
		h.Runs[i].EqualPaceBPM, h.Runs[i].HeartBPM = math.NaN(), math.NaN()
	}
	h.Runs[2].Pace, h.Runs[2].PaceSE = math.NaN(), math.NaN()
	for n := range len(h.Runs) + 1 {
		some := h
		some.Runs = h.Runs[:n]
		if n == 4 {
			some.Runs[0].Start = time.Time{}
		}
		r := History(some, true)
		var out strings.Builder
		if err := report.HTML(&out, r); err != nil || strings.Contains(out.String(), "NaN") || r.Front.Answer == "" || r.Front.Care != "" {
			t.Errorf("%d runs: %v, answer %q, care %q", n, err, r.Front.Answer, r.Front.Care)
		}
	}
}
