package block

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
)

func newAthleteWith(maxHR float64) athlete.Athlete {
	a := athlete.New()
	a.MaxHR = maxHR
	return a
}

// Two planned weeks, told by hand. In the first, Tuesday's reps were run on
// Wednesday, Thursday's were run, Saturday's easy run became reps, Sunday's did
// not happen and Friday's reps were nobody's plan. The second week ends on
// Wednesday as far as the recordings tell.
func TestPlanAgainstRuns(t *testing.T) {
	const src = `name: Two weeks
starts: 2026-09-07
week 1: 40km
  tue: 12:00 warm + 5 x 1km off 1:30 jog + 8:00 cool
  thu: 1:00:00 easy
  sat: 30:00 easy
  sun: 1:30:00 easy
week 2: 50-60km
  tue: 48:00 easy
  fri: 1:20:00 easy
week 3: 3:00:00
`
	p, err := ParsePlan("p", src)
	if err != nil {
		t.Fatal(err)
	}
	runs := []Run{
		repsOf("wed", utc(9, 9, 17)), easyOf("thu", utc(9, 10, 6), 10, recording.Outdoors),
		repsOf("fri", utc(9, 11, 17)), repsOf("sat", utc(9, 12, 8)),
		easyOf("tue2", utc(9, 15, 6), 8, recording.Outdoors), easyOf("wed2", utc(9, 16, 6), 8, recording.Outdoors),
	}
	b := New(runs, runs, athlete.New(), calendar(t, "UTC"))
	kept, err := p.Against(b, utc(9, 16, 0))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, k := range kept {
		got = append(got, fmt.Sprintf("week %d %.0f m %s", k.Planned.Number, k.DistanceM, k.Call))
		for _, s := range k.Sessions {
			what, run := "-", "-"
			if s.Planned != nil {
				what = DayWord(s.Planned.Day)
			}
			if s.Run != nil {
				run = s.Run.File
			}
			got = append(got, fmt.Sprintf("%s %s %s", what, s.Outcome, run))
		}
	}
	want := `week 1 37000 m below
tue moved wed
thu done thu
sat replaced sat
sun missed -
- extra fri
week 2 16000 m ahead
tue done tue2
fri ahead -
week 3 0 m ahead`
	if text := strings.Join(got, "\n"); text != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
	var out strings.Builder
	if err := b.Report(Telling{Kept: kept, PlanName: p.Name}).JSON(&out); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{`"plan_weeks":[{"number":1,"start":"2026-09-07","planned":{"low":40000.0,"high":40000.0,"unit":"m"},"distance_m":37000.0,"time_s":11880.0,"volume":"below"`,
		`{"week":1,"date":"2026-09-12","workout":"30:00 easy","outcome":"replaced","file":"sat"`} {
		if !strings.Contains(out.String(), s) {
			t.Errorf("JSON lacks %s\n%s", s, out.String())
		}
	}
	p.Starts = p.Starts.AddDate(0, 0, 1)
	if _, err := p.Against(b, utc(9, 16, 0)); err == nil || err.Error() != "the plan starts on a Tuesday, and weeks begin on a Monday" {
		t.Errorf("a plan from Tuesday on: %v", err)
	}
}

// One week of all that a plan can say, told by hand: a day off, doubles planned and
// run as one, a race, a change by date, and reps run on the Monday of the next week.
// The pace of easyOf is 6:00/km.
func TestPlanSays(t *testing.T) {
	const src = `starts: 2026-09-07
week 1
  mon: rest
  tue: 36:00 easy
  tue: 30:00 easy
  wed: 1:06:00 easy
  thu: 5km
  fri: 10km easy
  sun: 12:00 warm + 5 x 1km off 1:30 jog + 8:00 cool
2026-09-11: rest
2026-09-12: 8km easy
2026-09-12: 20:00 easy
`
	p, err := ParsePlan("p", src)
	if err != nil {
		t.Fatal(err)
	}
	runs := []Run{
		easyOf("tue", utc(9, 8, 6), 11, recording.Outdoors),
		easyOf("wed1", utc(9, 9, 6), 6, recording.Outdoors), easyOf("wed2", utc(9, 9, 18), 5, recording.Outdoors),
		easyOf("thu", utc(9, 10, 6), 5.04, recording.Outdoors),
		easyOf("fri", utc(9, 11, 6), 5, recording.Outdoors),
		easyOf("sat", utc(9, 12, 6), 8.1, recording.Outdoors),
		repsOf("mon", utc(9, 14, 17)),
	}
	b := New(runs, runs, athlete.New(), calendar(t, "UTC"))
	kept, err := p.Against(b, utc(9, 15, 0))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, s := range kept[0].Sessions {
		text := DayWord(s.Planned.Day) + " " + string(s.Outcome)
		if s.Run != nil {
			text += " " + s.Run.File
		}
		for _, r := range s.Also {
			text += "+" + r.File
		}
		got = append(got, text)
	}
	want := "mon done, tue done tue, tue done tue, wed done wed1+wed2, thu done thu, fri replaced fri, sat done sat, sat missed, sun moved mon"
	if text := strings.Join(got, ", "); text != want {
		t.Errorf("got\n%s\nwant\n%s", text, want)
	}
}

