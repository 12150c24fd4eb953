package desk

import (
	"context"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.org/rungs/workouts/block/planfile"
	"example.org/rungs/workouts/folder"
)

// A screen is a browser in front of a desk.
type screen struct {
	*window
	ctx  context.Context
	base string

	mutex   sync.Mutex
	trouble []string // what the browser complains of
}

// browse opens the desk of a window in a browser; without a browser the test is skipped, but
// not under CI.
func browse(w *window) *screen {
	w.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if found, err := exec.LookPath(name); err == nil && path == "" {
			path = found
		}
	}
	if path == "" {
		if os.Getenv("CI") == "true" {
			w.Fatal("no browser is installed")
		}
		w.Skip("no browser is installed")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		w.Fatal(err)
	}
	serving, stop := context.WithCancel(context.Background())
	address := make(chan string, 1)
	ended := make(chan error, 1)
	w.desk.ground.ready = make(chan struct{}) // the desk of a test was read once already
	w.desk.ground.now = nil
	go func() { ended <- w.desk.Serve(serving, l, func(a string) { address <- a }) }()
	w.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			w.Error(err)
		}
	})
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(path), chromedp.UserDataDir(w.TempDir()), chromedp.NoSandbox, chromedp.NoFirstRun, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.WSURLReadTimeout(time.Minute))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	w.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	w.Cleanup(cancel)
	s := &screen{window: w, ctx: ctx}
	err = chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			s.note("exception: " + e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			if !strings.Contains(e.Entry.Text, "status of 4") { // which the test asked for
				s.note("log: " + e.Entry.Text)
			}
		}
	})
	if err != nil {
		w.Fatal(err)
	}
	command(s, log.Enable, cdp.Empty{})
	command(s, runtime.Enable, cdp.Empty{})
	first := <-address
	s.base, _, _ = strings.Cut(first, firstPath)
	act(s, chromedp.Navigate(first))
	act(s, chromedp.WaitVisible("nav.desk"))
	return s
}

func (s *screen) note(what string) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.trouble = append(s.trouble, what)
}

// act does something in the browser, and not for long.
func act[T any](s *screen, a chromedp.Action[T]) T {
	s.Helper()
	ctx, cancel := context.WithTimeout(s.ctx, 20*time.Second)
	defer cancel()
	v, err := chromedp.Run(ctx, a)
	if err != nil {
		s.Fatal(err)
	}
	return v
}

// command sends one command of the protocol.
func command[P, R any](s *screen, c cdp.Command[P, R], params P) R {
	s.Helper()
	return act(s, chromedp.Action[R](func(ctx context.Context, target *chromedp.Target) (R, error) { return cdp.Call(ctx, target, c, params) }))
}

func (s *screen) visit(path string)     { s.Helper(); act(s, chromedp.Navigate(s.base+path)) }
func (s *screen) wait(selector string)  { s.Helper(); act(s, chromedp.WaitVisible(selector)) }
func (s *screen) click(selector string) { s.Helper(); act(s, chromedp.Click(selector)) }
func (s *screen) keys(keys string)      { s.Helper(); act(s, chromedp.KeyEvent(keys)) }
func (s *screen) words(selector string) string {
	s.Helper()
	return act(s, chromedp.Text(selector))
}

// fill writes a field over, as pasting does.
func (s *screen) fill(selector, value string) {
	s.Helper()
	act(s, chromedp.Evaluate[bool]("(e => { e.value = "+strconv.Quote(value)+"; e.dispatchEvent(new Event('input', {bubbles: true})); return true })(document.querySelector("+strconv.Quote(selector)+"))"))
}

// at waits for a page whose address holds some words.
func (s *screen) at(words string) {
	s.Helper()
	s.until("the page of "+words, func() bool { return strings.Contains(act(s, chromedp.Location()), words) })
}

