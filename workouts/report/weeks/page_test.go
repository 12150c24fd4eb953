package weeks

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// chartNamed is a picture of a page by its title.
func chartNamed(t *testing.T, r *report.Report, title string) chart.Chart {
	t.Helper()
	i := slices.IndexFunc(r.Front.Charts, func(c chart.Chart) bool { return c.Title == title })
	if i < 0 {
		t.Fatalf("there is no picture %q", title)
	}
	return r.Front.Charts[i]
}

// bar is the heights of the boxes about x, which must stand on each other.
func bar(t *testing.T, c chart.Chart, x float64) map[chart.Ink]float64 {
	t.Helper()
	heights, top := map[chart.Ink]float64{}, 0.0
	for _, p := range c.Panels {
		for _, l := range p.Layers {
			if b, ok := l.(chart.Box); ok && b.X0 < x && x < b.X1 {
				near(t, c.Title+": where a box begins", b.Y0, top, 1e-9)
				heights[b.Ink] += b.Y1 - b.Y0
				top = b.Y1
			}
		}
	}
	return heights
}

// The week that TestWeekByHand adds up by hand, as its picture shows it: 5 km
// work, 0.8 km recovery, 3.2 km warm-up and cool-down, so 41 of 50 km are easy;
// 1200 and 1560 of 2760 s are in zones 3 and 4.
func TestPageByHand(t *testing.T) {
	runs := []block.Run{
		easyOf("mon", utc(9, 7, 6), 8, recording.Outdoors), repsOf("tue", utc(9, 8, 17)), easyOf("thu", utc(9, 10, 6), 5, recording.Treadmill),
		easyOf("sat", utc(9, 12, 8), 10, recording.Trail), easyOf("sun", utc(9, 13, 8), 18, recording.Outdoors),
	}
	a := athlete.New()
	a.MaxHR, a.RestHR, a.ZoneScheme = 200, 60, "acsm-reserve"
	r := Report(block.New(runs, runs, a, calendar(t, "UTC")), Telling{Page: true})
	for _, c := range []struct {
		title string
		want  map[chart.Ink]float64
		says  string
	}{
		{"What the weeks were made of", map[chart.Ink]float64{chart.Work: 5, chart.Recovery: 0.8, chart.Warm: 3.2, chart.Easy: 41},
			"2026-W37: 50.0 km, work 5.0 km, recovery 0.8 km, warm-up, cool-down 3.2 km, easy 41.0 km, 5 sessions, 1 hard."},
		{"Where it was run", map[chart.Ink]float64{chart.Outdoors: 26, chart.Treadmill: 5, chart.Track: 9, chart.Trail: 10},
			"outdoors 26.0 km (52 %), treadmill 5.0 km (10 %), track 9.0 km (18 %), trail 10.0 km (20 %)."},
		{"Time by heart rate", map[chart.Ink]float64{chart.Zone3: 100 * 1200. / 2760, chart.Zone4: 100 * 1560. / 2760},
			"2026-W37: upper two 57 %, zone 3 43 %, zone 4 57 %."},
	} {
		p := chartNamed(t, r, c.title)
		got := bar(t, p, 0)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.title, got, c.want)
		}
		for ink, want := range c.want {
			near(t, c.title+": "+string(ink), got[ink], want, 1e-9)
		}
		if !strings.Contains(p.Text, c.says) {
			t.Errorf("%s: the text alternative %q lacks %q", c.title, p.Text, c.says)
		}
		if len(p.Marks) != 1 || !p.Marks[0].Focus || p.Marks[0].Name != "2026-W37" {
			t.Errorf("%s: marks %+v", c.title, p.Marks)
		}
	}
	f := r.Front
	if f.Answer != "50.0 km in one week, with 5.0 km of work in hard sessions" {
		t.Errorf("the answer is %q", f.Answer)
	}
	if f.Care != zonesCaution {
		t.Errorf("the caution with zones is %q", f.Care)
	}
	if c := chartNamed(t, r, "Time by heart rate").Caption; !strings.Contains(c, "The heart lags") {
		t.Errorf("the caption of zones is %q", c)
	}
}

