package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// A sitting is a runner in front of the desk, with a pointer and a keyboard.
type sitting struct {
	*testing.T
	*openedPage
	folder string
	base   string // address of the desk
}

// sit opens the desk of a folder in a browser, as the command does, on the evening of 20
// September 2026. The desk is ended by an interrupt when the test is over.
func sit(t *testing.T, folder string) *sitting {
	t.Helper()
	tab, cancel := chromedp.NewContext(browser(t), chromedp.WithNewBrowserContext()) // with no cookies but its own
	t.Cleanup(cancel)
	s := &sitting{T: t, openedPage: &openedPage{ctx: tab}, folder: folder}
	first := startDesk(t, folder)
	s.base, _, _ = strings.Cut(first, "/open/")
	err := chromedp.Listen(tab, func(event any) {
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			s.note("console: " + string(e.Type))
		case *runtime.EventExceptionThrown:
			s.note("exception: " + e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			s.note("log: " + e.Entry.Text + " " + e.Entry.URL)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	call(t, s.openedPage, log.Enable, cdp.Empty{})
	call(t, s.openedPage, runtime.Enable, cdp.Empty{})
	s.look(t, 1280, "light", "screen")
	do(t, s.openedPage, chromedp.Navigate(first))
	s.until("the first page", "location.pathname === '/' && document.querySelector('nav.desk')")
	return s
}

// startDesk runs the command and gives the address that it prints.
func startDesk(t *testing.T, folder string) string {
	t.Helper()
	before := now
	now = func() time.Time { return time.Date(2026, 9, 20, 21, 0, 0, 0, time.UTC) }
	r, w := io.Pipe()
	var trouble bytes.Buffer
	e := newEnv(strings.NewReader(""), w, &trouble)
	ctx, interrupt := context.WithCancel(context.Background())
	e.ctx = ctx
	ended := make(chan int, 1)
	go func() {
		ended <- e.dispatch([]string{"desk", "--no-browser", "--time-zone", "UTC", "--folder", folder})
		w.Close()
	}()
	t.Cleanup(func() {
		interrupt()
		if status := <-ended; status != exitFine {
			t.Errorf("the desk ended with status %d: %s", status, trouble.String())
		}
		now = before
	})
	address, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatalf("%v: %s", err, trouble.String())
	}
	return strings.TrimSpace(address)
}

// until waits for a condition on the page, which may be shown anew meanwhile.
func (s *sitting) until(what, condition string) {
	s.Helper()
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		ok, err := chromedp.Run(s.ctx, chromedp.Evaluate[bool]("document.readyState === 'complete' && !!("+condition+")"))
		if err == nil && ok {
			return
		}
	}
	text, _ := chromedp.Run(s.ctx, chromedp.Evaluate[string]("location.href + '\\n' + document.body.innerText"))
	s.Fatalf("%s does not come: %s\n%s", what, text, strings.Join(s.trouble, "\n"))
}

func (s *sitting) says(text string) {
	s.Helper()
	s.until(fmt.Sprintf("%q", text), fmt.Sprintf("document.body.innerText.includes(%q)", text))
}

func (s *sitting) visit(path string) {
	s.Helper()
	do(s.T, s.openedPage, chromedp.Navigate(s.base+path))
	s.until(path, "document.querySelector('nav.desk')")
}

// click clicks on the middle of an element, by pointer.
func (s *sitting) click(selector string) {
	s.Helper()
	s.until(selector, fmt.Sprintf("document.querySelector(%q)", selector))
	do(s.T, s.openedPage, chromedp.Click(chromedp.CSS(selector)))
}

// write types into a field by keyboard, in place of what is in it.
func (s *sitting) write(selector, text string) {
	s.Helper()
	s.click(selector)
	do(s.T, s.openedPage, chromedp.Evaluate[any](fmt.Sprintf("document.querySelector(%q).select()", selector)))
	do(s.T, s.openedPage, chromedp.KeyEvent(text))
}

// A box is where an element stands in the window, px.
type box struct{ X, Y, W, H float64 }

func (s *sitting) boxOf(selector string) box {
	s.Helper()
	return do(s.T, s.openedPage, chromedp.Evaluate[box](fmt.Sprintf(
		"(() => { const e = document.querySelector(%q); e.scrollIntoView({block: 'center'}); const b = e.getBoundingClientRect(); return {X: b.x, Y: b.y, W: b.width, H: b.height} })()", selector)))
}

// drag takes an element by its middle and moves it sideways, px.
func (s *sitting) drag(selector string, by float64) {
	s.Helper()
	b := s.boxOf(selector)
	x, y := b.X+b.W/2, b.Y+b.H/2
	mouse := func(kind input.DispatchMouseEventType, x float64) {
		do(s.T, s.openedPage, chromedp.MouseEvent(kind, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	}
	mouse(input.DispatchMouseEventTypeMouseMoved, x)
	mouse(input.DispatchMouseEventTypeMousePressed, x)
	for k := 1.0; k <= 4; k++ {
		mouse(input.DispatchMouseEventTypeMouseMoved, x+by*k/4)
	}
	mouse(input.DispatchMouseEventTypeMouseReleased, x+by)
}

// drop drops files onto the middle of the page, as from another window.
func (s *sitting) drop(files ...string) {
	s.Helper()
	data := &input.DragData{Items: []*input.DragDataItem{}, Files: files, DragOperationsMask: 1}
	for _, kind := range []input.DispatchDragEventType{input.DispatchDragEventTypeDragEnter, input.DispatchDragEventTypeDragOver, input.DispatchDragEventTypeDrop} {
		call(s.T, s.openedPage, input.DispatchDragEvent, input.DispatchDragEventParams{Type: kind, X: 600, Y: 400, Data: data})
	}
}

func (s *sitting) log() string {
	s.Helper()
	raw, err := os.ReadFile(filepath.Join(s.folder, "training-log.txt"))
	if err != nil && !os.IsNotExist(err) {
		s.Fatal(err)
	}
	return string(raw)
}

// logHolds waits until a line of the log has a text, for what was saved is on the disk before
// the page says so.
func (s *sitting) logHolds(text string) {
	s.Helper()
	if !strings.Contains(s.log(), text) {
		s.Fatalf("the log has no %q:\n%s", text, s.log())
	}
}

// command runs another command in the folder and holds what it says.
func (s *sitting) command(want string, args ...string) {
	s.Helper()
	var out, trouble bytes.Buffer
	run(args, strings.NewReader(""), &out, &trouble)
	if !strings.Contains(out.String(), want) {
		s.Errorf("rungs %s does not say %q:\n%s%s", strings.Join(args, " "), want, out.String(), trouble.String())
	}
}

// sound looks at a page as it is, in both schemes and by width, for what a checker looks for.
func (s *sitting) sound(name string) {
	s.Helper()
	for _, scheme := range []string{"light", "dark"} {
		s.look(s.T, 1280, scheme, "screen")
		s.shoot(s.T, "desk-"+name+"-"+scheme)
		type measured struct {
			Texts int
			Low   []lowContrast
		}
		for _, x := range ask[measured](s.T, s.openedPage, "contrasts(4.5)").Low {
			s.Errorf("%s, %s: contrast of %q is %.2f", name, scheme, x.Text, x.Ratio)
		}
		testBarriers(s.T, s.openedPage)
	}
	s.look(s.T, 390, "light", "screen")
	s.shoot(s.T, "desk-"+name+"-phone")
	testWidth(s.T, s.openedPage, 390)
	testBarriers(s.T, s.openedPage)
	s.look(s.T, 1280, "light", "screen")
}

// doubtful is the path of a recording that may be read in several ways: the first such of sessions that a phone recorded.
func doubtful(t *testing.T) string {
	t.Helper()
	d, _ := simulate.DeviceNamed("phone, distance only")
	for seed := uint64(1); seed < 500; seed++ {
		s := simulate.Grammar(seed)
		s.Start = time.Date(2026, 9, 17, 17, 4, 0, 0, time.UTC)
		if s.Place == recording.Treadmill {
			continue
		}
		r, _ := simulate.Run(s, d, seed)
		x, err := segment.Split(r)
		if err != nil {
			continue
		}
		if list := x.Readings(); len(list) > 1 && list[1].Probability > 0.1 {
			return pageFolder{t, t.TempDir()}.record("doubtful.fit", r)
		}
	}
	t.Fatal("no session is in doubt")
	return ""
}

// lived prepares a folder for a week, and the recordings that are to come: four of the demo, one that is in doubt and
// a broken one.
func lived(t *testing.T) (folder string, coming []string) {
	t.Helper()
	folder = t.TempDir()
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	for _, name := range []string{"RUNGS_ATHLETE", "RUNGS_LIBRARY", "COLUMNS"} {
		t.Setenv(name, "")
	}
	demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []string{"tuesday-treadmill.fit", "thursday-track.fit", "saturday-easy.fit", "sunday-long.fit"} {
		coming = append(coming, filepath.Join(demo, n))
	}
	coming = append(coming, doubtful(t))
	raw, err := os.ReadFile(filepath.Join(demo, "next-tuesday-treadmill.fit"))
	if err != nil {
		t.Fatal(err)
	}
	broken := filepath.Join(t.TempDir(), "broken.fit")
	if err := os.WriteFile(broken, raw[:100], 0o666); err != nil { // it breaks off before the first record
		t.Fatal(err)
	}
	plan, err := os.ReadFile(filepath.Join("testdata", "two-weeks.txt"))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"training-log.txt": "# autumn\n", "training-plan.txt": string(plan)} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(folder)
	return folder, append(coming, broken)
}

const (
	treadmillPage = "/session/2026-09-08-180400"
	longPage      = "/session/2026-09-13-080400"
	doubtfulPage  = "/session/2026-09-17-170400" // which may be read in several ways
)

// A week at the desk, by pointer and keyboard. Each step is held against the files and the commands.
func TestWeekAtTheDesk(t *testing.T) {
	folder, coming := lived(t)
	s := sit(t, folder)

	s.drop(coming...)
	s.until("the sessions", "document.querySelectorAll('a[href^=\"/session/\"]').length >= 5")
	s.says("broken.fit is kept")
	s.says("One recording could not be read")
	for _, path := range coming {
		want, _ := os.ReadFile(path)
		if got, err := os.ReadFile(filepath.Join(folder, filepath.Base(path))); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what was dropped: %v", filepath.Base(path), err)
		}
	}
	s.command("5 sessions", "log", "--today", "2026-09-20", "--time-zone", "UTC")
	s.sound("weeks")
	s.visit("/new")
	s.says("broken.fit")
	s.sound("new")
	s.visit("/nowhere")
	s.sound("refusal")
	s.trouble = nil // the browser tells of the status

	// An edge is dragged to the left: the rep begins earlier, and the figures follow at once.
	s.visit("/")
	s.click("a[href='" + treadmillPage + "']")
	s.until("the picture", "document.querySelector('.whole [data-edge=\"1from\"]')")
	const from = "document.querySelectorAll('#parts tbody tr')[3].children[[...document.querySelectorAll('#parts thead tr > *')].findIndex(h => h.textContent === 'from')].textContent"
	before := ask[string](t, s.openedPage, from)
	s.drag(".whole [data-edge='1from']", -12)
	s.until("other figures", fmt.Sprintf("%s !== %q && seconds(%[1]s) === Math.round(edges.reps[1].from)", from, before)) // those of where it was let go
	dragged := ask[string](t, s.openedPage, from)
	s.sound("session")
	// Then by the arrow keys, a second each.
	do(t, s.openedPage, chromedp.Evaluate[any]("document.querySelector('.whole [data-edge=\"1from\"]').focus()"))
	for range 3 {
		do(t, s.openedPage, chromedp.KeyEvent(kb.ArrowRight))
	}
	s.until("three seconds later", fmt.Sprintf("seconds(%s) === seconds(%q) + 3", from, dragged))
	moved := ask[string](t, s.openedPage, from)
	s.click("#reps button.main")
	s.says("The reps of Tuesday 8 September 2026 are saved.")
	s.logHolds("2026-09-08 reps ")
	s.logHolds(" " + moved + "-")
	s.command(moved, "split", "--time-zone", "UTC", "tuesday-treadmill.fit")
	s.command("\"start_s\":"+fmt.Sprintf("%.1f", clockSeconds(moved)), "check", "--format", "json", "--plan", "10:00 warm + 5 x 4:00 off 90s jog + 10:00 cool", "tuesday-treadmill.fit")

	// Another reading.
	s.visit(doubtfulPage)
	s.click("#readings label:nth-of-type(2) input")
	s.click("#readings button")
	s.says("is read as: ")
	s.logHolds("2026-09-17 ")
	kept := s.log()
	s.visit(longPage)

	// A mistake is told while it is typed; a note is saved, and undone.
	s.write("#was", "3 x 3km of")
	s.until("the caret", "document.querySelector('#was-look .caret')")
	s.visit(longPage)
	s.write("#note", "lights at the bridge")
	s.click("#said button.main")
	s.says("What you say of Sunday 13 September 2026 is saved.")
	s.logHolds("note lights at the bridge")
	s.command("lights at the bridge", "log", "--today", "2026-09-20", "--time-zone", "UTC", "--format", "json")
	s.click("form[action='/undo'] button")
	s.says("It is undone.")
	if s.log() != kept {
		t.Errorf("undone, the log is\n%swant\n%s", s.log(), kept)
	}
	for _, x := range s.trouble {
		t.Errorf("the page is not quiet: %s", x)
	}
}

// clockSeconds reads 20:23 as seconds.
func clockSeconds(text string) float64 {
	var m, s float64
	fmt.Sscanf(text, "%f:%f", &m, &s)
	return 60*m + s
}

// The same without a script, all but dragging.
func TestWeekAtTheDeskWithoutScript(t *testing.T) {
	folder, coming := lived(t)
	s := sit(t, folder)
	call(t, s.openedPage, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})

	s.visit("/new")
	do(t, s.openedPage, chromedp.SetUploadFiles(chromedp.CSS("#files"), coming))
	s.click(".choose button")
	s.says("broken.fit is kept")
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); {
		s.visit("/")
		if ask[int](t, s.openedPage, "document.querySelectorAll('a[href^=\"/session/\"]').length") >= 5 {
			break
		}
	}
	s.click("a[href='" + treadmillPage + "']")
	s.says("Where the reps were")
	s.click("#reps summary")
	s.write("#reps li:nth-child(2) input[name=from]", "20:11")
	s.click("#reps button.main")
	s.says("The reps of Tuesday 8 September 2026 are saved.")
	s.logHolds(" 20:11-")
	s.sound("session-plain")
	s.command("20:11", "split", "--time-zone", "UTC", "tuesday-treadmill.fit")

	s.visit(doubtfulPage)
	s.click("#readings label:nth-of-type(2) input")
	s.click("#readings button")
	s.says("is read as: ")
	kept := s.log()
	s.visit(longPage)
	s.write("#was", "3 x 3km of")
	s.click("#said button.main")
	s.says("did you mean \"off\"?")
	s.visit(longPage)
	s.write("#note", "lights at the bridge")
	s.click("#said button.main")
	s.says("What you say of Sunday 13 September 2026 is saved.")
	s.logHolds("note lights at the bridge")
	s.click("form[action='/undo'] button")
	s.says("It is undone.")
	if s.log() != kept {
		t.Errorf("undone, the log is\n%swant\n%s", s.log(), kept)
	}
}