// until waits for something that the desk writes.
func (s *screen) until(what string, is func() bool) {
	s.Helper()
	for end := time.Now().Add(10 * time.Second); !is(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			s.Fatalf("%s: not so, at %s: %s", what, act(s, chromedp.Location()), s.words("main"))
		}
	}
}

// The plan of the tests, and what was run: five reps of four minutes.
const longReps = "15:00 warm + 5 x 4:00 off 1:30 jog + 10:00 cool"

// A runner writes and mends a plan, holds it against a session, keeps it and plans the
// next week, by pointer and keyboard; then once more without a script.
func TestRunnerPlansInBrowser(t *testing.T) {
	w := open(t, demoWeeks(t, 2, nil))
	withLibrary(w, map[string]string{"hills": "15:00 warm + 10 x 45s off 90s walk + 10:00 cool"})
	s := browse(w)
	act(s, chromedp.EmulateViewport(390, 844))

	// A plan with a mistake, mended where the page points to.
	s.click(`nav.desk a[href="/plan"]`)
	s.click("#text")
	s.keys(strings.Replace(longReps, "off", "of", 1))
	s.until("the mistake is told", func() bool {
		return act(s, chromedp.Evaluate[string](`[...document.querySelectorAll("#told pre")].map(x => x.textContent).join("|")`)) ==
			"15:00 warm + 5 x 4:00 of 1:30 jog + 10:00 cool\n                      ^^\n"
	})
	s.click("#told li button")
	s.keys("off")
	s.wait("#now-narrow")
	if got := s.words("#told .lead"); !strings.HasPrefix(got, "5 reps of work: 20:00") {
		t.Errorf("it says %q", got)
	}
	if hidden := act(s, chromedp.Evaluate[bool](`document.getElementById("look").hidden`)); !hidden {
		t.Error("there is a button for what is done at every key")
	}

	// Held against a session.
	s.click(`button[value="check"]`)
	s.wait("#checked article")
	if text := act(s, chromedp.Evaluate[string](`document.getElementById("text").value`)); text != longReps {
		t.Errorf("the plan is now %q", text)
	}

	// Kept, and undone, and kept again, by the keyboard alone.
	keep := func(name string) {
		t.Helper()
		act(s, chromedp.Focus(`input[name="name"]`))
		s.keys(name + kb.Tab + kb.Enter)
		s.until(name+" is kept", func() bool { return w.kept(name) == strings.ReplaceAll(longReps, " + ", "\n")+"\n" })
		s.wait(`form.notice button`)
	}
	keep("long-reps")
	s.click("form.notice button")
	s.until("undone", func() bool { return w.kept("long-reps") == "" })
	s.at("undone=")
	s.visit("/plan?starter=tempo-twenty")
	s.fill("#text", longReps)
	s.fill(`input[name="name"]`, "")
	keep("long-reps")

	// A block is begun, and the next week planned: one session by the keyboard, one dragged.
	s.visit("/block")
	s.fill("#starts", "2026-09-14")
	act(s, chromedp.Focus("#name"))
	s.keys("Autumn" + kb.Enter)
	s.until("begun", func() bool { return strings.Contains(w.file(folder.Plan), "name: Autumn\nstarts: 2026-09-14") })
	s.wait(`li[data-day="2026-09-22"]`)
	act(s, chromedp.Focus(`li[data-day="2026-09-22"] details:last-child summary`))
	s.keys(kb.Enter + kb.Tab + "long-reps" + kb.Enter)
	planned := func(what string, lines string) {
		t.Helper()
		s.until(what, func() bool { return strings.Contains(w.file(folder.Plan), lines) })
		if _, err := planfile.Read(folder.Plan, w.file(folder.Plan)); err != nil {
			t.Error(err)
		}
	}
	planned("put by the keyboard", "week 2\n  tue: long-reps\n")
	s.drag(`#tray li[data-workout="hills"]`, `li[data-day="2026-09-24"]`)
	planned("a workout is dragged", "week 2\n  tue: long-reps\n  thu: hills\n")
	s.drag(`.session[data-day="2026-09-24"]`, `li[data-day="2026-09-25"]`)
	planned("a session is dragged", "week 2\n  tue: long-reps\n  fri: hills\n")
	s.wait("form.notice button")
	s.click("form.notice button")
	planned("undone", "week 2\n  tue: long-reps\n  thu: hills\n")
	s.at("undone=")

	s.withoutScript()
	if len(s.trouble) > 0 {
		t.Errorf("the browser complains: %q", s.trouble)
	}
}

