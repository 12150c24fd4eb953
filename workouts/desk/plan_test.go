package desk

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	demoblock "example.org/rungs/workouts/block/demo"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report/draft"
)

// withLibrary gives the desk of a window a library with some workouts.
func withLibrary(w *window, texts map[string]string) {
	w.Helper()
	w.desk.Library = library.Library{Folder: filepath.Join(w.TempDir(), "library")}
	for name, text := range texts {
		if err := w.desk.Library.Add(name, text, false); err != nil {
			w.Fatal(err)
		}
	}
}

// kept is the text of a workout in the library; empty when there is none.
func (w *window) kept(name string) string {
	e, err := w.desk.Library.Get(name)
	if err != nil {
		return ""
	}
	return e.Text
}

func TestExamplesAreRight(t *testing.T) {
	for _, e := range examples {
		if w, err := notation.Parse("", e.Text); err != nil {
			t.Error(err)
		} else if got := notation.Print(w); got != e.Text {
			t.Errorf("%s is written %s", e.Text, got)
		}
	}
}

// A plan is told while it is written, with a script and without.
func TestPlanIsTold(t *testing.T) {
	w := open(t, nil)
	const good, bad = "15:00 warm + 5 x 4:00 off 1:30 jog + 10:00 cool", "15:00 warm +\n5 x 4:00 of 90s jog"
	w.shows("/plan", "how it is written", "8km easy")
	w.shows("/plan?text="+url.QueryEscape(good), "5 reps of work: 20:00", `id="now-wide`, `5 x 4:00 off 1:30 jog &#43; 10:00 cool</textarea>`)
	w.shows("/plan?text="+url.QueryEscape(bad), "1 mistake", "Line 2, character 10", "         ^^", `did you mean &#34;off&#34;?`)

	var said struct {
		Told string
		Plan draft.Draft
	}
	out := w.ask("/plan/look", "text", bad)
	if err := json.Unmarshal(out.Body.Bytes(), &said); err != nil || out.Code != http.StatusOK {
		t.Fatal(out.Code, err)
	}
	if len(said.Plan.Mistakes) != 1 || !strings.Contains(said.Told, "Line 2, character 10") {
		t.Errorf("%+v", said)
	}
	out = w.ask("/plan/look", "text", good)
	if err := json.Unmarshal(out.Body.Bytes(), &said); err != nil || said.Plan.Plan != good || !strings.Contains(said.Told, "<svg") {
		t.Errorf("%v %+v", err, said)
	}
	const hostile = "</textarea><script>alert(1)</script>"
	if err := json.Unmarshal(w.ask("/plan/look", "text", hostile).Body.Bytes(), &said); err != nil {
		t.Fatal(err)
	}
	for _, page := range []string{w.shows("/plan?text=" + url.QueryEscape(hostile) + "&name=" + url.QueryEscape(hostile)), said.Told} {
		if strings.Contains(page, "<script>alert") || !strings.Contains(page, "&lt;script&gt;alert") {
			t.Errorf("the text of a plan became part of the page: %s", page)
		}
	}
}

// A plan goes to the watch, and onto a sheet.
func TestPlanIsTakenAlong(t *testing.T) {
	w := open(t, nil)
	const plan = "15:00 warm + 5 x 4:00 off 1:30 jog + 10:00 cool"
	out := w.ask("/plan/watch?name=long-reps&text=" + url.QueryEscape(plan))
	if out.Code != http.StatusOK || out.Header().Get("Content-Disposition") != `attachment; filename=long-reps.fit` {
		t.Errorf("status %d, %v", out.Code, out.Header())
	}
	back, _, err := fitfile.Read("x", out.Body)
	if err != nil || notation.Print(back) != plan || back.Name != "long-reps" {
		t.Errorf("%v, %q, %s", err, back.Name, notation.Print(back))
	}
	if out := w.ask("/plan/watch?name=%2e%2e%2fx&text=" + url.QueryEscape(plan)); out.Header().Get("Content-Disposition") != `attachment; filename=workout.fit` {
		t.Errorf("%v", out.Header())
	}
	w.shows("/plan/sheet?text="+url.QueryEscape(plan), "Step by step", "In running order")
	for _, path := range []string{"/plan/watch?text=5+x", "/plan/sheet?text=5+x"} {
		if out := w.ask(path); out.Code != http.StatusUnprocessableEntity || !strings.Contains(out.Body.String(), "mistakes") {
			t.Errorf("%s: %d %s", path, out.Code, out.Body)
		}
	}
}