// An attacker's page in the same browser, on another port of the same address, which is as near
// as a page can come: it sends forms with all that a good one has, and asks for pages, scripts and
// frames. It changes nothing and sees nothing.
func TestAttackerInTheSameBrowser(t *testing.T) {
	folder, coming := lived(t)
	raw, err := os.ReadFile(coming[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "run.fit"), raw, 0o666); err != nil {
		t.Fatal(err)
	}
	s := sit(t, folder)
	s.until("the session", "document.querySelector('a[href^=\"/session/\"]')")
	s.visit(treadmillPage)
	seen := ask[string](t, s.openedPage, "document.querySelector('#said [name=seen]').value")
	ip, _, _ := strings.Cut(strings.TrimPrefix(s.base, "http://"), ":")
	l, err := net.Listen("tcp", ip+":0")
	if err != nil {
		t.Fatal(err)
	}
	evil := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprintf(w, `<!DOCTYPE html><title>evil</title><iframe name="f"></iframe><iframe id="page" src="%[1]s/"></iframe>
<form method="post" target="f" action="%[1]s%[2]s/say"><input name="seen" value="%[3]s"><input name="note" value="evil"></form>
<script>
var got = []
document.forms[0].submit()
const say = new URLSearchParams({seen: "%[3]s", note: "evil"})
const files = new FormData()
files.append("files", new File(["time,distance_m"], "evil.csv"))
const all = [
  fetch("%[1]s%[2]s/say", {method: "POST", mode: "no-cors", credentials: "include", body: say}),
  fetch("%[1]s/new", {method: "POST", mode: "no-cors", credentials: "include", body: files}),
  fetch("%[1]s/undo", {method: "POST", mode: "no-cors", credentials: "include", body: "save=1"}),
  fetch("%[1]s/news", {credentials: "include"}).then(r => r.text()).then(x => got.push("news: " + x)),
  fetch("%[1]s%[2]s", {credentials: "include"}).then(r => r.text()).then(x => got.push("page: " + x)),
  new Promise(done => {
    const x = document.createElement("script")
    x.onload = () => { got.push("script"); done() }
    x.onerror = done
    x.src = "%[1]s/edges.js"
    document.head.append(x)
  }),
]
Promise.allSettled(all).then(() => setTimeout(() => { try { if (document.getElementById("page").contentDocument.body.innerText) got.push("frame") } catch {} ; document.title = "done" }, 500))
</script>`, s.base, treadmillPage, seen)
	})}
	go evil.Serve(l)
	t.Cleanup(func() { evil.Close() })
	do(t, s.openedPage, chromedp.Navigate("http://"+l.Addr().String()+"/"))
	s.until("the attack to be over", "document.title === 'done'")
	if got := do(t, s.openedPage, chromedp.Evaluate[[]string]("got")); len(got) > 0 {
		t.Errorf("the attacker got %q", got)
	}
	if s.log() != "# autumn\n" {
		t.Errorf("the log is\n%s", s.log())
	}
	if _, err := os.Stat(filepath.Join(folder, "evil.csv")); err == nil {
		t.Error("a file was dropped by the attacker")
	}
	s.visit(treadmillPage) // the runner's own window goes on, when the address is typed
	s.write("#note", "mine")
	s.click("#said button.main")
	s.says("is saved.")
	s.logHolds("note mine")
}