// drag drops one thing on another. The events are made by a script, since the browser hands
// real ones to the window system.
func (s *screen) drag(what, onto string) {
	s.Helper()
	s.wait(onto)
	act(s, chromedp.Evaluate[bool](`(() => {
		const data = new DataTransfer(), tell = (selector, type) => document.querySelector(selector).dispatchEvent(new DragEvent(type, {bubbles: true, cancelable: true, dataTransfer: data}))
		tell(`+strconv.Quote(what)+`, "dragstart")
		tell(`+strconv.Quote(onto)+`, "dragover")
		tell(`+strconv.Quote(onto)+`, "drop")
		return true
	})()`))
}

// withoutScript does the same once more by forms alone.
func (s *screen) withoutScript() {
	s.Helper()
	command(s, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	s.visit("/plan?text=5+x+4:00+of+1:30+jog")
	s.wait("#told pre.caret")
	s.click("#text")
	s.keys(kb.Backspace + kb.Backspace + kb.Backspace + "jog + 5 x 1km")
	s.click(`button[value="look"]`)
	s.wait("#told pre.caret")
	s.visit("/plan?text=5+x+4:00+off+1:30+jog")
	s.wait("#now-narrow")
	s.click(`button[value="check"]`)
	s.wait("#checked article")
	s.click(`input[name="name"]`)
	s.keys("plain")
	s.click(`button[formaction="/plan/keep"]`)
	s.until("kept without a script", func() bool { return s.kept("plain") == "5 x 4:00 off 1:30 jog\n" })
	s.at("/library/plain")
	s.visit("/block/2")
	s.click(`li[data-day="2026-09-27"] details:last-child summary`)
	s.wait(`li[data-day="2026-09-27"] input[name="workout"]`)
	s.click(`li[data-day="2026-09-27"] input[name="workout"]`)
	s.keys("1:30:00 easy")
	s.click(`li[data-day="2026-09-27"] form[action="/block/put"] button`)
	s.until("planned without a script", func() bool { return strings.Contains(s.file(folder.Plan), "  sun: 1:30:00 easy\n") })
	s.wait(`.session[data-day="2026-09-27"] summary`)
	s.click(`.session[data-day="2026-09-27"] summary`)
	s.wait(`.session[data-day="2026-09-27"] form[action="/block/take"] button`)
	s.click(`.session[data-day="2026-09-27"] form[action="/block/take"] button`)
	s.until("taken off without a script", func() bool { return !strings.Contains(s.file(folder.Plan), "1:30:00 easy") })
	s.wait("form.notice button")
	s.click("form.notice button")
	s.until("undone without a script", func() bool { return strings.Contains(s.file(folder.Plan), "  sun: 1:30:00 easy\n") })
	command(s, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: false})
}

// accessibilityChecker is the program of axe-core: the file that RUNGS_AXE names, else
// axe.min.js in the folder rungs-tests of the user's cache. Without it the test fails under CI.
func accessibilityChecker(t *testing.T) string {
	t.Helper()
	path := os.Getenv("RUNGS_AXE")
	if cache, err := os.UserCacheDir(); path == "" && err == nil {
		path = filepath.Join(cache, "rungs-tests", "axe.min.js")
	}
	raw, err := os.ReadFile(path)
	if err != nil && (os.Getenv("CI") == "true" || os.Getenv("RUNGS_AXE") != "") {
		t.Fatalf("the checker of accessibility is not here: %v", err)
	}
	return string(raw)
}