// What is kept is in the library as a command has it; a change by another is never
// overwritten, and the last save can be undone.
func TestPlanIsKept(t *testing.T) {
	w := open(t, nil)
	withLibrary(w, map[string]string{"hills": "10 x 45s off 90s walk\n"})
	keep := func(want int, fields ...string) string {
		t.Helper()
		out := w.ask("/plan/keep", fields...)
		if out.Code != want {
			t.Errorf("%q: status %d, not %d: %s", fields, out.Code, want, out.Body)
		}
		return out.Header().Get("Location")
	}
	if to := keep(http.StatusSeeOther, "text", "# mine\r\n5 x 4:00   off 90s jog", "name", "fours"); to != "/library/fours?done=1" {
		t.Errorf("leads to %s", to)
	}
	if got := w.kept("fours"); got != "# mine\n5 x 4:00 off 1:30 jog\n" {
		t.Errorf("kept %q", got)
	}
	w.shows("/library/fours?done=1", "fours is kept in the library.", "Undo")

	keep(http.StatusUnprocessableEntity, "text", "5 x", "name", "fives")
	if page := w.ask("/plan/keep", "text", "8km easy", "name", "Fives!").Body.String(); !strings.Contains(page, "fives would do") || !strings.Contains(page, "8km easy</textarea>") {
		t.Errorf("why it was not kept, or the plan, is lost: %s", page)
	}
	keep(http.StatusUnprocessableEntity, "text", "8km easy", "name", "../fives")
	keep(http.StatusConflict, "text", "8km easy", "name", "fours")              // another one has the name
	keep(http.StatusConflict, "text", "8km easy", "name", "gone", "of", "gone") // it was taken away
	page := w.shows("/plan?of=fours", "# mine")
	if err := w.desk.Library.Add("fours", "6 x 4:00 off 90s jog", true); err != nil { // by a command, meanwhile
		t.Fatal(err)
	}
	keep(http.StatusConflict, "text", "8km easy", "name", "fours", "of", "fours", "seen", w.hidden(page, "seen"))
	if got := w.kept("fours"); got != "6 x 4:00 off 1:30 jog\n" || w.kept("fives")+w.kept("gone") != "" {
		t.Errorf("fours is %q", got)
	}
	if out := w.ask("/undo", "save", "1"); out.Code != http.StatusConflict { // what another wrote is not undone
		t.Errorf("undone: %d", out.Code)
	}

	page = w.shows("/plan?of=fours")
	keep(http.StatusSeeOther, "text", "7 x 4:00 off 90s jog", "name", "fours", "of", "fours", "seen", w.hidden(page, "seen"))
	if out := w.ask("/undo", "save", "2"); out.Code != http.StatusSeeOther || w.kept("fours") != "6 x 4:00 off 1:30 jog\n" {
		t.Errorf("not undone: %d, %q", out.Code, w.kept("fours"))
	}

	// Taken out, and back again.
	page = w.shows("/library/hills")
	if out := w.ask("/library/remove", "name", "hills", "seen", "x"); out.Code != http.StatusConflict {
		t.Errorf("taken out without having been seen: %d", out.Code)
	}
	if out := w.ask("/library/remove", "name", "hills", "seen", w.hidden(page, "seen")); out.Code != http.StatusSeeOther || w.kept("hills") != "" {
		t.Errorf("not taken out: %d", out.Code)
	}
	if out := w.ask("/undo", "save", "3"); out.Code != http.StatusSeeOther || w.kept("hills") != "10 x 45s off 1:30 walk\n" {
		t.Errorf("not back: %d, %q", out.Code, w.kept("hills"))
	}

	w.desk.Library.Folder = ""
	keep(http.StatusNotFound, "text", "8km easy", "name", "easy")
	w.shows("/library", "It is empty")
}

