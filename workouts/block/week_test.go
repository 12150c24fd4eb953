package block

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/athlete"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.4f, want %.4f", what, got, want)
	}
}

func utc(month time.Month, day, hour int) time.Time {
	return time.Date(2026, month, day, hour, 0, 0, 0, time.UTC)
}

func calendar(t testing.TB, s string) Calendar {
	t.Helper()
	c, err := ParseCalendar(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// easyOf is an easy run of whole kilometres at 6:00 /km.
func easyOf(file string, start time.Time, km float64, place recording.Place) Run {
	m, s := 1000*km, 360*km
	return Run{File: file, Start: start, Sport: recording.Running, ElapsedS: s, MovingS: s, DistanceM: m,
		Where: []Where{{place, m, s}}, Detail: &Detail{Parts: []Part{{Role: segment.Easy, EndS: s, DistanceM: m}}}}
}

// repsOf is 2 km warm-up, 5 reps of 1 km in 4:00, 4 recoveries of 200 m in
// 1:30, and 1.2 km cool-down in 8:00: 9 km in 12:00 + 20:00 + 6:00 + 8:00.
func repsOf(file string, start time.Time) Run {
	r := Run{File: file, Start: start, Sport: recording.Running, Main: "5 x 1km off 200m jog", Detail: &Detail{}}
	add := func(role segment.Role, rep int, seconds, metres, heart float64) {
		r.Parts = append(r.Parts, Part{Role: role, Rep: rep, StartS: r.ElapsedS, EndS: r.ElapsedS + seconds, DistanceM: metres, HeartBPM: heart})
		r.ElapsedS, r.DistanceM = r.ElapsedS+seconds, r.DistanceM+metres
	}
	add(segment.Warm, 0, 720, 2000, 130)
	for rep := 1; rep <= 5; rep++ {
		add(segment.Work, rep, 240, 1000, 170)
		if rep < 5 {
			add(segment.Recovery, rep, 90, 200, 150)
		}
	}
	add(segment.Cool, 0, 480, 1200, 135)
	r.MovingS = r.ElapsedS
	r.Where = []Where{{recording.Track, r.DistanceM, r.MovingS}}
	r.Heart[AtWork], r.Heart[InRecovery], r.Heart[Elsewhere] = Tally{1700, 1200}, Tally{1500, 360}, Tally{1300, 720, 1350, 480}
	r.Sensor = true
	return r
}

// One invented week, added up by hand:
//
//	Mon  8 km easy, outdoors           48:00
//	Tue  reps on the track, 9 km       46:00   hard: 5 km work in 20:00, 0.8 km
//	                                           recovery in 6:00, 2 km warm-up in
//	                                           12:00, 1.2 km cool-down in 8:00
//	Thu  5 km on the treadmill         30:00   the timer stood for 1:00 of it
//	Sat  10 km trail                 1:00:00
//	Sun  18 km, outdoors             1:48:00
//
// 50 km in 4:51:00 without the stop. Hard: 1 of 5 sessions, 20 %; 9 of 50 km,
// 18 %. Days 8, 9, 0, 5, 0, 10, 18 km: mean 50/7, sum of squares 594, so the
// standard deviation is sqrt((594 - 2500/7)/6) = 6.2830 km, and monotony
// 7.142857/6.2830 = 1.1369.
func TestWeekByHand(t *testing.T) {
	thursday := easyOf("thu", utc(9, 10, 6), 5, recording.Treadmill)
	thursday.MovingS, thursday.Parts[0].StoppedS, thursday.Where[0].MovingS = 1740, 60, 1740
	runs := []Run{
		easyOf("mon", utc(9, 7, 6), 8, recording.Outdoors), repsOf("tue", utc(9, 8, 17)), thursday,
		easyOf("sat", utc(9, 12, 8), 10, recording.Trail), easyOf("sun", utc(9, 13, 8), 18, recording.Outdoors),
	}
	a := athlete.New()
	a.MaxHR, a.RestHR, a.ZoneScheme = 200, 60, "acsm-reserve"
	b := New(runs, runs, a, calendar(t, "UTC"))
	if len(b.Weeks) != 1 {
		t.Fatalf("%d weeks", len(b.Weeks))
	}
	w := b.Weeks[0]
	if w.Name != "2026-W37" || !w.Start.Equal(utc(9, 7, 0)) {
		t.Errorf("week %s from %s", w.Name, w.Start)
	}
	if w.Recordings != 5 || w.Sessions != 5 || w.Hard != 1 || w.Reps != 5 || w.Longest.File != "sun" {
		t.Errorf("%d recordings, %d sessions, %d hard, %d reps, longest %s", w.Recordings, w.Sessions, w.Hard, w.Reps, w.Longest.File)
	}
	near(t, "distance", w.DistanceM, 50000, 1e-9)
	near(t, "time", w.TimeS, 4*3600+51*60, 1e-9)
	near(t, "elapsed time", w.ElapsedS, 4*3600+52*60, 1e-9)
	for i, want := range []Where{{recording.Outdoors, 26000, 9360}, {recording.Treadmill, 5000, 1740}, {recording.Track, 9000, 2760}, {recording.Trail, 10000, 3600}, {}} {
		near(t, string(want.Place)+" distance", w.Where[i].DistanceM, want.DistanceM, 1e-9)
		near(t, string(want.Place)+" time", w.Where[i].MovingS, want.MovingS, 1e-9)
	}
	near(t, "hard distance", w.HardM, 9000, 1e-9)
	near(t, "rep", w.RepS, 240, 1e-9)
	for i, want := range []Line{{5000, 1200}, {800, 360}, {2000, 720}, {1200, 480}, {0, 0}, {0, 0}} {
		near(t, string(LedgerRoles[i])+" distance", w.Ledger[i].DistanceM, want.DistanceM, 1e-9)
		near(t, string(LedgerRoles[i])+" time", w.Ledger[i].Seconds, want.Seconds, 1e-9)
	}
	near(t, "monotony", w.Monotony(), 1.13685, 5e-6)
	for i, want := range []float64{8000, 9000, 0, 5000, 0, 10000, 18000} {
		near(t, fmt.Sprintf("day %d", i), w.Days[i], want, 1e-9)
	}

	// Karvonen 1957 with 200 and 60: 30, 40, 60, 90 % of the reserve (Garber et
	// al. 2011, MSSE 43(7):1334-1359, Table 1 as reprinted) are 102, 116, 144 and
	// 186 beats/min. So 130 and 135 are in zone 3, 150 and 170 in zone 4.
	if want := []float64{60, 102, 116, 144, 186}; !slices.EqualFunc(b.Zones.Lower, want, func(x, y float64) bool { return math.Abs(x-y) < 1e-9 }) {
		t.Errorf("zones from %v, want %v", b.Zones.Lower, want)
	}
	for i, want := range []float64{0, 0, 1200, 1560, 0} {
		near(t, fmt.Sprintf("zone %d", i+1), w.Heart.ZonesS[i], want, 1e-9)
	}
	near(t, "upper two", w.Heart.UpperTwoS(), 1560, 1e-9)
	near(t, "known", w.Heart.KnownS, 2760, 1e-9)
	near(t, "work in the upper two", w.Heart.WorkUpperS, 1200, 1e-9)
	if w.Heart.Without != 4 {
		t.Errorf("%d sessions without heart rate, want 4", w.Heart.Without)
	}

	var text, data strings.Builder
	if err := b.Report(Telling{}).JSON(&data); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"hard_share_of_sessions":0.2000,"hard_share_of_distance":0.1800,`, `"work_m":5000.0,"work_s":1200.0,`, `"upper_two_share":0.5652,`} {
		if !strings.Contains(data.String(), want) {
			t.Errorf("JSON lacks %s:\n%s", want, data.String())
		}
	}
	r := b.Report(Telling{})
	for _, s := range r.Said {
		text.WriteString(s.Text + "\n")
	}
	if want := "Of 9.0 km in hard sessions, 5.0 km was work (56 %)."; !strings.Contains(text.String(), want) {
		t.Errorf("does not say %q:\n%s", want, text.String())
	}
}

// What makes a session hard, and what does not.
func TestHard(t *testing.T) {
	r := repsOf("x", utc(9, 8, 17))
	hard := func(change func(h *athlete.Hard)) bool {
		a := athlete.New()
		change(&a.Hard)
		b := New([]Run{r}, []Run{r}, a, calendar(t, "UTC"))
		return b.Weeks[0].Hard == 1
	}
	for _, c := range []struct {
		name string
		hard athlete.Hard
		want bool
	}{
		{"20:00 of work", athlete.Hard{WorkS: 1200}, true},
		{"more than there is", athlete.Hard{WorkS: 1201}, false},
		{"work is quicker", athlete.Hard{WorkS: 300, Pace: 241}, true},
		{"work is slower", athlete.Hard{WorkS: 300, Pace: 239}, false},
		{"the heart beats faster", athlete.Hard{WorkS: 300, HeartBPM: 169}, true},
		{"the heart beats slower", athlete.Hard{WorkS: 300, HeartBPM: 171}, false},
		{"no threshold at all", athlete.Hard{}, true},
	} {
		if got := hard(func(h *athlete.Hard) { *h = c.hard }); got != c.want {
			t.Errorf("%s: hard is %v", c.name, got)
		}
	}
	r = easyOf("easy", utc(9, 8, 17), 10, recording.Outdoors)
	if hard(func(h *athlete.Hard) { h.WorkS = 0 }) {
		t.Error("a run without work is hard")
	}
}

// Weeks without a run are there, and changes are against the week before. Only
// a jump above the last four weeks too calls for caution.
func TestChanges(t *testing.T) {
	km := []float64{40, 52, 53, 20, 50, 0, 30, 90}
	var runs []Run
	for i, x := range km {
		if x > 0 {
			runs = append(runs, easyOf(fmt.Sprint(i), utc(1, 5+7*i, 8), x, recording.Outdoors))
		}
	}
	b := New(runs, runs, athlete.New(), calendar(t, "UTC"))
	if len(b.Weeks) != len(km) {
		t.Fatalf("%d weeks, want %d", len(b.Weeks), len(km))
	}
	shares := []float64{0, .3, 53./52 - 1, 20./53 - 1, 1.5, -1, math.NaN(), 2}
	jumps := []bool{false, false, false, false, false, false, false, true} // 52 is exactly 30 % more; 50 after 20 is not above 53
	for i, w := range b.Weeks {
		if i == 0 {
			if w.Before != nil {
				t.Error("the first week has a change")
			}
			continue
		}
		if math.IsNaN(shares[i]) != math.IsNaN(w.Before.Share) || !math.IsNaN(shares[i]) && math.Abs(w.Before.Share-shares[i]) > 1e-9 {
			t.Errorf("week %d: change %v, want %v", i, w.Before.Share, shares[i])
		}
		if w.Before.Jump != jumps[i] {
			t.Errorf("week %d: jump %v", i, w.Before.Jump)
		}
	}
	said := ""
	for _, s := range b.Report(Telling{}).Said {
		said += s.Text
	}
	if !strings.Contains(said, "Caution with jumps of distance: 2026-W09 (+200 %).") || !strings.Contains(said, "studies disagree") {
		t.Errorf("the caution is %q", said)
	}
}

// Whatever the run, its parts, kept to the millimetre, add up to it, and every second that the timer ran
// is in one tally, missing or locked.
func TestSumsAddUp(t *testing.T) {
	for i, k := range simulate.Kinds() {
		s := k.Make(uint64(i))
		s.Start = utc(3, 3, 17)
		devices := simulate.DevicesFor(s.Place)
		rec, _ := simulate.Run(s, devices[i%len(devices)], uint64(i))
		session, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		r := Summarise(session)
		distance, elapsed := 0.0, 0.0
		for _, p := range r.Parts {
			distance, elapsed = distance+p.DistanceM, elapsed+p.Seconds()
		}
		near(t, k.Name+": distance of the parts", distance, r.DistanceM, 0.05)
		near(t, k.Name+": time of the parts", elapsed, r.ElapsedS, 0.05)
		heart, timer := r.NoHeartS+r.LockedS, 0.0
		for e := range efforts {
			heart += r.Heart[e].Seconds(0, math.Inf(1))
		}
		for _, on := range session.Trace.Timer {
			if on {
				timer++
			}
		}
		near(t, k.Name+": seconds by heart rate", heart, timer, 1e-9)
		if r.MovingS > r.ElapsedS || r.MovingS < 0.5*r.ElapsedS {
			t.Errorf("%s: moving %.0f of %.0f s", k.Name, r.MovingS, r.ElapsedS)
		}
		b := New([]Run{r}, []Run{r}, athlete.New(), calendar(t, "UTC"))
		if w := b.Weeks[0]; w.Hard == 1 {
			distance, elapsed = 0, 0
			for _, l := range w.Ledger {
				distance, elapsed = distance+l.DistanceM, elapsed+l.Seconds
			}
			near(t, k.Name+": distance of the ledger", distance, w.HardM, 0.05)
			near(t, k.Name+": time of the ledger", elapsed, w.HardS, 0.05)
		}
	}
}

// Nothing that is left out is left out silently.
func TestLeftOut(t *testing.T) {
	ride := Run{File: "ride", Start: utc(9, 8, 6), Sport: recording.Cycling, DistanceM: 40000, Where: []Where{{Place: recording.Outdoors}}}
	short := Run{File: "short", Start: utc(9, 8, 7), LeftOut: "fewer than 30 seconds", Where: []Where{{}}}
	undated := easyOf("undated", time.Time{}, 5, recording.Outdoors)
	heart := easyOf("heart", utc(9, 9, 7), 5, recording.Treadmill)
	heart.DistanceM, heart.Unmeasured = 0, true
	g := Gatherer{}
	runs := []Run{ride, short, undated, heart}
	sessions, _ := g.Merge(runs)
	b := New(sessions, runs, athlete.New(), calendar(t, "UTC"))
	var codes []string
	for _, w := range b.Warnings {
		codes = append(codes, w.Code)
	}
	slices.Sort(codes)
	if want := []string{NoDate, NoDistance, NotARun, TooLittle}; !slices.Equal(codes, want) {
		t.Errorf("warnings %v, want %v", codes, want)
	}
	if w := b.Whole; w.Sessions != 1 || w.Recordings != 1 || w.DistanceM != 0 || w.TimeS != 1800 {
		t.Errorf("%d sessions, %d recordings, %.0f m, %.0f s", w.Sessions, w.Recordings, w.DistanceM, w.TimeS)
	}
	if r := New(nil, nil, athlete.New(), Calendar{}).Report(Telling{}); r.Title != "no runs" {
		t.Errorf("nothing at all is told as %q", r.Title)
	}
}

// Some weeks without a run are shown, hundreds are not: one wrong date must not
// bury the rest.
func TestLongGap(t *testing.T) {
	at := func(weeks ...int) *Block {
		var runs []Run
		for _, w := range weeks {
			runs = append(runs, easyOf(fmt.Sprint(w), utc(1, 5+7*w, 8), 10, recording.Outdoors))
		}
		return New(runs, runs, athlete.New(), calendar(t, "UTC"))
	}
	if b := at(0, 13); len(b.Weeks) != 14 || len(b.Warnings) != 0 || b.Weeks[13].Before == nil {
		t.Errorf("12 weeks without: %d weeks, %v", len(b.Weeks), b.Warnings)
	}
	b := at(0, 1, 15, 16, 1000)
	if len(b.Weeks) != 5 || codesOf(b.Warnings) != LongGap+" "+LongGap || b.Weeks[2].Before != nil || b.Weeks[3].Before == nil {
		t.Errorf("longer: %d weeks, %v", len(b.Weeks), b.Warnings)
	}
}

// A stop of the timer is no warm-up, but a recovery that was stood is one.
func TestLedgerStops(t *testing.T) {
	r := repsOf("x", utc(9, 8, 17))
	r.Parts[0].StoppedS, r.Parts[2].StoppedS, r.Parts[len(r.Parts)-1].StoppedS = 40, 90, 20
	w := New([]Run{r}, []Run{r}, athlete.New(), calendar(t, "UTC")).Weeks[0]
	for i, want := range []float64{1200, 360, 680, 460, 0, 60} {
		near(t, string(LedgerRoles[i]), w.Ledger[i].Seconds, want, 1e-9)
	}
	near(t, "in all", w.HardS, 2760, 1e-9)
}
