package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// planned prepares a folder with the recordings of two weeks, a planned block and a library.
func planned(t *testing.T) string {
	t.Helper()
	folder, recordings := lived(t)
	for _, path := range recordings[:len(recordings)-1] { // the last one is broken
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, filepath.Base(path)), raw, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	library := filepath.Join(os.Getenv("XDG_DATA_HOME"), "rungs", "library")
	if err := os.MkdirAll(library, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(library, "hills.plan"), []byte("15:00 warm\n10 x 45s off 1:30 walk\n10:00 cool\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	return folder
}

// kept is a workout of the library as its file has it; empty when there is none.
func (s *sitting) kept(name string) string {
	raw, _ := os.ReadFile(filepath.Join(os.Getenv("XDG_DATA_HOME"), "rungs", "library", name+".plan"))
	return string(raw)
}

// blockHolds waits until the planned block has some lines.
func (s *sitting) blockHolds(lines string) {
	s.Helper()
	text := ""
	for end := time.Now().Add(20 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		raw, _ := os.ReadFile(filepath.Join(s.folder, "training-plan.txt"))
		if text = string(raw); strings.Contains(text, lines) {
			return
		}
	}
	s.Fatalf("the planned block has no %q:\n%s", lines, text)
}

func (s *sitting) keys(keys string) { s.Helper(); do(s.T, s.openedPage, chromedp.KeyEvent(keys)) }

func (s *sitting) focus(selector string) {
	s.Helper()
	s.until(selector, fmt.Sprintf("document.querySelector(%q)", selector))
	do(s.T, s.openedPage, chromedp.Evaluate[any](fmt.Sprintf("document.querySelector(%q).focus()", selector)))
}

// dragOnto drops one thing on another. The events are made by a script, for the browser hands
// real ones to the window system.
func (s *sitting) dragOnto(what, onto string) {
	s.Helper()
	s.until(onto, fmt.Sprintf("document.querySelector(%q)", onto))
	do(s.T, s.openedPage, chromedp.Evaluate[bool](`(() => {
		const data = new DataTransfer()
		for (const [on, type] of [[`+strconv.Quote(what)+`, "dragstart"], [`+strconv.Quote(onto)+`, "dragover"], [`+strconv.Quote(onto)+`, "drop"]])
			document.querySelector(on).dispatchEvent(new DragEvent(type, {bubbles: true, cancelable: true, dataTransfer: data}))
		return true
	})()`))
}

// tuesdayReps is what was run on the Tuesday of the demo.
const tuesdayReps = "15:00 warm + 5 x 4:00 off 1:30 jog + 10:00 cool"

// A runner writes and mends a plan, holds it against a session, keeps it and plans the next
// week, by pointer and keyboard, on a window as wide as a phone. Each step is held against
// the files and the commands.
func TestPlansAtTheDesk(t *testing.T) {
	s := sit(t, planned(t))
	s.look(t, 390, "light", "screen")

	// A plan with a mistake, mended where the page points to.
	s.click(`nav.desk a[href="/plan"]`)
	s.click("#text")
	s.keys(strings.Replace(tuesdayReps, "off", "of", 1))
	s.until("the caret", `[...document.querySelectorAll("#told pre")].map(x => x.textContent).join() === "15:00 warm + 5 x 4:00 of 1:30 jog + 10:00 cool\n                      ^^\n"`)
	s.says("1 mistake")
	s.click("#told li button")
	s.keys("off")
	s.until("the picture", `document.querySelector("#now-narrow")`)
	s.says("5 reps of work: 20:00")
	if !ask[bool](t, s.openedPage, `document.getElementById("look").hidden`) {
		t.Error("there is a button for what is done at every key")
	}

	// Held against the Tuesday.
	do(t, s.openedPage, chromedp.Evaluate[any](`document.querySelector("select[name=session]").value = "2026-09-08-180400"`))
	s.click(`button[value="check"]`)
	s.until("the check", `document.querySelector("#checked article") && document.getElementById("text").value === `+strconv.Quote(tuesdayReps))
	s.says("Tue 8 Sep 2026")
	s.says("5 of 5")

	// Kept by the keyboard alone, undone, and kept again.
	file := strings.ReplaceAll(tuesdayReps, " + ", "\n") + "\n"
	keep := func() {
		t.Helper()
		s.focus(`input[name="name"]`)
		s.keys("long-reps" + kb.Tab + kb.Enter)
		s.says("long-reps is kept in the library.")
		if s.kept("long-reps") != file {
			t.Errorf("kept is %q", s.kept("long-reps"))
		}
	}
	keep()
	s.click("form[action='/undo'] button")
	s.says("It is undone.")
	if s.kept("long-reps") != "" {
		t.Error("it is still in the library")
	}
	s.visit("/plan")
	s.write("#text", tuesdayReps)
	keep()
	s.says("Every time it was run")
	s.command(tuesdayReps, "library", "list")

	// The next week: one session by the keyboard, one dragged there and on to another day.
	s.visit("/block")
	s.focus(`li[data-day="2026-09-22"] > .sessions > details summary`)
	s.keys(kb.Enter + kb.Tab + "long-reps" + kb.Enter)
	s.says("long-reps is planned on Tuesday 22 September.")
	s.blockHolds("week 3\n  tue: long-reps\n")
	s.dragOnto(`#tray li[data-workout="hills"]`, `li[data-day="2026-09-24"]`)
	s.says("hills is planned on Thursday 24 September.")
	s.blockHolds("  tue: long-reps\n  thu: hills\n")
	s.dragOnto(`.session[data-day="2026-09-24"]`, `li[data-day="2026-09-25"]`)
	s.says("from Thursday 24 September to Friday 25 September")
	s.blockHolds("  tue: long-reps\n  fri: hills\n")
	s.click("form[action='/undo'] button")
	s.says("It is undone.")
	s.blockHolds("  tue: long-reps\n  thu: hills\n")
	s.command("hills", "block", "--format", "json", "--time-zone", "UTC")
	for _, x := range s.trouble {
		t.Errorf("the page is not quiet: %s", x)
	}
}

// The same without a script, all but dragging.
func TestPlansAtTheDeskWithoutScript(t *testing.T) {
	s := sit(t, planned(t))
	call(t, s.openedPage, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})

	s.visit("/plan")
	s.write("#text", "5 x 4:00 of 1:30 jog")
	s.click(`button[value="look"]`)
	s.says(`did you mean "off"?`)
	s.write("#text", "5 x 4:00 off 1:30 jog")
	s.click(`button[value="look"]`)
	s.says("5 reps of work: 20:00")
	s.click(`button[value="check"]`)
	s.until("the check", `document.querySelector("#checked article")`)
	s.write(`input[name="name"]`, "plain")
	s.click(`button[formaction="/plan/keep"]`)
	s.says("plain is kept in the library.")
	if s.kept("plain") != "5 x 4:00 off 1:30 jog\n" {
		t.Errorf("kept is %q", s.kept("plain"))
	}

	s.visit("/block")
	sunday := `li[data-day="2026-09-27"]`
	s.click(sunday + " > .sessions > details summary")
	s.write(sunday+` input[name="workout"]`, "1:30:00 easy")
	s.click(sunday + ` form[action="/block/put"] button`)
	s.says("1:30:00 easy is planned on Sunday 27 September.")
	s.blockHolds("  sun: 1:30:00 easy\n")
	s.click(sunday + " .session summary")
	do(t, s.openedPage, chromedp.Evaluate[any](fmt.Sprintf("document.querySelector(%q).value = '2026-09-26'", sunday+` select[name="to"]`)))
	s.click(sunday + ` form[action="/block/move"] button`)
	s.blockHolds("  sat: 1:30:00 easy\n")
	saturday := `li[data-day="2026-09-26"]`
	s.click(saturday + " .session summary")
	s.click(saturday + ` form[action="/block/take"] button`)
	s.says("A session is taken off Saturday 26 September.")
	s.click("form[action='/undo'] button")
	s.says("It is undone.")
	s.blockHolds("  sat: 1:30:00 easy\n")
}

// The pages of the desk are sound, fit a phone, and the Tab key reaches all that can be pressed or
// filled in.
func TestPagesOfTheDesk(t *testing.T) {
	s := sit(t, planned(t))
	checker := accessibilityChecker(t)
	const small = `[...document.querySelectorAll("main button, main summary, main select, main input:not([type=hidden], [type=radio], [type=checkbox]), main .button")].filter(e => {
		const r = e.getBoundingClientRect(); return r.width > 0 && r.height < 43 }).map(e => e.outerHTML.slice(0, 80))`
	const reached = `(() => { const e = document.activeElement; if (!e || e === document.body || e.dataset.reached) return true; e.dataset.reached = "yes"; return false })()`
	const missed = `[...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(e =>
		e.checkVisibility({checkVisibilityCSS: true}) && !e.dataset.reached).map(e => e.outerHTML.slice(0, 80))`
	for _, p := range []struct{ name, path string }{
		{"plan", "/plan"}, {"plan-wrong", "/plan?text=5+x+4:00+of"},
		{"plan-check", "/plan?do=check&session=2026-09-08-180400&text=15:00+warm+%2B+5+x+4:00+off+1:30+jog+%2B+10:00+cool"},
		{"sheet", "/plan/sheet?text=5+x+4:00+off+1:30+jog"}, {"library", "/library"}, {"starters", "/library-starters"}, {"workout", "/library/hills"}, {"block", "/block"},
		{"weeks-all", "/"}, {"session-all", treadmillPage}, {"new-all", "/new"},
	} {
		s.visit(p.path)
		do(t, s.openedPage, chromedp.Evaluate[any](`document.querySelectorAll("main details").forEach(d => { d.open = true })`))
		s.sound(p.name)
		s.audit(t, checker)
		s.look(t, 390, "light", "screen")
		if found := ask[[]string](t, s.openedPage, small); len(found) > 0 {
			t.Errorf("%s: too small to be touched: %q", p.name, found)
		}
		for range 500 {
			s.keys(kb.Tab)
			if ask[bool](t, s.openedPage, reached) {
				break
			}
		}
		// The picture of a session is drawn anew when one of its edges is chosen, so that marks are lost.
		if found := ask[[]string](t, s.openedPage, missed); len(found) > 0 && p.path != treadmillPage {
			t.Errorf("%s: the Tab key does not reach %q", p.name, found)
		}
		if p.name == "sheet" { // which is made to be printed
			s.visit(p.path)
			testPaper(t, s.openedPage, pageTest{name: "desk-sheet"})
		}
	}
	for _, x := range s.trouble {
		t.Errorf("the page is not quiet: %s", x)
	}
}
