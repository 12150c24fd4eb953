package block

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/match"
)

// repsAt is repsOf with reps of so many seconds, in week n from January on.
func repsAt(week int, seconds float64, place recording.Place) Run {
	r := repsOf(fmt.Sprintf("week%d", week), utc(1, 6+7*week, 17))
	r.Where[0].Place = place
	shift := 0.0
	for i := range r.Parts {
		p := &r.Parts[i]
		length := p.Seconds()
		if p.Rep > 0 && p.DistanceM == 1000 {
			length = seconds
		}
		p.StartS += shift
		shift += length - p.Seconds() + 0
		p.EndS = p.StartS + length
	}
	return r
}

func trendOf(t *testing.T, place recording.Place, seconds ...float64) Trend {
	t.Helper()
	var runs []Run
	for i, s := range seconds {
		runs = append(runs, repsAt(i, s, place))
	}
	trends := New(runs, runs, athlete.New(), calendar(t, "UTC")).Trends(nil)
	if len(trends) != 1 {
		t.Fatalf("%d trends", len(trends))
	}
	return trends[0]
}

// Trends of a workout run every week, with slopes known in closed form: 240 s
// less 2 s a week is -8 s/km in four weeks. The error of one run is 1 % of 4:00,
// 2.4 s, and the least-squares slope of weeks 0 to n-1 has the standard error
// 2.4 sqrt(12/(n(n*n-1))) a week, four times that in four weeks.
func TestTrends(t *testing.T) {
	se := func(n float64) float64 { return 4 * 0.01 * 240 * math.Sqrt(12/(n*(n*n-1))) }
	even := trendOf(t, recording.Outdoors, 240, 240, 240)
	near(t, "slope of level reps", even.SlopeSPerKm, 0, 1e-9)
	near(t, "its error", even.SlopeSE, se(3), 1e-6)
	if even.Call != match.Level || even.Test != match.MeasuringErrorTest || !math.IsNaN(even.P) || even.Workout != "5 x 1km off 200m jog" || even.Named {
		t.Errorf("level reps: %+v", even)
	}
	slow := trendOf(t, recording.Outdoors, 240, 238, 236)
	near(t, "slope", slow.SlopeSPerKm, -8, 0.05)
	if slow.Call != match.Level { // 8 against 1.96 * 4.8 = 9.4
		t.Errorf("-8 s/km with a margin of %.1f: %s", 1.96*slow.SlopeSE, slow.Call)
	}
	// The same on the track, where the reps give the distance to 0.3 %.
	if track := trendOf(t, recording.Track, 240, 238, 236); track.Call != match.Quicker {
		t.Errorf("on the track: %s, margin %.1f", track.Call, 1.96*track.SlopeSE)
	}
	// From five on Mann-Kendall judges: of five in order the exact two-sided p is
	// 2/5! = 1/60; with a swap of neighbours (S = 8) it is 2 (1+4)/120 = 1/12.
	falling := trendOf(t, recording.Outdoors, 240, 239.5, 239, 238.5, 238)
	near(t, "p of five in order", falling.P, 1./60, 1e-12)
	if falling.Call != match.Quicker || falling.Test != match.MannKendallTest {
		t.Errorf("five in order: %s by %s", falling.Call, falling.Test)
	}
	swapped := trendOf(t, recording.Outdoors, 240, 239, 239.5, 238.5, 238)
	near(t, "p with a swap", swapped.P, 1./12, 1e-12)
	if swapped.Call != match.Level {
		t.Errorf("five with a swap: %s", swapped.Call)
	}
	if rising := trendOf(t, recording.Track, 236, 238, 240, 242, 244, 246); rising.Call != match.Slower {
		t.Errorf("rising: %s", rising.Call)
	}
}

// Places are kept apart, names of the library win, a single time is no trend.
func TestTrendsApart(t *testing.T) {
	runs := []Run{repsAt(0, 240, recording.Track), repsAt(1, 240, recording.Treadmill), repsAt(2, 240, recording.Track), repsAt(3, 240, recording.Trail)}
	runs[3].Main = "3 x 1km"
	b := New(runs, runs, athlete.New(), calendar(t, "UTC"))
	trends := b.Trends(nil)
	if len(trends) != 1 || trends[0].Place != recording.Track || len(trends[0].Times) != 2 {
		t.Errorf("%+v", trends)
	}
	trends = b.Trends(func(s Session) string {
		if strings.HasPrefix(s.File, "week") && s.Where[0].Place == recording.Track {
			return "thousands"
		}
		return ""
	})
	if len(trends) != 1 || trends[0].Workout != "thousands" || !trends[0].Named {
		t.Errorf("%+v", trends)
	}
	// Twice on one day is no slope.
	twice := []Run{repsAt(0, 240, recording.Track), repsAt(0, 236, recording.Track)}
	twice[1].Start = twice[1].Start.Add(3600e9 * 3)
	if x := New(twice, twice, athlete.New(), calendar(t, "UTC")).Trends(nil); len(x) != 1 || x[0].Call != match.NoCall || !math.IsNaN(x[0].SlopeSPerKm) {
		t.Errorf("on one day: %+v", x)
	}
}

func TestBests(t *testing.T) {
	a, b := easyOf("a", utc(9, 7, 8), 10, recording.Outdoors), easyOf("b", utc(9, 9, 8), 10, recording.Outdoors)
	a.Quickest = []Quickest{{Length: "400 m", Metres: 400, Seconds: 80}, {Length: "5:00", Metres: 1300, Seconds: 300}}
	b.Quickest = []Quickest{{Length: "400 m", Metres: 400, Seconds: 81}, {Length: "5:00", Metres: 1301, Seconds: 300}, {Length: "1000 m", Metres: 1000, Seconds: 230}}
	runs := []Run{a, b}
	var got []string
	who, err := athlete.Parse("a", `quickest = ["400m", "1000m", "5:00"]`)
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range New(runs, runs, who, calendar(t, "UTC")).Bests {
		got = append(got, q.Length+" "+q.File)
	}
	if s := strings.Join(got, ", "); s != "400 m a, 1000 m b, 5:00 b" {
		t.Error(s)
	}
}