// What TestChanges calls a jump, and weeks that were left out.
func TestPageCautions(t *testing.T) {
	var runs []block.Run
	for i, km := range []float64{40, 52, 53, 20, 50, 0, 30, 90} {
		if km > 0 {
			runs = append(runs, easyOf(fmt.Sprint(i), utc(1, 5+7*i, 8), km, recording.Outdoors))
		}
	}
	runs = append(runs, easyOf("late", utc(9, 7, 8), 10, recording.Outdoors))
	b := block.New(runs, runs, athlete.New(), calendar(t, "UTC"))
	r := Report(b, Telling{Page: true})
	if n := len(r.Front.Lead); n != 1 || r.Front.Lead[0].Style != report.Alert || !strings.HasPrefix(r.Front.Lead[0].Text, "Caution with jumps of distance: 2026-W09 (+200 %).") {
		t.Errorf("the page opens with %+v", r.Front.Lead)
	}
	c := chartNamed(t, r, "What the weeks were made of")
	var alerts []string
	for _, l := range c.Panels[1].Layers {
		if n, ok := l.(chart.Note); ok && n.Ink == chart.Alert {
			alerts = append(alerts, fmt.Sprintf("%s at %g", n.Text, n.X))
		}
	}
	if want := []string{"+200 % at 7"}; !slices.Equal(alerts, want) || !strings.Contains(c.Caption, "calls for caution") {
		t.Errorf("alerts %q, want %q; caption %q", alerts, want, c.Caption)
	}
	if at := (teller{Block: b}).axis().at; at[7] != 7 || at[8] != 9 {
		t.Errorf("weeks are at %v, want room before the last", at)
	}
	if r.Front.Answer != "345.0 km in 9 weeks, none of it in hard sessions" {
		t.Errorf("the answer is %q", r.Front.Answer)
	}
	for _, title := range []string{"Where it was run", "Time by heart rate"} {
		if slices.ContainsFunc(r.Front.Charts, func(c chart.Chart) bool { return c.Title == title }) {
			t.Errorf("there is a picture %q of nothing", title)
		}
	}
}

// Two sessions of five reps of 1 km whose distance is 3 m off (one standard error) each:
// 1.96 x 0.3 % of 240 s is 1.41 s. Between two sessions the line goes through both, and its
// margin is that of the session, 1.96 x 1 % (an odometer's error from run to run, assumed).
func TestPageLadders(t *testing.T) {
	runs := []block.Run{repsAt(0, 240, recording.Outdoors), repsAt(2, 236, recording.Outdoors), repsAt(1, 230, recording.Track), repsAt(2, 228, recording.Track)}
	for i := range runs {
		for k := range runs[i].Parts {
			runs[i].Parts[k].DistSE = 3
		}
		runs[i].File = fmt.Sprint(i)
	}
	b := block.New(runs, runs, athlete.New(), calendar(t, "UTC"))
	r := Report(b, Telling{Page: true, Trends: b.Trends(nil)})
	c := chartNamed(t, r, "5 x 1km off 200m jog, outdoors")
	chartNamed(t, r, "5 x 1km off 200m jog, track")
	if len(c.Panels) != 1 || len(c.Marks) != 2 {
		t.Fatalf("%d panels and %d marks, want 2 sessions in one", len(c.Panels), len(c.Marks))
	}
	var sessions []chart.Points
	var course chart.Line
	for _, l := range c.Panels[0].Layers {
		switch l := l.(type) {
		case chart.Points:
			sessions = append(sessions, l)
		case chart.Line:
			if l.Dashed {
				course = l
			}
		}
	}
	for i, want := range []float64{240, 236} {
		if len(sessions[i].Y) != 5 {
			t.Fatalf("%d reps, want 5", len(sessions[i].Y))
		}
		for k, y := range sessions[i].Y {
			near(t, "pace", y, want, 1e-6)
			near(t, "margin", sessions[i].High[k]-y, trend.Z95*0.003*want, 1e-6)
		}
		near(t, "trend", course.Y[i], want, 1e-6)
		x := b.Trends(nil)[0]
		if x.Place != recording.Outdoors {
			x = b.Trends(nil)[1]
		}
		_, se := x.At(x.Times[i].Day)
		near(t, "its margin", trend.Z95*se, trend.Z95*x.Times[i].SE, 1e-9)
	}
	if want := "5 Jan: 4:00, 4:00, 4:00, 4:00, 4:00"; !strings.Contains(strings.Replace(c.Text, "6 Jan", "5 Jan", 1), want) {
		t.Errorf("the text is %q, want %q in it", c.Text, want)
	}
}