// Windows and a command that write to one workout at once, 200 times, lose nothing: who was
// late is told, and does it again.
func TestManyWindowsKeep(t *testing.T) {
	w := open(t, nil)
	withLibrary(w, map[string]string{"hills": "10 x 45s off 1:30 walk\n"})
	const windows, each = 3, 50
	line := func(n, k int) string { return fmt.Sprintf("# %d.%d\n", n, k) }
	var all sync.WaitGroup
	for n := range windows {
		all.Go(func() {
			for k := 0; k < each; {
				now := w.kept("hills")
				out := w.ask("/plan/keep", "text", line(n, k)+now, "name", "hills", "of", "hills", "seen", token(now))
				switch out.Code {
				case http.StatusSeeOther:
					k++
				case http.StatusConflict:
				default:
					t.Errorf("%d: %s", out.Code, out.Body)
					return
				}
			}
		})
	}
	all.Go(func() {
		for k := range each {
			if err := w.desk.Library.Change("hills", func(now string, _ bool) (string, bool, error) { return line(windows, k) + now, true, nil }); err != nil {
				t.Error(err)
			}
		}
	})
	all.Wait()
	text := w.kept("hills")
	for n := range windows + 1 {
		for k := range each {
			if strings.Count(text, line(n, k)) != 1 {
				t.Errorf("what %d wrote at its turn %d stands there %d times", n, k, strings.Count(text, line(n, k)))
			}
		}
	}
}

// The library is searched, and starters begin a plan.
func TestLibraryIsSearched(t *testing.T) {
	w := open(t, nil)
	withLibrary(w, map[string]string{"hills": "10 x 45s off 90s walk\n", "laps": "tags: track\n\n10 x 400m off 200m jog"})
	if err := os.WriteFile(filepath.Join(w.desk.Library.Folder, "bad.plan"), []byte("5 x <b>"), 0o666); err != nil {
		t.Fatal(err)
	}
	w.shows("/library", `href="/library/hills"`, `href="/library/laps"`, "2 workouts", "5 x &lt;b&gt;")
	if page := w.shows("/library?words=TRACK", `href="/library/laps"`, "1 workout"); strings.Contains(page, "/library/hills") {
		t.Error("hills have no track")
	}
	w.shows("/library?words=none", "Nothing of that kind")
	w.shows("/library?kind=ladder", "Nothing of that kind")
	w.shows("/library-starters", `href="/plan?starter=tempo-twenty"`)
	w.shows("/plan?starter=tempo-twenty", "20:00")
	w.shows("/library/laps", "10 x 400m off 200m jog", "No recording of this workout")
	if out := w.ask("/library/none"); out.Code != http.StatusNotFound {
		t.Errorf("status %d", out.Code)
	}
}

// demoWeeks is a folder with so many weeks of the demo's recordings, the first runner's, and
// other files.
func demoWeeks(t *testing.T, weeks int, files map[string]string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for name, text := range files {
		all[name] = text
	}
	for week := 1; week <= weeks; week++ {
		for _, o := range demoblock.Week(1, week) {
			recordings, err := o.Files()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range recordings {
				all[f.Name] = string(f.Data)
			}
		}
	}
	return all
}

// A plan is held against a session with the figures that a check has, and a workout is
// told over time.
func TestPlanIsHeldAgainstASession(t *testing.T) {
	w := open(t, demoWeeks(t, 3, nil))
	s, err := w.desk.scene(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	times := map[string][]string{}
	most := ""
	for _, r := range s.all {
		if times[r.Main] = append(times[r.Main], s.name(r)); r.Main != "" && len(times[r.Main]) > len(times[most]) {
			most = r.Main
		}
	}
	plan := "15:00 warm + " + most + " + 10:00 cool"
	page := w.shows("/plan?do=check&session="+times[most][0]+"&text="+url.QueryEscape(plan), `id="checked"`, "Rep by rep", `value="`+times[most][0]+`" selected`)
	if n := strings.Count(page, "<option value"); n != len(s.all) {
		t.Errorf("%d sessions to choose from, of %d", n, len(s.all))
	}
	w.shows("/plan?do=check&session=none&text="+url.QueryEscape(plan), "There is no session of that name")

	withLibrary(w, map[string]string{"often": plan})
	page = w.shows("/library/often", "pace", `name="first"`)
	if n := strings.Count(page, "<option value"); n != 2*len(times[most]) || n < 4 {
		t.Fatalf("%d choices for %d runs of %s", n, len(times[most]), most)
	}
	w.shows("/library/often?first=0&second=1", `id="beside"`, "beside")
	if page = w.shows("/library/often?first=0&second=99"); strings.Contains(page, `id="beside"`) {
		t.Error("a run that is not there was compared")
	}
}
