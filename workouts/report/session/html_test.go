package session

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/internal/hostile"

	"golang.org/x/net/html"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/match"
)

// longCheck is a check of 40 reps of 2:00 off 1:30 in a run of three hours,
// with noise, heart rate and stops.
func longCheck() (*match.Result, *segment.Session) {
	s := demoSession()
	rec := s.Recording
	*s.Trace, s.Segments = *demoSession().Trace, nil
	s.Trace.Speed, s.Trace.Known, s.Trace.Dist = nil, nil, []float64{0}
	rnd := rand.New(rand.NewPCG(1, 2))
	res := &match.Result{Plan: demoPlan, Verdict: match.AsPlanned}
	at, heart := 0.0, 100.0
	add := func(role segment.Role, rep int, seconds, speed, bpm float64) {
		x := segment.Segment{
			Role: role, Set: min(rep, 1), Rep: rep, StartS: at, EndS: at + seconds, StartSE: 1, EndSE: 1, DistanceM: seconds * speed,
			Pace: 1000 / speed, PaceSE: 4, WithinSE: 1, HRAvg: bpm, HRMax: bpm, HREnd: bpm, CadenceAvg: 180,
		}
		s.Segments = append(s.Segments, x)
		for range int(seconds) {
			heart += (bpm - heart) / 30
			v := speed + 0.2*rnd.NormFloat64()
			s.Trace.Speed, s.Trace.Known = append(s.Trace.Speed, v), append(s.Trace.Known, rnd.IntN(100) > 0)
			s.Trace.Dist = append(s.Trace.Dist, s.Trace.Dist[len(s.Trace.Dist)-1]+v)
			s.Trace.HeartRate = append(s.Trace.HeartRate, math.Round(heart+rnd.NormFloat64()))
		}
		at += seconds
		if role == segment.Work {
			res.Reps = append(res.Reps, match.Rep{
				Step: rep, Set: 1, Rep: rep, Outcome: match.Done,
				Span:   match.Span{StartS: x.StartS, EndS: x.EndS, StartSE: 1, EndSE: 1, DistanceM: x.DistanceM, Pace: x.Pace, PaceSE: 1},
				Target: match.Target{Kind: match.BandTarget, LowSPerKm: 240, HighSPerKm: 250, Tolerance: 3}, OnTarget: match.Level,
				HRAvg: bpm, HRMax: bpm, HREnd: bpm, VsPrevious: match.Comparison{With: -1}, CadenceAvg: 180,
			})
		}
	}
	add(segment.Warm, 0, 1200, 2.9, 140)
	for i := range 40 {
		add(segment.Work, i+1, 120, 4+0.002*float64(i), 170)
		add(segment.Recovery, i+1, 90, 2.4, 150)
	}
	add(segment.Cool, 0, 1200, 2.8, 140)
	p := match.Progression{Of: 40, Call: match.Quicker, SlopeSPerKmPerRep: -0.1, SlopeSE: 0.01}
	for i, r := range res.Reps {
		p.Reps, p.Fit = append(p.Reps, i), append(p.Fit, r.Pace)
	}
	res.Progressions = []match.Progression{p}
	rec.T = []float64{0, at}
	rec.Stops = []recording.Span{{StartS: 600, EndS: 640}, {StartS: 10000, EndS: 10120}}
	return res, s
}

func writePage(t testing.TB, reports ...*report.Report) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := report.HTML(&b, reports...); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The page of a run of three hours is under 400 kB.
func TestPageSize(t *testing.T) {
	res, s := longCheck()
	for name, r := range map[string]*report.Report{"split": Split(s, Options{Page: true}), "check": Check(res, s, Options{Page: true})} {
		page := writePage(t, r)
		if n := len(page); n > 400_000 {
			t.Errorf("%s: %d bytes", name, n)
		}
		wide := 0
		for _, part := range strings.Split(string(page), `<div class="`) {
			if strings.HasPrefix(part, "wide") {
				wide += strings.Count(part, `class="mark rep"`)
			}
		}
		if wide != 2*40 { // two charts
			t.Errorf("%s: %d marks of reps in wide charts, want 80", name, wide)
		}
		for i := range 40 { // on a phone neighbours are one mark, which names all of them
			if n := strings.Count(string(page), fmt.Sprintf("rep %d 4:", i+1)); n < 2 {
				t.Errorf("%s: rep %d is named %d times in narrow charts", name, i+1, n)
			}
		}
	}
}

func BenchmarkPageThreeHours(b *testing.B) {
	res, s := longCheck()
	n := 0
	for b.Loop() {
		var w bytes.Buffer
		if err := report.HTML(&w, Check(res, s, Options{Page: true})); err != nil {
			b.Fatal(err)
		}
		n = w.Len()
	}
	b.ReportMetric(float64(n), "bytes/page")
}