// A planned week: what was run stands against it day by day, and is first on the page.
func TestPagePlan(t *testing.T) {
	plan, err := block.ParsePlan("plan", "starts: 2026-09-07\nweek 1: 40-45km\ntue: 5 x 1km off 200m jog\nthu: 10km easy\nsun: 20km easy\n")
	if err != nil {
		t.Fatal(err)
	}
	runs := []block.Run{repsOf("tue", utc(9, 8, 17)), easyOf("sat", utc(9, 12, 8), 12, recording.Outdoors)}
	b := block.New(runs, runs, athlete.New(), calendar(t, "UTC"))
	kept, err := plan.Against(b, utc(9, 12, 0))
	if err != nil {
		t.Fatal(err)
	}
	r := Report(b, Telling{Page: true, Kept: kept, PlanName: "plan"})
	if r.Front.First != "plan_sessions" || !strings.Contains(r.Front.Answer, "planned session") || !strings.Contains(r.Front.Answer, "1 still to come") {
		t.Errorf("the page opens with %q, then %q", r.Front.Answer, r.Front.First)
	}
	if f := r.Front.Figures[0]; f.Value != "21.0 km" || f.Name != "run; planned 40-45 km" {
		t.Errorf("the first figure is %v", f)
	}
	c := r.Front.Charts[0]
	if c.Title != "Day by day" || len(c.Marks) != 7 {
		t.Fatalf("the first picture is %q with %d marks", c.Title, len(c.Marks))
	}
	for i, want := range map[int][]string{
		1: {"9.0 km", "5 x 1km", "hard", "done"},
		6: {"no run", "planned 20.0 km", "20km easy", "still to come"},
	} {
		for _, w := range want {
			if !slices.Contains(c.Marks[i].Figures, w) {
				t.Errorf("%s says %q, want %q", c.Marks[i].Name, c.Marks[i].Figures, w)
			}
		}
	}
}

func TestBrief(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "5 x 4:00 off 1:30 jog": "5 x 4:00", "20km easy": "20km easy",
		"2 x ( 5 x 400m @ 3:40/km off 200m jog ) off 800m jog":              "2 x ( 5 x 400m )",
		"15:00 warm + 5 x 4:00 @ 4:25 -> 4:05/km off 1:30 jog + 10:00 cool": "5 x 4:00", "2km warm": "2km warm",
	} {
		if got := brief(in); got != want {
			t.Errorf("brief(%q) = %q, want %q", in, got, want)
		}
	}
}

// tag matches the beginning of every element, value that of an attribute, and
// handler the name of one with a program, once values are out.
var (
	tag     = regexp.MustCompile(`<[^\s/>]*`)
	value   = regexp.MustCompile(`"[^"]*"`)
	handler = regexp.MustCompile(`<[^>]*\son\w+=`)
)