// The pages of plans fit a phone and a desk in both schemes, and the Tab key reaches all that
// can be pressed or filled in.
func TestPagesOfPlansInBrowser(t *testing.T) {
	w := open(t, demoWeeks(t, 2, map[string]string{folder.Plan: autumn}))
	withLibrary(w, map[string]string{"hills": "15:00 warm + 10 x 45s off 90s walk + 10:00 cool", "long-reps": longReps})
	s := browse(w)
	checker := accessibilityChecker(t)
	const wide = `[...document.querySelectorAll("main *")].filter(e => { const r = e.getBoundingClientRect()
		return r.width > 0 && (r.right > innerWidth + 1 || r.left < -1) && !e.closest(".scroll, svg, .unseen") }).map(e => e.outerHTML.slice(0, 80)).concat(
		document.documentElement.scrollWidth > innerWidth ? ["the page scrolls sideways"] : [])`
	const small = `[...document.querySelectorAll("main button, main summary, main select, main input:not([type=hidden]), main .button")].filter(e => { const r = e.getBoundingClientRect()
		return r.width > 0 && r.height < 43 }).map(e => e.outerHTML.slice(0, 80))`
	const audit = `axe.run().then(r => r.passes.length < 10 ? ["hardly anything was audited"] : r.violations.map(v => v.id + ": " + v.help + ": " +
		v.nodes.slice(0, 3).map(n => n.target.join(" ") + " " + n.failureSummary).join("; ")))`
	const reached = `(() => { const e = document.activeElement; if (!e || e === document.body) return "end"; e.dataset.reached = "yes"; return "" })()`
	const missed = `[...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(e =>
		e.checkVisibility({checkVisibilityCSS: true}) && !e.dataset.reached).map(e => e.outerHTML.slice(0, 80))`
	for name, path := range map[string]string{"plan": "/plan", "written": "/plan?text=5+x+4:00+off+1:30+jog", "wrong": "/plan?text=5+x+4:00+of", "library": "/library",
		"starters": "/library-starters", "workout": "/library/long-reps", "block": "/block", "sheet": "/plan/sheet?text=5+x+4:00+off+1:30+jog"} {
		for _, look := range []struct {
			width   int64
			scheme  string
			audited bool
		}{{320, "light", false}, {390, "light", false}, {390, "dark", true}, {1280, "light", true}} {
			act(s, chromedp.EmulateViewport(look.width, 844))
			command(s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: look.scheme}}})
			s.visit(path)
			act(s, chromedp.Evaluate[bool](`document.querySelectorAll("main details").forEach(d => { d.open = true }) || true`))
			found := append(act(s, chromedp.Evaluate[[]string](wide)), act(s, chromedp.Evaluate[[]string](small))...)
			if checker != "" && look.audited {
				act(s, chromedp.Evaluate[bool](checker+";true"))
				found = append(found, act(s, chromedp.Evaluate[[]string](audit, chromedp.EvalAwaitPromise))...)
			}
			if len(found) > 0 {
				t.Errorf("%s, %d px, %s: %q", name, look.width, look.scheme, found)
			}
			if folder := os.Getenv("RUNGS_PICTURES"); folder != "" {
				picture := act(s, chromedp.FullScreenshot(100))
				if err := os.WriteFile(filepath.Join(folder, "desk-"+name+"-"+look.scheme+"-"+strconv.FormatInt(look.width, 10)+".png"), picture, 0o666); err != nil {
					t.Fatal(err)
				}
			}
		}
		for range 400 {
			s.keys(kb.Tab)
			if act(s, chromedp.Evaluate[string](reached)) == "end" {
				break
			}
		}
		if found := act(s, chromedp.Evaluate[[]string](missed)); len(found) > 0 {
			t.Errorf("%s: the Tab key does not reach %q", name, found)
		}
	}
	if len(s.trouble) > 0 {
		t.Errorf("the browser complains: %q", s.trouble)
	}
}