// The part of it that is not laying out.
func BenchmarkReportThreeHours(b *testing.B) {
	res, s := longCheck()
	for b.Loop() {
		Check(res, s, Options{Page: true})
	}
}

// checkNamed is a check in which every word from outside is the name.
func checkNamed(name string) (*match.Result, *segment.Session) {
	res, s := demoResult()
	s.Recording.Name = name
	s.Recording.Sport = recording.Sport(name)
	res.Plan.Name, res.Plan.Note = name, name
	res.Reasons, res.Found = []string{name}, name
	for i := range res.Deviations {
		res.Deviations[i].Message = name
	}
	res.Reps[0].Target = match.Target{Kind: match.UnknownTarget, Name: name}
	res.Warnings = []recording.Warning{{Code: "c", Message: name, StartS: math.NaN(), EndS: math.NaN()}}
	return res, s
}

// outline is the elements of a page as a browser builds them (the parser of
// the HTML standard), and the words that it shows.
func outline(t *testing.T, page []byte) (elements []string, words string) {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for n := range root.Descendants() {
		switch n.Type {
		case html.ElementNode:
			element := n.Data
			for _, a := range n.Attr {
				if strings.HasPrefix(a.Key, "on") || a.Key == "src" {
					t.Errorf("element %s has the attribute %s", n.Data, a.Key)
				}
				element += " " + a.Key
			}
			elements = append(elements, element)
		case html.TextNode:
			if n.Parent.Data != "style" {
				b.WriteString(n.Data + "\n")
			}
		}
	}
	return elements, b.String()
}

// Hostile names are text on pages and in pictures, where they add no element
// and are all there.
func TestHostileNamesOnPages(t *testing.T) {
	res, s := checkNamed("plain")
	want, _ := outline(t, writePage(t, Check(res, s, Options{Page: true})))
	want = kinds(want)
	for _, name := range hostile.Names {
		res, s := checkNamed(name)
		elements, words := outline(t, writePage(t, Check(res, s, Options{Page: true})))
		if got := kinds(elements); !slices.Equal(got, want) {
			t.Errorf("%.40q: elements\n%q, want\n%q", name, got, want)
		}
		if n := strings.Count(words, report.Safe(name)); n < 4 { // title, byline, reason, warning
			t.Errorf("%.40q: stands %d times on the page", name, n)
		}
		if report.Safe(words) != strings.ReplaceAll(words, "\n", `\n`) {
			t.Errorf("%.40q: the page shows what cannot be seen", name)
		}
		c, err := Plot(s, Options{})
		if err != nil {
			t.Fatal(err)
		}
		svg := string(c.File(900))
		for _, tag := range []string{"<script", "<img", "<!--", "</title></style"} {
			if strings.Contains(svg, tag) {
				t.Errorf("%.40q: the picture has it raw", name)
			}
		}
		if _, err := c.PNG(300, 1); err != nil {
			t.Errorf("%.40q: %v", name, err)
		}
	}
}

func forPage(res *match.Result, s *segment.Session) (*match.Result, *segment.Session, Options) {
	return res, s, Options{Page: true}
}

// kinds is each kind of element once, the pieces of texts left out.
func kinds(elements []string) []string {
	elements = slices.DeleteFunc(slices.Clone(elements), func(s string) bool { return strings.HasPrefix(s, "span") })
	slices.Sort(elements)
	return slices.Compact(elements)
}

// The same input gives the same bytes.
func TestPageSameBytes(t *testing.T) {
	page := func() []byte {
		res, s := longCheck()
		return writePage(t, Check(res, s, Options{Page: true}), Split(s, Options{Page: true}))
	}
	if !bytes.Equal(page(), page()) {
		t.Error("two pages of the same differ")
	}
}

// A page of its own needs nothing else: it names no address, and runs nothing.
func TestPageAlone(t *testing.T) {
	res, s := longCheck()
	root, err := html.Parse(bytes.NewReader(writePage(t, Check(res, s, Options{Page: true}))))
	if err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for n := range root.Descendants() {
		if n.Data == "script" || n.Data == "iframe" || n.Data == "image" {
			t.Errorf("element %s", n.Data)
		}
		for _, a := range n.Attr {
			switch a.Key {
			case "id":
				if ids[a.Val] {
					t.Errorf("two elements have the id %s", a.Val)
				}
				ids[a.Val] = true
			case "src", "href", "style", "data":
				if a.Val != "data:," && !strings.HasPrefix(a.Val, "#") {
					t.Errorf("%s of %s is %q", a.Key, n.Data, a.Val)
				}
			}
		}
		if n.Type == html.TextNode && n.Parent.Data == "style" && (strings.Contains(n.Data, "url(") || strings.Contains(n.Data, "@import")) {
			t.Error("the style sheet loads something")
		}
	}
	for n := range root.Descendants() { // links within the page lead somewhere
		for _, a := range n.Attr {
			if to, ok := strings.CutPrefix(a.Val, "#"); ok && a.Key == "href" && !ids[to] {
				t.Errorf("a link leads to %q, which is not there", to)
			}
		}
	}
}

