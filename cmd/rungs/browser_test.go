package main

import (
	"bytes"
	"context"
	_ "embed"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// A pageTest is a page and what must be on it.
type pageTest struct {
	name   string
	args   []string       // of the command that prints it, run in testdata/demo
	status int            // of the command
	says   []string       // words that it shows
	marks  map[string]int // how many marks of a kind its charts have, by CSS class
	shows  []string       // figures that one mark or another shows, when pointed at and when focused
	points []string       // the same of marks that the Tab key passes over
}

// pageTests are all kinds of pages. The counts of reps are those of the plans
// that the simulated runner followed (testdata/demo/*.plan).
var pageTests = []pageTest{
	{
		name: "check",
		args: []string{"check", "--format", "html", "--plan", "tuesday-treadmill.plan", "tuesday-treadmill.fit"},
		says: []string{"As planned", "5 x 4:00 @ 4:25 -> 4:05/km", "Heart rate is a rough guide"},
		// 5 reps over time and 5 beside each other; in running order warm-up, 5 reps
		// with 4 recoveries between them, cool-down
		marks: map[string]int{"rep": 10, "account": 11},
		shows: []string{"rep 4", "target 4:10", "drift +6"},
	},
	{
		name:   "check-sets",
		args:   []string{"check", "--format", "html", "--plan", "thursday-track.plan", "thursday-track.fit"},
		status: exitNo,
		says:   []string{"Departed from the plan", "Rep 8 was short by 16", "odometer-scale"},
		marks:  map[string]int{"rep": 20, "account": 21},
		shows:  []string{"set 2, rep 8", "short"},
	},
	{
		name:  "split",
		args:  []string{"split", "--format", "html", "tuesday-treadmill.fit"},
		says:  []string{"15:00 warm + 5 x 4:00 @ ", "Ledger"},
		marks: map[string]int{"rep": 10, "account": 11},
		shows: []string{"rep 5", "heart rate"},
	},
	{
		name:  "split-easy",
		args:  []string{"split", "--format", "html", "saturday-easy.fit"},
		says:  []string{"7.69 km in 45:04", "Gaps on grey are stops", "timer was stopped"},
		marks: map[string]int{"rep": 0, "stretch": 8}, // 7.69 km
		shows: []string{"km 3", "the last 0.69 km"}, points: []string{"run", "stop"},
	},
	{
		name:  "explain",
		args:  []string{"explain", "--format", "html", "thursday-track.plan"},
		says:  []string{"10 reps of work", "of work in 10 reps", "Step by step", "3:40/km"},
		marks: map[string]int{"rep": 10, "account": 11}, // warm-up, nine recoveries, cool-down
		shows: []string{"rep 4", "400m"},
	},
	{
		name: "block",
		args: []string{"block", "--format", "html", "--no-cache", "--time-zone", "UTC", "--athlete", "../athlete.toml", "--library", "../../workouts/library/shelf", "."},
		says: []string{"71.0 km in 2 weeks", "Zones are a rough guide", "The heart lags", "Week by week", "recorded-twice"},
		// two weeks in three pictures and fourteen days; five hard sessions, and of these
		// the treadmill session twice
		marks: map[string]int{"week": 6, "day": 14, "session": 7},
		shows: []string{"43.9 km", "treadmill 10.0 km", "upper two", "work 20:"},
	},
	{
		name:  "block-plan",
		args:  []string{"block", "--format", "html", "--no-cache", "--time-zone", "UTC", "--athlete", "../athlete.toml", "--plan", "../../cmd/rungs/testdata/two-weeks.txt", "."},
		says:  []string{"planned sessions run", "Planned sessions"},
		marks: map[string]int{"week": 6, "day": 14, "session": 7},
		shows: []string{"planned 18.0 km", "missed", "moved to", "not planned"},
	},
	{
		name:  "history",
		args:  []string{"library", "history", "--format", "html", "--library", "../../workouts/library/shelf", "four-minutes-each-quicker", "."},
		says:  []string{"Level with the time before, 8 Sep 2026", "15:00 warm + 5 x 4:00 @ quicker off 1:30 jog + 10:00 cool", "Heart rate is a rough guide"},
		marks: map[string]int{"run": 2},
		shows: []string{"2026-09-08 · 4:15 /km ±1 within the run", "level with that of 2026-09-08"},
	},
}

// browserNames are the commands that a Chromium goes by.
var browserNames = []string{"chromium", "chromium-browser", "google-chrome", "chrome", "headless-shell"}

// A sharedBrowser is started by the first test that needs it: to start one costs as much as to
// look at a page. Pages of the disk have tabs of their own in it, and each desk its own cookies.
type sharedBrowser struct {
	once  sync.Once
	ctx   context.Context
	err   error
	close func()
}

var theBrowser = sharedBrowser{close: func() {}}

// browser is the browser of all tests. Without one the test fails where everything must be
// tested, and is skipped elsewhere.
func browser(t *testing.T) context.Context {
	t.Helper()
	path := ""
	for _, name := range browserNames {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		message := "no browser: none of " + strings.Join(browserNames, ", ") + " is installed"
		if os.Getenv("CI") == "true" {
			t.Fatal(message)
		}
		t.Skip(message)
	}
	theBrowser.once.Do(func() { theBrowser.start(path) })
	if theBrowser.err != nil {
		t.Fatalf("%s does not start: %v", path, theBrowser.err)
	}
	return theBrowser.ctx
}

// start runs the browser with a new profile.
func (b *sharedBrowser) start(path string) {
	profile, err := os.MkdirTemp("", "rungs-browser-")
	if err != nil {
		b.err = err
		return
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.NoSandbox, chromedp.NoFirstRun, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.WSURLReadTimeout(time.Minute))
	ctx, end := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, endBrowser := chromedp.NewContext(ctx)
	b.ctx, b.err = ctx, chromedp.Do(ctx)
	b.close = func() {
		endBrowser()
		end()
		os.RemoveAll(profile)
	}
}

//go:embed testdata/page.js
var pageScript string

// An opened page and what went on while it was.
type openedPage struct {
	ctx     context.Context
	address string

	mutex   sync.Mutex
	trouble []string // messages of the console, and requests
}

// openTab opens a tab of the browser for the length of the test.
func openTab(t *testing.T) context.Context {
	t.Helper()
	tab, cancel := chromedp.NewContext(browser(t))
	t.Cleanup(cancel)
	if err := chromedp.Do(tab); err != nil {
		t.Fatal(err)
	}
	p := &openedPage{ctx: tab}
	call(t, p, network.Enable, network.EnableParams{})
	call(t, p, log.Enable, cdp.Empty{})
	call(t, p, runtime.Enable, cdp.Empty{})
	return tab
}

// openPage writes a page to the disk under a name and opens it from there in a tab, in place of
// what was in it: to open a tab costs more than to show a page.
func openPage(t *testing.T, tab context.Context, name string, contents []byte) *openedPage {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, contents, 0o666); err != nil {
		t.Fatal(err)
	}
	ctx, forget := context.WithCancel(tab)
	t.Cleanup(forget)
	p := &openedPage{ctx: ctx, address: (&url.URL{Scheme: "file", Path: filepath.ToSlash(file)}).String()}
	err := chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			p.note("console: " + string(e.Type))
		case *runtime.EventExceptionThrown:
			p.note("exception: " + e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			p.note("log: " + e.Entry.Text)
		case *network.EventRequestWillBeSent:
			if e.Request.URL != p.address && !strings.HasPrefix(e.Request.URL, "data:") {
				p.note("request: " + e.Request.URL)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	do(t, p, chromedp.Navigate(p.address))
	return p
}

// note keeps what was amiss; the browser calls it from a goroutine of its own.
func (p *openedPage) note(s string) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.trouble = append(p.trouble, s)
}

// do runs one action, and not for long.
func do[T any](t *testing.T, p *openedPage, a chromedp.Action[T]) T {
	t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, time.Minute)
	defer cancel()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// call sends one command of the protocol.
func call[P, R any](t *testing.T, p *openedPage, c cdp.Command[P, R], params P) R {
	t.Helper()
	return do(t, p, func(ctx context.Context, target *chromedp.Target) (R, error) { return cdp.Call(ctx, target, c, params) })
}

// ask evaluates an expression on the page, with the functions of page.js.
func ask[T any](t *testing.T, p *openedPage, expression string) T {
	t.Helper()
	return do(t, p, chromedp.Evaluate[T]("(()=>{"+pageScript+";return "+expression+"})()"))
}

// look sets the size, the colour scheme and the medium of the page.
func (p *openedPage) look(t *testing.T, width int64, scheme, medium string) {
	t.Helper()
	do(t, p, chromedp.EmulateViewport(width, 900))
	call(t, p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Media: medium, Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
}

// shoot keeps a picture of the page in the folder that RUNGS_PICTURES names.
func (p *openedPage) shoot(t *testing.T, name string) {
	t.Helper()
	if folder := os.Getenv("RUNGS_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name+".png"), do(t, p, chromedp.FullScreenshot(100)), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// TestPagesInBrowser opens every kind of page from the disk in a browser without
// a window and uses it: by mouse, by keyboard, on a phone and on paper. TestPageSet looks
// at the layout, the contrast and the names of the same pages.
func TestPagesInBrowser(t *testing.T) {
	tab := openTab(t)
	t.Chdir(filepath.Join("..", "..", "testdata", "demo"))
	for _, c := range pageTests {
		t.Run(c.name, func(t *testing.T) {
			var out, trouble bytes.Buffer
			if status := run(c.args, strings.NewReader(""), &out, &trouble); status != c.status {
				t.Fatalf("status %d, want %d: %s", status, c.status, trouble.String())
			}
			p := openPage(t, tab, "page.html", out.Bytes())
			p.look(t, 1000, "light", "screen")
			p.shoot(t, c.name+"-light")
			testWords(t, p, c)
			testMarks(t, p, c)
			p.look(t, 1000, "dark", "screen")
			p.shoot(t, c.name+"-dark")
			p.look(t, 620, "light", "screen") // TestPageSet has the others
			testWidth(t, p, 620)
			p.look(t, 360, "light", "screen")
			p.shoot(t, c.name+"-phone")
			if n := ask[int](t, p, "smallText()"); n > 0 {
				t.Errorf("%d texts are smaller than 11 px on a phone", n)
			}
			p.look(t, 390, "light", "screen")
			if top := ask[float64](t, p, "pictureTop()"); top > 844 {
				t.Errorf("at 390 by 844 px the first picture begins at %.0f", top)
			}
			testPaper(t, p, c)
			for _, x := range p.trouble {
				t.Errorf("the page is not quiet: %s", x)
			}
		})
	}
}

func testWords(t *testing.T, p *openedPage, c pageTest) {
	t.Helper()
	text := ask[string](t, p, "(document.querySelectorAll('details').forEach(d => d.open = true), document.body.innerText)")
	for _, want := range c.says {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not show %q", want)
		}
	}
	for kind, want := range c.marks {
		if n := ask[int](t, p, "marks('"+kind+"').length"); n != want {
			t.Errorf("%d marks of kind %q, want %d", n, kind, want)
		}
	}
	if silent := ask[[]string](t, p, "silentCharts()"); len(silent) > 0 {
		t.Errorf("charts without a text alternative: %q", silent)
	}
}

// A seenTip is a mark and the figures shown while it is pointed at or focused.
type seenTip struct {
	Label string // the text alternative of the mark
	Shown []string
}

// testMarks points at every mark and steps through the page with the Tab key.
func testMarks(t *testing.T, p *openedPage, c pageTest) {
	t.Helper()
	type place struct{ X, Y float64 }
	var hovered []string
	for i := range ask[int](t, p, "marks('').length") {
		at := ask[place](t, p, "placeOf("+strconv.Itoa(i)+")")
		do(t, p, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, at.X, at.Y))
		tip := ask[seenTip](t, p, "tipOf("+strconv.Itoa(i)+")")
		checkTip(t, "pointed at", tip)
		hovered = append(hovered, strings.Join(tip.Shown, " "))
	}
	do(t, p, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, 1, 1))
	var focused []string
	stops := ask[int](t, p, "stops()")
	for range stops {
		do(t, p, chromedp.KeyEvent("\t"))
		if i := ask[int](t, p, "focused()"); i >= 0 {
			tip := ask[seenTip](t, p, "tipOf("+strconv.Itoa(i)+")")
			checkTip(t, "focused", tip)
			focused = append(focused, strings.Join(tip.Shown, " "))
		}
	}
	want := 0
	for _, n := range c.marks {
		want += n
	}
	if len(focused) != want {
		t.Errorf("the Tab key reaches %d marks in %d steps, want %d", len(focused), stops, want)
	}
	for _, x := range append(slices.Clone(c.shows), c.points...) {
		has := func(s string) bool { return strings.Contains(s, x) }
		if !slices.ContainsFunc(hovered, has) {
			t.Errorf("no mark shows %q when pointed at", x)
		}
		if slices.Contains(c.shows, x) && !slices.ContainsFunc(focused, has) {
			t.Errorf("no mark shows %q when focused", x)
		}
	}
}

// checkTip holds what is seen to the text alternative: both give the same
// figures, and nothing else is open.
func checkTip(t *testing.T, how string, tip seenTip) {
	t.Helper()
	if len(tip.Shown) != 1 {
		t.Errorf("%q %s: %d readings are open: %q", tip.Label, how, len(tip.Shown), tip.Shown)
		return
	}
	plain := strings.NewReplacer(" · ", " ", ", ", " ", ": ", " ", "\n", " ").Replace
	if plain(tip.Shown[0]) != plain(tip.Label) || tip.Label == "" {
		t.Errorf("%s, %q is shown, but the text alternative is %q", how, tip.Shown[0], tip.Label)
	}
}

// A lowContrast is a text that is hard to read.
type lowContrast struct {
	Text  string
	Ratio float64
}

// testContrast measures every text against its ground by the formula of WCAG 2.2
// (W3C Recommendation, 2023): relative luminance, contrast ratio, and 4.5:1 of
// success criterion 1.4.3.
func testContrast(t *testing.T, p *openedPage, scheme string) {
	t.Helper()
	if ratio := ask[float64](t, p, "contrast([255,255,255],[119,119,119])"); ratio < 4.47 || ratio > 4.49 {
		t.Fatalf("contrast of #777 on white = %v, want 4.48 (from memory: the grey that just fails)", ratio)
	}
	type measured struct {
		Texts int
		Low   []lowContrast
	}
	m := ask[measured](t, p, "contrasts(4.5)")
	if m.Texts < 30 {
		t.Errorf("%s: %d texts measured, which cannot be all", scheme, m.Texts)
	}
	for _, x := range m.Low {
		t.Errorf("%s: contrast of %q is %.2f", scheme, x.Text, x.Ratio)
	}
}

func testWidth(t *testing.T, p *openedPage, width int64) {
	t.Helper()
	if texts := ask[[]string](t, p, "spilt()"); len(texts) > 0 {
		t.Errorf("at %d px texts reach beyond their chart: %q", width, texts)
	}
	if texts := ask[[]string](t, p, "collisions()"); len(texts) > 0 {
		t.Errorf("at %d px texts of charts overlap: %q", width, texts)
	}
	if width < 600 {
		if small := ask[[]string](t, p, "smallTargets(44)"); len(small) > 0 {
			t.Errorf("at %d px too small to be touched: %q", width, small)
		}
		if hidden := ask[[]string](t, p, "coveredPanels()"); len(hidden) > 0 {
			t.Errorf("at %d px readings cover the figure: %q", width, hidden)
		}
	}
	if got := ask[int64](t, p, "document.documentElement.scrollWidth"); got > width {
		t.Errorf("the page is %d px wide on a screen of %d", got, width)
	}
}

// testBarriers looks for what a checker of accessibility looks for.
func testBarriers(t *testing.T, p *openedPage) {
	t.Helper()
	for _, x := range ask[[]string](t, p, "barriers()") {
		t.Errorf("a barrier: %s", x)
	}
}

// leastFilled is the least share of the paper that is printed upon, of three sheets and more:
// pictures and tables are not broken, so that some room is lost before them. A sheet more than
// is needed would be below it. What fits on one sheet takes one.
const (
	leastFilled      = 0.6
	leastFilledOfTwo = 0.5
)

// pageCount is how many pages a PDF has.
var pageCount = regexp.MustCompile(`/Type\s*/Pages[^>]*?/Count (\d+)|/Count (\d+)`)

// sheets is how many pages a PDF has.
func sheets(t *testing.T, pdf []byte) int {
	t.Helper()
	n := 0 // of the tree of pages the root has the most
	for _, m := range pageCount.FindAllSubmatch(pdf, -1) {
		k, _ := strconv.Atoi(string(m[1]) + string(m[2]))
		n = max(n, k)
	}
	if n == 0 {
		t.Fatal("the PDF does not say how many pages it has")
	}
	return n
}

// testSheets holds that no paper is wasted: between the margins of 15 mm a page of A4 takes
// 267 mm.
func testSheets(t *testing.T, p *openedPage, pdf []byte) {
	t.Helper()
	n := sheets(t, pdf)
	high := ask[float64](t, p, "document.documentElement.scrollHeight")
	const sheet = 267 * 96 / 25.4
	least := leastFilled
	if n == 2 {
		least = leastFilledOfTwo
	}
	if filled := high / (float64(n) * sheet); n > 1 && filled < least {
		t.Errorf("%d pages of paper for %.1f", n, high/sheet)
	}
}

// testPaper prints the page on A4, 210 by 297 mm (ISO 216).
func testPaper(t *testing.T, p *openedPage, c pageTest) {
	t.Helper()
	const within = (210 - 2*16) * 960 / 254 // px between the margins of the page
	p.look(t, within, "dark", "print")
	testWidth(t, p, within)
	p.shoot(t, c.name+"-print")
	if wide := ask[[]string](t, p, "cutOff()"); len(wide) > 0 {
		t.Errorf("wider than the paper: %q", wide)
	}
	if ground := ask[string](t, p, "getComputedStyle(document.body).backgroundColor"); ground != "rgb(255, 255, 255)" {
		t.Errorf("the ground on paper is %s", ground)
	}
	yes := true
	pdf := call(t, p, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &yes, PrintBackground: &yes}).Data
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Errorf("printing gives %d bytes that are no PDF", len(pdf))
	}
	if !bytes.Contains(pdf, []byte("/MediaBox [0 0 594.9")) && !bytes.Contains(pdf, []byte("/MediaBox [0 0 595")) {
		t.Error("the paper is not 595 points wide, which is A4")
	}
	testSheets(t, p, pdf)
	if folder := os.Getenv("RUNGS_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, c.name+".pdf"), pdf, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// TestPictureInBrowser opens a picture that stands alone.
func TestPictureInBrowser(t *testing.T) {
	tab := openTab(t)
	file := filepath.Join(t.TempDir(), "run.svg")
	var out bytes.Buffer
	if status := run([]string{"split", "--plot", file, filepath.Join("..", "..", "testdata", "demo", "thursday-track.fit")}, strings.NewReader(""), &out, &out); status != exitFine {
		t.Fatalf("status %d: %s", status, out.String())
	}
	svg, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	p := openPage(t, tab, "run.svg", svg)
	p.look(t, 1000, "light", "screen")
	p.shoot(t, "picture-light")
	testMarks(t, p, pageTest{marks: map[string]int{"rep": 10}, shows: []string{"set 2, rep 6"}, points: []string{"warm-up", "recovery"}})
	p.look(t, 1000, "dark", "screen")
	p.shoot(t, "picture-dark")
	for _, x := range p.trouble {
		t.Errorf("the picture is not quiet: %s", x)
	}
}
