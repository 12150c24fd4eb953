package session

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

func TestSplitText(t *testing.T) {
	const want = `Läufe 1.fit
found: 10:00 warm + 3 x 2:00 @ 4:02/km off 1:00 jog + 5:00 cool
3 reps: 1.49 km of work in 6:00, 34 % of the distance.
2026-03-03 18:02 UTC, running, outdoors, 4.43 km in 23:00
▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▇████▃▁▁█████▂▁▃█████▄▄▄▄▄▄▄▄▄▄▄▄▄
                          1────   2────   3────
▁ 8:20 to █ 3:58 /km; 23 s a column

part       rep   from   time  distance  pace /km ±   HR avg  HR max  HR end
warm-up          0:00  10:00    1800 m      5:33 ±1     130     140     140
work         1  10:00   2:00     480 m      4:10 ±1     155     165     165
recovery        12:00   1:00     120 m      8:20 ±2     140     150     150
work         2  13:00   2:00     504 m      3:58 ±1     160     170     170
recovery        15:00   1:00     120 m      8:20 ±2     142     152     152
work         3  16:00   2:00     504 m      3:58 ±1     162     172     172
cool-down       18:00   5:00     900 m      5:33 ±1     135     145     145
± is the 95 % margin of the pace in seconds, for comparing the parts of this run. Besides, the device may measure the whole run up to 3.1 % too long or too short.

warning from 11:40 to 11:43: no records here [gap]
warning: the clock had not been set [clock-not-set]
warning at 0:05: no cadence in the file [no-cadence]
`
	if got := render(t, demoSplit(), report.Page{}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestCheckText(t *testing.T) {
	const want = `Läufe 1.fit
Departed from the plan: rep 3 ended 20 s early.
The 3 reps got quicker over the session by 12 ±3 s/km.
2026-03-03 18:02 UTC, running, outdoors, 4.43 km in 23:00
plan: 10:00 warm + 3 x 2:00 @ 4:10 -> 3:50/km off 1:00 jog + 5:00 cool
▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▇████▃▁▁█████▂▁▃█████▄▄▄▄▄▄▄▄▄▄▄▄▄
                          1────   2────   3────
▁ 8:20 to █ 3:58 /km; 23 s a column

rep  run    time  distance  pace /km ±   target  drift        over  fade  vs last  HR end  rest
  1         2:00     480 m      4:10 ±1    4:10      0         0 s     ~              165  1:00
  2         2:00     504 m      3:58 ±1    4:00     -2         0 s     ~   -12 ±2     170  1:00
  3  short  2:00     504 m      3:58 ±1    3:50     +8 slow  -20 s     ~        ~     172
± is the 95 % margin of the pace in seconds, for comparing the parts of this run. Besides, the device may measure the whole run up to 3.1 % too long or too short.
drift is the pace run minus the target; slow and quick mean that it is beyond the tolerance and the margin, which here counts the error of the distance.
~ is a difference within the margin: there may be none.

note: the rest after rep 1 was 8 s long

warning from 11:40 to 11:43: no records here [gap]
warning: the clock had not been set [clock-not-set]
warning at 0:05: no cadence in the file [no-cadence]
`
	if got := render(t, demoCheck(), report.Page{}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// On a page of 40 columns the figures of first rank stay and nothing is wider.
func TestNarrowPage(t *testing.T) {
	for name, r := range map[string]*report.Report{"split": demoSplit(), "check": demoCheck()} {
		got := render(t, r, report.Page{Columns: 40})
		for line := range strings.Lines(got) {
			if w := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); w > 40 {
				t.Errorf("%s: %d columns in %q", name, w, line)
			}
		}
		for _, head := range []string{"rep", "pace /km", "±"} {
			if !strings.Contains(got, head) {
				t.Errorf("%s: no %q in\n%s", name, head, got)
			}
		}
		if !strings.Contains(got, "not shown for want of room:") {
			t.Errorf("%s: does not say what is missing:\n%s", name, got)
		}
	}
}

// A plan written per mile is reported per mile. 4:00 a mile is 149.13 s/km.
func TestMiles(t *testing.T) {
	res, s := demoResult()
	res.Plan = milePlan
	got := render(t, Check(res, s, Options{}), report.Page{})
	// 250 s/km is 402.3 s/mi.
	for _, want := range []string{"pace /mi", "6:42", "over the session by 19 ±4 s/mi"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}

// fields reads the keys of an object in the order they are written, those of
// nested objects and of the first element of lists as path.key.
func fields(t testing.TB, b []byte) []string {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(b))
	var keys []string
	var value func(path string)
	token := func() json.Token {
		x, err := d.Token()
		if err != nil {
			t.Fatalf("%v in %s", err, b)
		}
		return x
	}
	value = func(path string) {
		switch token() {
		case json.Delim('{'):
			for d.More() {
				key := path + token().(string)
				if !slices.Contains(keys, key) {
					keys = append(keys, key)
				}
				value(key + ".")
			}
			token()
		case json.Delim('['):
			for d.More() {
				value(path)
			}
			token()
		}
	}
	value("")
	return keys
}

// contract lists the fields that the design promises, in its order. Others may
// stand between them.
var contract = map[string][]string{
	"split": {
		"schema", "file", "start", "sport", "indoor", "elapsed_s", "moving_s", "distance_m", "notation", "structure",
		"segments", "segments.role", "segments.set", "segments.rep", "segments.start_s", "segments.end_s",
		"segments.start_se_s", "segments.end_se_s", "segments.distance_m", "segments.pace_s_per_km",
		"segments.pace_se_s_per_km", "segments.hr_avg", "segments.hr_max", "segments.hr_end", "segments.cadence_avg",
		"work", "work.reps", "work.time_s", "work.distance_m",
		"warnings", "warnings.code", "warnings.message", "warnings.start_s", "warnings.end_s",
	},
	"check": {
		"schema", "file", "plan", "verdict",
		"reps", "reps.step", "reps.set", "reps.rep", "reps.outcome", "reps.start_s", "reps.end_s", "reps.distance_m",
		"reps.pace_s_per_km", "reps.pace_se_s_per_km", "reps.target", "reps.target.kind", "reps.target.low_s_per_km",
		"reps.target.high_s_per_km", "reps.drift_s_per_km", "reps.drift_pct", "reps.amount_drift", "reps.fade_pct",
		"reps.vs_previous", "reps.hr_avg", "reps.hr_max", "reps.hr_end", "reps.recovery",
		"progression", "progression.slope_s_per_km_per_rep", "progression.se", "progression.p", "progression.call",
		"progression.quicker_than_previous", "progression.of", "warnings",
	},
}

func TestJSONContract(t *testing.T) {
	for name, r := range map[string]*report.Report{"split": demoSplit(), "check": demoCheck()} {
		var b bytes.Buffer
		if err := r.JSON(&b); err != nil {
			t.Fatal(err)
		}
		if n := bytes.Count(b.Bytes(), []byte("\n")); n != 1 {
			t.Errorf("%s: %d line ends, want one object on one line", name, n)
		}
		got := fields(t, b.Bytes())
		at := 0
		for _, want := range contract[name] {
			i := slices.Index(got[at:], want)
			if i < 0 {
				t.Errorf("%s: no %s after %s in %v", name, want, got[max(0, at-1)], got)
				continue
			}
			at += i + 1
		}
		if !bytes.Contains(b.Bytes(), []byte(`"schema":"rungs/`+name+`/1"`)) {
			t.Errorf("%s: wrong schema in %s", name, b.Bytes())
		}
	}
}

// The same warnings stand in both outputs, each once.
func TestWarningsEverywhere(t *testing.T) {
	for name, r := range map[string]*report.Report{"split": demoSplit(), "check": demoCheck()} {
		var b bytes.Buffer
		if err := r.JSON(&b); err != nil {
			t.Fatal(err)
		}
		text := render(t, r, report.Page{})
		for _, code := range []string{"gap", "clock-not-set", "no-cadence"} {
			if n := strings.Count(text, "["+code+"]"); n != 1 {
				t.Errorf("%s: %s stands %d times in the text", name, code, n)
			}
			if n := strings.Count(b.String(), `"code":"`+code+`"`); n != 1 {
				t.Errorf("%s: %s stands %d times in the JSON", name, code, n)
			}
		}
	}
}

func TestClockAndMargin(t *testing.T) {
	for _, c := range []struct {
		s    float64
		want string
	}{
		{0, "0:00"}, {59.4, "0:59"}, {59.5, "1:00"}, {3599.6, "1:00:00"}, {3661, "1:01:01"}, {-61, "-1:01"},
		{-0.2, "0:00"}, {math.NaN(), ""}, {math.Inf(1), ""},
	} {
		if got := figures.Clock(c.s); got != c.want {
			t.Errorf("clock(%v) = %q, want %q", c.s, got, c.want)
		}
	}
	// 1.96 standard errors (the normal quantile at 0.975, from any table),
	// rounded up.
	for _, c := range []struct {
		se   float64
		want string
	}{{0, "±1"}, {0.5, "±1"}, {0.52, "±2"}, {10, "±20"}, {math.NaN(), ""}, {math.Inf(1), ""}} {
		if got := figures.Kilometre.Margin(c.se); got != c.want {
			t.Errorf("margin(%v) = %q, want %q", c.se, got, c.want)
		}
	}
	if got := figures.Mile.Margin(1); got != "±4" { // 1.96 x 1.609 = 3.15
		t.Errorf("margin of 1 s/km per mile = %q", got)
	}
}

// scramble sets every float and string within v to something drawn, the
// values that JSON and terminals cannot take among them.
func scramble(r *rand.Rand, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(pick(r, math.NaN(), math.Inf(1), math.Inf(-1), 0, math.Copysign(0, -1), -1, 0.004, 59.96, 250, 1e12, -1e300, math.SmallestNonzeroFloat64))
	case reflect.String:
		if v.Type() == reflect.TypeFor[string]() {
			v.SetString(pick(r, "", "a", "ü ü", "\x1b[2J", "\xff", "line\nline", "<&>", "\u202e"))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				scramble(r, v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			scramble(r, v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			scramble(r, v.Elem())
		}
	}
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// Whatever the figures are, both outputs are well formed: JSON by
// encoding/json, text without control characters and blanks at line ends.
func TestAnyFigures(t *testing.T) {
	targets := []match.TargetKind{
		match.NoTarget, match.PaceTarget, match.BandTarget, match.RampTarget,
		match.QuickerTarget, match.HeartTarget, match.UnknownTarget,
	}
	calls := []match.Call{match.NoCall, match.Quicker, match.Slower, match.Level, match.Uneven}
	for seed := range uint64(500) {
		rnd := rand.New(rand.NewPCG(seed, 0))
		res, s := demoResult()
		for i := range res.Reps {
			r := &res.Reps[i]
			r.Target.Kind = pick(rnd, targets...)
			r.VsPrevious.Call = pick(rnd, calls...)
			r.OnTarget = pick(rnd, calls...)
			r.Interruptions = []recording.Span{{}}
			r.Heart = &match.HeartTime{}
		}
		res.Progressions[0].Call = pick(rnd, calls...)
		res.Progressions[0].AcrossSet = &match.SetTrend{}
		res.Progressions[0].Sets = []match.SetProgression{{}}
		for _, x := range []any{res.Reps, res.Progressions, res.Reasons, res.Deviations, s.Segments, s.Warnings, &s.Recording.Name} {
			scramble(rnd, reflect.ValueOf(x))
		}
		for _, r := range []*report.Report{Split(s, Options{}), Check(res, s, Options{RecordedPlan: true})} {
			var b bytes.Buffer
			if err := r.JSON(&b); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if !json.Valid(b.Bytes()) || bytes.Count(b.Bytes(), []byte("\n")) != 1 {
				t.Fatalf("seed %d: not one line of JSON: %s", seed, b.Bytes())
			}
			for line := range strings.Lines(render(t, r, report.Page{Columns: rnd.IntN(100)})) {
				line = strings.TrimSuffix(line, "\n")
				if report.Safe(line) != line || strings.HasSuffix(line, " ") {
					t.Fatalf("seed %d: bad line %q", seed, line)
				}
				if strings.Contains(line, "NaN") || strings.Contains(line, "Inf") {
					t.Fatalf("seed %d: line %q shows what is no figure", seed, line)
				}
			}
		}
	}
}

func TestTargetText(t *testing.T) {
	for _, c := range []struct {
		rep  match.Rep
		want string
	}{
		{match.Rep{}, ""},
		{match.Rep{Target: match.Target{Kind: match.PaceTarget, LowSPerKm: 245, HighSPerKm: 245}}, "4:05"},
		{match.Rep{Target: match.Target{Kind: match.BandTarget, LowSPerKm: 240, HighSPerKm: 250}}, "4:00-4:10"},
		{match.Rep{
			Target:  match.Target{Kind: match.RampTarget, LowSPerKm: 245, HighSPerKm: 245},
			Planned: workouts.Planned{Goal: workouts.Goal{Pace: 240, EndPace: 250}},
		}, "4:00->4:10"},
		{match.Rep{Target: match.Target{Kind: match.QuickerTarget}}, "quicker"},
		{match.Rep{
			Target:  match.Target{Kind: match.QuickerTarget},
			Planned: workouts.Planned{Goal: workouts.Goal{Kind: workouts.QuickerGoal, First: true}},
		}, "sets the pace"},
		{match.Rep{Target: match.Target{Kind: match.QuickerTarget, QuickerBy: 2}}, "quicker by 2"},
		{match.Rep{Target: match.Target{Kind: match.HeartTarget, LowBPM: 150, HighBPM: 160}}, "150-160 bpm"},
		{match.Rep{Target: match.Target{Kind: match.HeartTarget, HighBPM: 150}}, "<150 bpm"},
		{match.Rep{Target: match.Target{Kind: match.HeartTarget, LowBPM: 150}}, ">150 bpm"},
		{match.Rep{Target: match.Target{Kind: match.UnknownTarget, Name: "half"}}, "half?"},
	} {
		if got := targetText(c.rep, figures.Kilometre); got != c.want {
			t.Errorf("%+v: %q, want %q", c.rep.Target, got, c.want)
		}
	}
}

// The sentence on a row of reps, by what the plan asks of it and what could be told.
func TestProgressionText(t *testing.T) {
	nan := math.NaN()
	p := func(course match.Course, call match.Call, change, margin, scatter float64, quicker, compared int) match.Progression {
		return match.Progression{Of: 6, Reps: []int{0, 1, 2, 3, 4, 5}, Course: course, Call: call, SlopeSPerKmPerRep: change / 5,
			ChangeSPerKm: change, ChangeMargin: margin, Scatter: scatter, QuickerThanPrevious: quicker, Compared: compared}
	}
	back := match.Comparison{With: 2, DeltaSPerKm: 4.2, SE: 1, Call: match.Slower}
	for _, c := range []struct {
		p    match.Progression
		back bool // rep 4 was slower than rep 3
		u    figures.Unit
		want string
	}{
		{match.Progression{Of: 1, SlopeSPerKmPerRep: nan}, false, figures.Kilometre, ""},
		{p(match.QuickerCourse, match.Quicker, -25, 3.1, 0.5, 5, 5), false, figures.Kilometre, "the 6 reps were each quicker than the last, over the session by 25 ±4 s/km"},
		{p(match.QuickerCourse, match.Quicker, -12, 4, 0.5, 4, 5), true, figures.Kilometre, "the 6 reps got quicker over the session by 12 ±4 s/km, but rep 4 was slower than rep 3 by 4 ±2 s/km"},
		{p(match.QuickerCourse, match.Uneven, -2, 6, 3, 2, 5), false, figures.Kilometre, "whether the 6 reps got quicker cannot be told: they scatter by 3 s/km"},
		{p(match.QuickerCourse, match.Level, -2, 6, 1, 0, 5), false, figures.Kilometre, "whether the 6 reps got quicker cannot be told: the change of -2 ±6 s/km is within the margin"},
		{p(match.EvenCourse, match.Slower, 12, 3, 1, 0, 5), false, figures.Kilometre, "the 6 reps got slower over the session by 12 ±3 s/km"},
		{p(match.EvenCourse, match.Slower, 10, 3, 1, 0, 5), false, figures.Mile, "the 6 reps got slower over the session by 16 ±5 s/mi"},
		{p(match.EvenCourse, match.Uneven, 2, 6, 3, 1, 5), false, figures.Kilometre, "the 6 reps scatter by 3 s/km; a trend over them cannot be told (+2 ±6 s/km)"},
		{p(match.NoCourse, match.Uneven, 2, 6, 3, 1, 5), false, figures.Kilometre, ""},
	} {
		res := &match.Result{Progressions: []match.Progression{c.p}}
		for i := range 6 {
			res.Reps = append(res.Reps, match.Rep{Rep: i + 1, VsPrevious: match.Comparison{With: i - 1}})
		}
		if c.back {
			res.Reps[3].VsPrevious = back
		}
		if got := progressionText(res, c.p, c.u); got != c.want {
			t.Errorf("got  %q\nwant %q", got, c.want)
		}
	}
}

// A check begins with its answer, in three sentences at most, however many reps and
// findings there are; what goes beyond follows the tables.
func TestAnswerIsShort(t *testing.T) {
	res := &match.Result{Verdict: match.Departed, Reasons: []string{"first", "second", "third", "fourth"}}
	for i := range 40 {
		res.Reps = append(res.Reps, match.Rep{Rep: i + 1, VsPrevious: match.Comparison{With: i - 1}})
	}
	p := match.Progression{Of: 40, Reps: []int{0, 39}, Course: match.EvenCourse, Call: match.Slower, ChangeSPerKm: 5, ChangeMargin: 2}
	res.Progression, res.Progressions = p, []match.Progression{p}
	said := answer(res, figures.Kilometre)
	if len(said) != 3 || said[0].Text != "Departed from the plan: first." || said[1].Text != "Second." {
		t.Errorf("the answer is %v", said)
	}
	if rest := further(res, figures.Kilometre); len(rest) != 2 || rest[0].Text != "Also, third." || rest[1].Text != "Also, fourth." {
		t.Errorf("what follows is %v", rest)
	}
}

// A close call between two readings is shown with both.
func TestRivalReading(t *testing.T) {
	s := demoSession()
	s.Sure = 0.6
	s.RunnerUp = slices.Clone(s.Structure)
	s.RunnerUp[1].Amount = segment.Amount{Metres: 500}
	got := render(t, Split(s, Options{}), report.Page{})
	const want = "found: 10:00 warm + 3 x 2:00 @ 4:02/km off 1:00 jog + 5:00 cool\n" +
		"or:    10:00 warm + 3 x 500m @ 4:02/km off 1:00 jog + 5:00 cool (60 % for the first)\n"
	if !strings.Contains(got, want) {
		t.Errorf("no %q in\n%s", want, got)
	}
}

// A recording of heart rate alone is reported without distances and paces.
func TestHeartRateAlone(t *testing.T) {
	s := demoSession()
	*s.Trace = signal.Trace{Source: signal.Nothing, Reason: "the recording holds no distance, speed or positions"}
	for i := range s.Segments {
		x := &s.Segments[i]
		x.DistanceM, x.Pace, x.PaceSE, x.WithinSE = math.NaN(), math.NaN(), math.NaN(), math.NaN()
	}
	got := render(t, Split(s, Options{}), report.Page{})
	for _, want := range []string{"\nwork         1  10:00   2:00     155     165     165\n", "\n3 reps: 6:00 of work.\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	for _, never := range []string{"pace", "distance", "±", "km in"} {
		if strings.Contains(got, never) {
			t.Errorf("%q in\n%s", never, got)
		}
	}
}

// TestPyramid: in a session of several steps each rep is held against the last one of its own step, and says so: of
// 1-2-3-2-1 the fourth against the second.
func TestPyramid(t *testing.T) {
	nan := math.NaN()
	res := &match.Result{}
	for i, with := range []int{-1, -1, -1, 1, 0} {
		res.Reps = append(res.Reps, match.Rep{Step: 2 * i, Rep: i + 1, Outcome: match.Done, VsPrevious: match.Comparison{With: with, DeltaSPerKm: nan}})
	}
	res.Reps[3].VsPrevious = match.Comparison{With: 1, DeltaSPerKm: -3, SE: 0.9, Call: match.Quicker}
	res.Reps[4].VsPrevious = match.Comparison{With: 0, DeltaSPerKm: 0.3, SE: 0.9, Call: match.Level}
	for _, row := range [][]int{{0, 4}, {1, 3}, {2}} {
		res.Progressions = append(res.Progressions, match.Progression{Reps: row, Of: len(row), Course: match.EvenCourse, Compared: 1, Scatter: nan, ChangeSPerKm: -3, ChangeMargin: 2})
	}
	texts := []string{}
	for i := range res.Reps {
		texts = append(texts, previousText(res, res.Reps[i], figures.Kilometre))
	}
	if want := []string{"", "", "", "-3 ±2 (2)", "~ (1)"}; !slices.Equal(texts, want) {
		t.Errorf("vs last is %q, want %q", texts, want)
	}
	if notes := strings.Join(checkNotes(res, demoSession()), "\n"); !strings.Contains(notes, "in brackets under vs last") {
		t.Errorf("nothing explains the brackets: %s", notes)
	}
	if got, want := progressionText(res, res.Progressions[1], figures.Kilometre), "rep 4 was quicker than rep 2 by 3 ±2 s/km"; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
	if got, want := rowName(res, match.Progression{Reps: []int{0, 2, 4}, Of: 3}), "reps 1, 3 and 5"; got != want {
		t.Errorf("a row is called %q, want %q", got, want)
	}
	if got, want := rowName(res, match.Progression{Reps: []int{0, 1, 2, 3, 4}, Of: 5}), "the 5 reps"; got != want {
		t.Errorf("a row is called %q, want %q", got, want)
	}
}

// TestUnsure: a target that was perhaps missed is no departure, and the answer says that it cannot be told.
func TestUnsure(t *testing.T) {
	rep := func(n int, drift float64, unsure bool) match.Rep {
		return match.Rep{Rep: n, Drift: drift, Unsure: unsure}
	}
	for want, reps := range map[string][]match.Rep{
		"": {rep(1, 9, false)},
		"whether rep 1 was too slow cannot be told":                                 {rep(1, 9, true), rep(2, 1, false)},
		"whether reps 1 to 3 were too quick cannot be told":                         {rep(1, -9, true), rep(2, -8, true), rep(3, -8, true)},
		"whether reps 1 and 3 were too slow and rep 2 was too quick cannot be told": {rep(1, 9, true), rep(2, -8, true), rep(3, 8, true)},
	} {
		if got := unsureText(&match.Result{Reps: reps}); got != want {
			t.Errorf("said %q, want %q", got, want)
		}
	}
}