// Every warning and every cell of the tables is on the page.
func TestPageHoldsAll(t *testing.T) {
	for name, r := range map[string]*report.Report{
		"split": Split(demoSession(), Options{Page: true}), "check": Check(forPage(demoResult())),
	} {
		_, words := outline(t, writePage(t, r))
		for _, w := range r.Warnings {
			if strings.Count(words, "["+w.Code+"]") != 1 || !strings.Contains(words, w.Message[1:]) {
				t.Errorf("%s: no warning %q", name, w.Message)
			}
		}
		for _, row := range r.Table.Rows {
			for _, c := range row {
				if !strings.Contains(words, c.Text) {
					t.Errorf("%s: no cell %q", name, c.Text)
				}
			}
		}
		for _, n := range append(slices.Clone(r.Table.Notes), r.Title) {
			if !strings.Contains(words, n) {
				t.Errorf("%s: no note %q", name, n)
			}
		}
		for _, want := range []string{"10:00 warm + 3 x 2:00 @ 4:02/km off 1:00 jog + 5:00 cool", "recovery", "0.24 km"} {
			if !strings.Contains(strings.ReplaceAll(words, "\n \n", " "), want) {
				t.Errorf("%s: no %q in %s", name, want, words)
			}
		}
	}
}

// The ledger adds up to the run.
func TestLedger(t *testing.T) {
	s := demoSession()
	var seconds, metres, time, distance float64
	for _, a := range ledger(s) {
		seconds, metres = seconds+a.seconds, metres+a.metres
		time, distance = time+a.timeShare, distance+a.distanceShare
	}
	// 600 + 3 x 120 + 2 x 60 + 300 s; 1800 + 480 + 504 + 504 + 240 + 900 m
	if seconds != 1380 || math.Abs(metres-4428) > 1e-6 || math.Abs(time-1) > 1e-9 || math.Abs(distance-1) > 1e-9 {
		t.Errorf("%v s, %v m, shares %v and %v", seconds, metres, time, distance)
	}
}

// Whatever the figures are, a page can be written and shows nothing that is no
// figure.
func TestPageAnyFigures(t *testing.T) {
	for seed := range uint64(100) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		res, s := demoResult()
		for i := range res.Reps {
			res.Reps[i].Target.Kind = pick(rnd, match.PaceTarget, match.BandTarget, match.HeartTarget, match.UnknownTarget)
			res.Reps[i].Outcome = pick(rnd, match.Done, match.Missed, match.Extra)
		}
		res.Verdict = pick(rnd, match.AsPlanned, match.Different)
		s.Trace.HeartRate = slices.Clone(s.Trace.Speed)
		for _, x := range []any{res.Reps, res.Progressions, s.Segments, s.Recording.Stops} {
			scramble(rnd, reflect.ValueOf(x))
		}
		res.Progressions[0].Fit = []float64{250, math.NaN(), math.Inf(1)}
		for i := range 200 {
			s.Trace.Speed[i*3] = pick(rnd, 0, 12, 1e-9)
			s.Trace.HeartRate[i*5] = math.NaN()
		}
		page := writePage(t, Split(s, Options{Page: true}), Check(res, s, Options{Miles: seed%2 == 0, Page: true}))
		for _, never := range []string{"NaN", "Inf", "%!"} {
			if i := bytes.Index(page, []byte(never)); i >= 0 {
				t.Fatalf("seed %d: %q in %q", seed, never, page[max(0, i-80):i+20])
			}
		}
		if c, err := Plot(s, Options{}); err == nil && seed%10 == 0 {
			if _, err := c.PNG(400, 1); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
		}
	}
}

// Without pace and heart rate there is a page, but no picture of the run.
func TestPageWithoutTrace(t *testing.T) {
	s := demoSession()
	s.Trace.Speed = nil
	if _, err := Plot(s, Options{Page: true}); err == nil {
		t.Error("a picture of nothing")
	}
	page := writePage(t, Split(s, Options{Page: true}))
	if bytes.Contains(page, []byte("over time")) || !bytes.Contains(page, []byte("The reps")) {
		t.Error("wrong pictures")
	}
	if err := report.HTML(io.Discard, &report.Report{Title: "t", Lead: []string{"l"}, Said: []report.Sentence{{Text: "s"}}}); err != nil {
		t.Error(err)
	}
}