// A page of names that would be markup shows them as text: it has the elements
// of a page with plain names, and no others.
func TestPageNamesAreText(t *testing.T) {
	page := func(name string) string {
		a, b := repsAt(0, 240, recording.Outdoors), repsAt(1, 230, recording.Outdoors)
		a.File, b.File, a.Main, b.Main = name, name+"2", name, name
		a.Detail.Quickest = []block.Quickest{{Length: "1 km", Metres: 1000, Seconds: 240, SE: 1}}
		runs := []block.Run{a, b}
		w := block.New(runs, runs, athlete.New(), calendar(t, "UTC"))
		kept := []block.KeptWeek{{Planned: block.PlannedWeek{Number: 1, Sessions: []block.PlannedSession{{Name: name}}}, Sessions: []block.KeptSession{{Planned: &block.PlannedSession{Name: name}, Outcome: block.Missed}}}}
		r := Report(w, Telling{Page: true, Trends: w.Trends(nil), Kept: kept, PlanName: name, Warnings: []recording.Warning{recording.WarningOf(block.NoDate, "%s has no date", name)}})
		var out strings.Builder
		if err := report.HTML(&out, r); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	plain := page("tuesday")
	want := slices.Compact(slices.Sorted(slices.Values(tag.FindAllString(plain, -1))))
	for _, name := range []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onload='alert(1)`, `</svg></style></title><b>`, `<!--`, `]]>`, "{{.}}",
		"evil\u202egpj.fit", "null\x00 \x1b[31m", "bad\xff", strings.Repeat("x", 10_000), strings.Repeat("<i>", 3_400),
	} {
		got := page(name)
		if tags := slices.Compact(slices.Sorted(slices.Values(tag.FindAllString(got, -1)))); !slices.Equal(tags, want) {
			t.Errorf("%.40q: elements %q, want %q", name, tags, want)
		}
		if found := handler.FindString(value.ReplaceAllString(got, "")); found != "" {
			t.Errorf("%.40q: %.80q", name, found)
		}
		if strings.ContainsAny(got, "\u202e\x00\x1b\ufffd") {
			t.Errorf("%.40q: a mark that cannot be seen is let through", name)
		}
		if got != page(name) {
			t.Errorf("%.40q: two pages of the same differ", name)
		}
	}
	if n := strings.Count(plain, "tuesday"); n < 8 {
		t.Errorf("the name is on the page %d times, so this tests little", n)
	}
}

// A page of many years, and one of a week without distance, are laid out too.
func TestPageOfAnySize(t *testing.T) {
	var runs []block.Run
	for i := range 300 {
		runs = append(runs, easyOf(fmt.Sprint(i), utc(1, 5+7*i, 8), 10+math.Mod(float64(i), 7), recording.Outdoors))
	}
	runs[0].Unmeasured, runs[0].DistanceM = true, 0
	for _, some := range [][]block.Run{runs, runs[:1], nil} {
		r := Report(block.New(some, some, athlete.New(), calendar(t, "UTC")), Telling{Page: true})
		var out strings.Builder
		if err := report.HTML(&out, r); err != nil || strings.Contains(out.String(), "NaN") {
			t.Errorf("%d runs: %v", len(some), err)
		}
		if r.Front.Answer == "" && len(some) > 0 {
			t.Errorf("%d runs: no answer", len(some))
		}
	}
}

// A page of twenty weeks with three hard sessions each is quick on a phone: at most 60 kB
// compressed, our own limit.
func TestPageWeighsLittle(t *testing.T) {
	var runs []block.Run
	for week := range 20 {
		for k := range 3 {
			r := repsAt(week, 240-float64(week)+float64(7*k%5), recording.Outdoors)
			r.File, r.Start = fmt.Sprint(week, k), r.Start.AddDate(0, 0, 2*k)
			for i := range int(r.ElapsedS / 10) {
				r.Way = append(r.Way, 28+(i*i+k)%17)
			}
			for i := range r.Parts {
				r.Parts[i].DistSE = 2 + float64((i*week)%7)/10
			}
			runs = append(runs, r)
		}
		for k := range 3 {
			runs = append(runs, easyOf(fmt.Sprint("easy", week, k), utc(1, 7+7*week+2*k, 7), 8.1+float64((week+5*k)%11), recording.Trail))
		}
	}
	b := block.New(runs, runs, athlete.New(), calendar(t, "UTC"))
	if len(b.Weeks) < 20 || b.Whole.Hard != 60 {
		t.Fatalf("%d weeks, %d hard sessions", len(b.Weeks), b.Whole.Hard)
	}
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	if err := report.HTML(w, Report(b, Telling{Page: true, Trends: b.Trends(nil)})); err != nil {
		t.Fatal(err)
	}
	w.Close()
	t.Logf("%d bytes", packed.Len())
	if packed.Len() > 60_000 {
		t.Errorf("the page takes %d bytes compressed", packed.Len())
	}
}