func TestVolumeCalls(t *testing.T) {
	band := Volume{Low: 45000, High: 50000}
	for _, c := range []struct {
		v       Volume
		metres  float64
		seconds float64
		over    bool
		want    VolumeCall
	}{
		{Volume{}, 1e5, 1e5, true, NoVolume},
		{band, 42749, 0, true, Below}, {band, 42751, 0, true, Within}, {band, 52499, 0, true, Within}, {band, 52501, 0, true, Above},
		{band, 42749, 0, false, Open}, {band, 52501, 0, false, Above}, {band, 47000, 0, false, Within},
		{Volume{Low: 18000, High: 18000, InTime: true}, 1, 17101, true, Within}, {Volume{Low: 18000, High: 18000, InTime: true}, 1e9, 17099, true, Below},
	} {
		if got := c.v.call(c.metres, c.seconds, c.over); got != c.want {
			t.Errorf("%s, %.0f m in %.0f s, over %v: %q, want %q", c.v, c.metres, c.seconds, c.over, got, c.want)
		}
	}
}

// assignSlowly tries every pairing.
func assignSlowly(like [][]float64, used []bool) float64 {
	if len(like) == 0 {
		return 0
	}
	best := assignSlowly(like[1:], used)
	for j, l := range like[0] {
		if l > 0 && !used[j] {
			used[j] = true
			best = max(best, l+assignSlowly(like[1:], used))
			used[j] = false
		}
	}
	return best
}

func TestAssignAgainstSlowTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		planned, runs := rapid.IntRange(0, 5).Draw(t, "planned"), rapid.IntRange(0, 6).Draw(t, "runs")
		like := make([][]float64, planned)
		for i := range like {
			for range runs {
				like[i] = append(like[i], rapid.SampledFrom([]float64{0, 0, 0.83, 0.9, 0.95, 1, 1.05}).Draw(t, "like"))
			}
		}
		pairs := assign(like, runs)
		sum, used := 0.0, make([]bool, runs)
		for i, j := range pairs {
			if j < 0 {
				continue
			}
			if used[j] || like[i][j] == 0 {
				t.Fatalf("pairs %v of %v", pairs, like)
			}
			used[j] = true
			sum += like[i][j]
		}
		if slow := assignSlowly(like, make([]bool, runs)); math.Abs(sum-slow) > 1e-9 {
			t.Fatalf("pairs %v of %v come to %.3f, the best to %.3f", pairs, like, sum, slow)
		}
	})
}

// A run without its trace is as like a workout as the session itself.
func TestLikenessWithoutTrace(t *testing.T) {
	for _, name := range []string{"800s by distance", "4 minute reps", "track 400s", "sets of 3 x 2:00", "plain easy", "standing rests"} {
		k, ok := simulate.KindNamed(name)
		if !ok {
			t.Fatal(name)
		}
		s := k.Make(3)
		s.Start = utc(3, 3, 17)
		rec, truth := simulate.Run(s, simulate.DevicesFor(s.Place)[0], 3)
		session, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		text := truth.Notation
		if text == "" {
			text = "45:00 easy"
		}
		w, err := notation.Parse(name, text)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, likenessTo(w, Summarise(session)), 1-likeness.DistanceRun(w, session), 0.02)
	}
}

// A part errs as Split tells of its segment within the run: what is common to the run
// is counted once, by those who add parts up.
func TestPartsErrAsWithinTheRun(t *testing.T) {
	k, ok := simulate.KindNamed("4 minute reps")
	if !ok {
		t.Fatal("no such kind")
	}
	s := k.Make(3)
	s.Start = utc(3, 3, 17)
	rec, _ := simulate.Run(s, simulate.DevicesFor(s.Place)[0], 3)
	session, err := segment.Split(rec)
	if err != nil {
		t.Fatal(err)
	}
	r := Summarise(session)
	if len(r.Parts) != len(session.Segments) || len(r.Parts) < 5 {
		t.Fatalf("%d parts of %d segments", len(r.Parts), len(session.Segments))
	}
	for i, g := range session.Segments {
		if g.Role == segment.Work {
			near(t, "relative error", r.Parts[i].DistSE/r.Parts[i].DistanceM, g.WithinSE/g.Pace, 1e-5)
		}
	}
}
