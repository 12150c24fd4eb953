package library

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/trend"
)

var day = time.Date(2026, time.September, 1, 17, 0, 0, 0, time.UTC)

// outing runs a workout on a day of September 2026 with reps quicker by a
// factor, and gives the truth of its reps besides: metres and seconds.
func outing(t *testing.T, w workouts.Workout, on int, quicker float64, d simulate.Device, seed uint64) (s *segment.Session, metres, seconds float64) {
	t.Helper()
	plan := simulated(w, 3, asWritten) // always the same runner
	for i := range plan.Legs {
		if plan.Legs[i].Role == "work" {
			plan.Legs[i].StartMPS *= quicker
			plan.Legs[i].EndMPS *= quicker
		}
	}
	if on > 0 {
		plan.Start = day.AddDate(0, 0, on-1)
	}
	if d.Indoor {
		plan.Place, plan.Terrain = recording.Treadmill, simulate.Terrain{}
	}
	r, truth := simulate.Run(plan, d, seed)
	r.Name = d.Name
	if on == 0 {
		r.Start = time.Time{}
	}
	s, err := segment.Split(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range truth.Legs {
		if l.Role == "work" {
			metres, seconds = metres+l.DistanceM, seconds+l.EndS-l.StartS
		}
	}
	return s, metres, seconds
}

func device(t *testing.T, name string) simulate.Device {
	t.Helper()
	d, ok := simulate.DeviceNamed(name)
	if !ok {
		t.Fatal("no device", name)
	}
	return d
}

func historyOf(t *testing.T, of Entry, sessions ...*segment.Session) History {
	t.Helper()
	h := NewHistorian(of, Shelf(), athlete.New(), OdometerPct)
	for _, s := range sessions {
		if _, err := h.Add(s); err != nil {
			t.Fatal(err)
		}
	}
	return h.History()
}

func starter(t *testing.T, name string) Entry {
	t.Helper()
	for _, e := range Shelf() {
		if e.Name == name {
			return e
		}
	}
	t.Fatal("no starter", name)
	return Entry{}
}

// Treadmill and outdoors are kept apart, runs are in order, and a difference
// of 8 % is called.
func TestHistoryKeepsPlacesApart(t *testing.T) {
	e := starter(t, "three-minute-reps")
	in, out := device(t, "treadmill's own file"), device(t, "good watch, open sky")
	add := func(on int, quicker float64, d simulate.Device) *segment.Session {
		s, _, _ := outing(t, e.Workout, on, quicker, d, uint64(100+on))
		return s
	}
	other, _, _ := outing(t, starter(t, "tempo-twenty").Workout, 3, 1, out, 9)
	undated := add(0, 1, out)
	h := historyOf(t, e, add(22, 1.08, out), add(1, 1, out), add(15, 1, in), add(8, 1, out), other, undated)
	if len(h.Runs) != 5 {
		t.Fatalf("%d runs, want 5: the tempo run is another workout", len(h.Runs))
	}
	want := []struct {
		place recording.Place
		with  int // -1 for nothing
		call  match.Call
	}{
		{recording.Outdoors, -1, match.NoCall}, // without a date
		{recording.Outdoors, -1, match.NoCall}, // the first outdoors with a date
		{recording.Outdoors, 1, match.Level},
		{recording.Treadmill, -1, match.NoCall}, // the first on a treadmill
		{recording.Outdoors, 2, match.Quicker},
	}
	for i, r := range h.Runs {
		if r.Place != want[i].place || r.Done != 6 || r.Planned != 6 {
			t.Errorf("run %d: %s, %d of %d reps", i, r.Place, r.Done, r.Planned)
		}
		switch {
		case want[i].with < 0 && r.Versus != nil:
			t.Errorf("run %d is held against run %d", i, r.Versus.With)
		case want[i].with >= 0 && (r.Versus == nil || r.Versus.With != want[i].with || r.Versus.Call != want[i].call):
			t.Errorf("run %d: %+v, want with %d, %s", i, r.Versus, want[i].with, want[i].call)
		}
	}
	text := h.Report(false).Said
	last := text[len(text)-1].Text
	if !strings.Contains(last, "different kinds of place") {
		t.Errorf("it does not say that places are kept apart: %q", last)
	}
	codes := ""
	for _, w := range h.Warnings {
		codes += w.Code + " "
	}
	if !strings.Contains(codes, RunUndated) {
		t.Errorf("warnings %s", codes)
	}
}

// Two recordings of one session count once; the one with heart rate stays.
func TestHistoryCountsASessionOnce(t *testing.T) {
	e := starter(t, "four-minutes-each-quicker")
	belt, foot := device(t, "treadmill's own file"), device(t, "foot sensor on the treadmill")
	belt.Heart = simulate.NoHeart
	a, _, _ := outing(t, e.Workout, 1, 1, belt, 1)
	b, _, _ := outing(t, e.Workout, 1, 1, foot, 1)
	c, _, _ := outing(t, e.Workout, 2, 1, foot, 2)
	for _, h := range []History{historyOf(t, e, a, b, c), historyOf(t, e, c, b, a)} {
		if len(h.Runs) != 2 || h.Runs[0].Name != foot.Name || len(h.Warnings) == 0 || h.Warnings[0].Code != RunTwice {
			t.Errorf("%d runs, the first from %s, warnings %v", len(h.Runs), h.Runs[0].Name, h.Warnings)
		}
	}
}

// The margin against the last time holds what it says: the difference of the
// true paces lies within it about 19 times in 20.
func TestVersusMarginHoldsTheTruth(t *testing.T) {
	e := starter(t, "three-minute-reps")
	devices := []simulate.Device{device(t, "good watch, open sky"), device(t, "watch with smart recording"),
		device(t, "older watch, every second"), device(t, "watch leading through steps")}
	pairs := 20
	if thorough() {
		pairs = 200
	}
	within, width := 0, 0.0
	for i := range pairs {
		d := devices[i%len(devices)]
		a, ma, sa := outing(t, e.Workout, 1, 1, d, uint64(9000+2*i))
		b, mb, sb := outing(t, e.Workout, 8, 1+0.02*float64(i%3-1), d, uint64(9001+2*i))
		h := historyOf(t, e, a, b)
		if len(h.Runs) != 2 || h.Runs[1].Versus == nil {
			t.Fatalf("pair %d: %d runs", i, len(h.Runs))
		}
		v := h.Runs[1].Versus
		truth := 1000*sb/mb - 1000*sa/ma
		if math.Abs(v.DeltaSPerKm-truth) <= trend.Z95*v.SE {
			within++
		}
		width += trend.Z95 * v.SE / float64(pairs)
	}
	t.Logf("%d of %d true differences within the margin, which is %.1f s/km on average", within, pairs, width)
	if share := float64(within) / float64(pairs); share < 0.9 {
		t.Errorf("only %.0f %% are within", 100*share)
	}
}

// rep is a rep of a planned step as match.Check reports it.
func rep(step int, seconds, metres, paceSE, hr float64) match.Rep {
	r := match.Rep{Step: step, Rep: step + 1, Outcome: match.Done, HRAvg: hr, Drift: math.NaN()}
	r.StartS, r.EndS, r.DistanceM = 0, seconds, metres
	r.Pace, r.PaceSE = 1000*seconds/metres, paceSE
	return r
}

// Figures by hand. Two reps of 240 s over 1000 and 960 m: 480 s over 1960 m is
// 244.898 s/km; the standard errors of the distances are 1000*2/240 = 8.333
// and 960*3/250 = 11.52 m, 14.22 m together, so that of the pace is
// 244.898*14.22/1960 = 1.777 s/km.
func TestRunByHand(t *testing.T) {
	missed := match.Rep{Step: 4, Outcome: match.Missed}
	missed.DistanceM = math.NaN()
	extra := rep(-1, 240, 1100, 1, 190)
	second := rep(2, 240, 960, 3, 160)
	second.Drift = 10
	second.Recovery = &match.Recovery{Step: 3, Outcome: match.Done, AmountDrift: -4, AmountUnit: "s", HRDrop60: 30}
	second.Recovery.EndS = 86
	r := runOf(&match.Result{Reps: []match.Rep{rep(0, 240, 1000, 2, 150), second, missed, extra}})
	for what, c := range map[string][2]float64{
		"pace":           {r.Pace, 244.898},
		"pace SE":        {r.PaceSE, 1.777},
		"work s":         {r.WorkS, 480},
		"work m":         {r.WorkM, 1960},
		"drift":          {r.Drift, 10},
		"heart":          {r.HeartBPM, 155},
		"recovery":       {r.RecoveryS, 86},
		"recovery drift": {r.RecoveryDriftS, -4},
		"heart drop":     {r.HeartDrop60, 30},
		"done":           {float64(r.Done), 2},
		"planned":        {float64(r.Planned), 3},
	} {
		if math.Abs(c[0]-c[1]) > 0.001*math.Abs(c[1]) {
			t.Errorf("%s %.4f, want %.4f", what, c[0], c[1])
		}
	}
}

// Heart rate at equal pace, by hand: reps of 240 s at 4.0 and at 4.2 m/s mean
// 4.1 m/s. Of the 24.2 beats/min that 1 m/s adds in the long run, the mean over
// 240 s sees 1 - 57.6/240 (1 - exp(-240/57.6)) = 0.7637, so the slower run is
// corrected up by 24.2*0.7637*0.1 = 1.85 beats/min, the quicker one down; the
// correction itself is uncertain by 8.3*0.7637*0.1 = 0.63.
func TestEqualPaceByHand(t *testing.T) {
	h := Historian{history: History{Runs: []Run{
		runOf(&match.Result{Reps: []match.Rep{rep(0, 240, 960, 1, 160)}}),
		runOf(&match.Result{Reps: []match.Rep{rep(0, 240, 1008, 1, 166)}}),
	}}}
	h.equalPaces()
	a, b := h.history.Runs[0], h.history.Runs[1]
	for what, c := range map[string][2]float64{
		"slower": {a.EqualPaceBPM, 161.848}, "quicker": {b.EqualPaceBPM, 164.152}, "pace": {a.EqualPace, 1000 / 4.1},
		"SE": {a.EqualPaceSE, math.Hypot(3, 0.634)},
	} {
		if math.Abs(c[0]-c[1]) > 0.002 {
			t.Errorf("%s: %.3f, want %.3f", what, c[0], c[1])
		}
	}
}

// Only reps that both runs have are compared: a run that left out its slowest
// rep is not quicker for it.
func TestVersusComparesCommonReps(t *testing.T) {
	then := runOf(&match.Result{Reps: []match.Rep{rep(0, 240, 1000, 1, 150), rep(2, 240, 900, 1, 150)}})
	now := runOf(&match.Result{Reps: []match.Rep{rep(0, 240, 1000, 1, 150)}})
	v, ok := versus(now, then, 0.01)
	if !ok || v.Reps != 1 || math.Abs(v.DeltaSPerKm) > 1e-9 || v.Call != match.Level {
		t.Errorf("%+v", v)
	}
	// Each run: 1 s/km of its own and 1 % of 240 s/km of the odometer's.
	if want := math.Sqrt(2 * (1 + 2.4*2.4)); math.Abs(v.SE-want) > 1e-9 {
		t.Errorf("SE %.4f, want %.4f", v.SE, want)
	}
	if _, ok := versus(now, runOf(&match.Result{Reps: []match.Rep{rep(2, 240, 1000, 1, 150)}}), 0.01); ok {
		t.Error("runs without a common rep were compared")
	}
}
