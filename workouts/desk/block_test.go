package desk

import (
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/rungs/workouts/folder"
)

const autumn = `# mine
name: Autumn <half>
starts: 2026-09-07

week 2: 40km
  tue: hills   # by feel
  thu: 8km easy
week 3
  sun: rest
`

// blocked is a desk over a folder with a planned block. The current week is the second.
func blocked(t *testing.T) *window {
	w := open(t, map[string]string{folder.Plan: autumn})
	withLibrary(w, map[string]string{"hills": "15:00 warm + 10 x 45s off 90s walk + 10:00 cool", "laps": "10 x 400m off 200m jog"})
	return w
}

// post sends a form of the block's page as it is now.
func (w *window) post(want int, path string, fields ...string) string {
	w.Helper()
	out := w.ask(path, append(fields, "seen", w.hidden(w.shows("/block"), "seen"))...)
	if out.Code != want {
		w.Errorf("%s %q: status %d, not %d: %s", path, fields, out.Code, want, out.Body)
	}
	return out.Body.String()
}

func TestBlockIsShown(t *testing.T) {
	w := blocked(t)
	page := w.shows("/block", "Autumn &lt;half&gt;", "Week 2, 14 September to 20 September 2026", "the week asks for 40km", `href="/library/hills"`,
		"8km easy", "Sun 20 Sep", "today", "Week 5", `<option value="laps">`, `<span class="outcome missed">missed</span>`)
	if strings.Contains(page, "Week 1,") || !strings.Contains(page, `href="/block/1"`) {
		t.Error("the page begins with another week than this, or does not lead back")
	}
	w.shows("/block/1", "Week 1, 7 September", "Week 4")
	w.shows("/block/100000", "Week 520")
	w.shows("/block/none", "Week 2")
}

// A block is changed a line at a time, and back.
func TestBlockIsChanged(t *testing.T) {
	w := blocked(t)
	text := autumn
	change := func(path, old, new string, fields ...string) {
		t.Helper()
		w.post(http.StatusSeeOther, path, fields...)
		if want := strings.Replace(text, old, new, 1); w.file(folder.Plan) != want {
			t.Errorf("%s %q: got\n%s\nwant\n%s", path, fields, w.file(folder.Plan), want)
		}
		text = w.file(folder.Plan)
	}
	change("/block/put", "week 3\n", "week 3\n  tue: laps\n", "day", "2026-09-22", "workout", "laps")
	change("/block/put", "tue: laps\n", "tue: laps\n  wed: 10km easy\n", "day", "2026-09-23", "workout", " 10km easy ")
	change("/block/put", "10km easy\n", "10km easy\n  thu: rest\n", "day", "2026-09-24", "workout", "", "rest", "yes")
	change("/block/move", "  thu: rest\n", "  fri: rest\n", "day", "2026-09-24", "index", "0", "to", "2026-09-25")
	change("/block/take", "  tue: hills   # by feel\n", "", "day", "2026-09-15", "index", "0")
	for n := 5; n > 0; n-- {
		if out := w.ask("/undo", "save", string(rune('0'+n))); out.Code != http.StatusSeeOther {
			t.Fatalf("undo: %d %s", out.Code, out.Body)
		}
	}
	if w.file(folder.Plan) != autumn {
		t.Errorf("undone, it is\n%s", w.file(folder.Plan))
	}
	out := w.ask("/block/put", "day", "2026-10-06", "workout", "laps", "week", "3", "seen", w.hidden(w.shows("/block/3"), "seen"))
	if to := out.Header().Get("Location"); to != "/block/3?done=6" {
		t.Errorf("leads to %s", to)
	}
	w.shows("/block/3?done=6", "laps is planned on Tuesday 6 October.", "Undo")
}

// What cannot be is refused with its reason, and nothing is written.
func TestBlockRefuses(t *testing.T) {
	w := blocked(t)
	for _, c := range []struct {
		path, says string
		fields     []string
	}{
		{"/block/put", "unknown manner", []string{"day", "2026-09-22", "workout", "5 x 4:00 of 90s jog"}},
		{"/block/put", "has no workout", []string{"day", "2026-09-22", "workout", "hils"}},
		{"/block/put", "before the plan starts", []string{"day", "2026-09-01", "workout", "laps"}},
		{"/block/put", "is no date", []string{"day", "soon", "workout", "laps"}},
		{"/block/put", "day of rest", []string{"day", "2026-09-27", "workout", "laps"}},
		{"/block/put", "no workout for a line", []string{"day", "2026-09-22", "workout", ""}},
		{"/block/put", "no workout for a line", []string{"day", "2026-09-22", "workout", "laps\nweek 9"}},
		{"/block/take", "no such session", []string{"day", "2026-09-22", "index", "0"}},
		{"/block/take", "is no place", []string{"day", "2026-09-22", "index", "first"}},
		{"/block/move", "is no date", []string{"day", "2026-09-15", "index", "0", "to", ""}},
	} {
		if page := w.post(http.StatusUnprocessableEntity, c.path, c.fields...); !strings.Contains(page, c.says) {
			t.Errorf("%s %q does not say %q: %s", c.path, c.fields, c.says, page)
		}
	}
	page := w.shows("/block")
	if err := os.WriteFile(filepath.Join(w.folder, folder.Plan), []byte(autumn+"# more\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/block/put", "/block/text"} {
		out := w.ask(path, "day", "2026-09-22", "workout", "laps", "text", autumn, "seen", w.hidden(page, "seen"))
		if out.Code != http.StatusConflict || !strings.Contains(out.Body.String(), "changed this meanwhile") {
			t.Errorf("%s over another change: %d", path, out.Code)
		}
	}
	if w.file(folder.Plan) != autumn+"# more\n" {
		t.Error("something was written")
	}
}

// The text itself is edited whole, with its mistakes told.
func TestBlockText(t *testing.T) {
	w := blocked(t)
	page := w.post(http.StatusUnprocessableEntity, "/block/text", "text", "starts: 2026-09-07\r\nweek 1\r\n  tue: 5 x 4:00 of 90s jog\r\n")
	if !strings.Contains(page, "Line 3, character 17") || !strings.Contains(page, "5 x 4:00 of 90s jog\n</textarea>") {
		t.Errorf("the mistake is not told, or the text is lost: %s", page)
	}
	if w.file(folder.Plan) != autumn {
		t.Error("a text with mistakes was written")
	}
	const text = "starts: 2026-09-07\nweek 1\n  tue: laps\n"
	w.post(http.StatusSeeOther, "/block/text", "text", strings.ReplaceAll(text, "\n", "\r\n"))
	if w.file(folder.Plan) != text {
		t.Errorf("%q", w.file(folder.Plan))
	}
	// One that was written wrongly elsewhere is shown with its mistakes.
	if err := os.WriteFile(filepath.Join(w.folder, folder.Plan), []byte("starts: soon\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	w.shows("/block", "1 mistake in the text", "this is no date", "starts: soon\n</textarea>")
	if page := w.post(http.StatusConflict, "/block/put", "day", "2026-09-22", "workout", "laps"); !strings.Contains(page, "has mistakes") {
		t.Error(page)
	}
}

func TestBlockIsBegun(t *testing.T) {
	w := open(t, nil)
	w.shows("/block", "Nothing is planned yet", `value="2026-09-21"`)
	w.post(http.StatusUnprocessableEntity, "/block/begin", "name", "x", "starts", "soon")
	w.post(http.StatusSeeOther, "/block/begin", "name", " Spring\n# half ", "starts", "2026-09-21")
	if want := "name: Spring half\nstarts: 2026-09-21\n\nweek 1\n"; w.file(folder.Plan) != want {
		t.Errorf("%q", w.file(folder.Plan))
	}
	w.post(http.StatusSeeOther, "/block/put", "day", "2026-09-22", "workout", "8km easy")
	w.shows("/block", "Spring half", "8km easy")
	if out := w.ask("/block/begin", "name", "again", "starts", "2026-09-21", "seen", ""); out.Code != http.StatusConflict {
		t.Errorf("begun over another: %d", out.Code)
	}
}

// Windows that plan at once lose nothing: who was late is told, and does it again.
func TestManyWindowsPlan(t *testing.T) {
	w := blocked(t)
	w.ask("/block/text", "text", "starts: 2026-09-07\n", "seen", w.hidden(w.shows("/block"), "seen"))
	const windows, each = 4, 50
	var all sync.WaitGroup
	for n := range windows {
		all.Go(func() {
			for k := range each {
				on := time.Date(2026, 9, 7+7*k, 0, 0, 0, 0, time.UTC) // a week may have fourteen
				fields := []string{"day", on.Format(time.DateOnly), "workout", strconv.Itoa(5+n) + "km easy"}
				for {
					out := w.ask("/block/put", append(fields, "seen", token(w.file(folder.Plan)))...)
					if out.Code == http.StatusSeeOther {
						break
					}
					if out.Code != http.StatusConflict {
						t.Errorf("%d: %s", out.Code, out.Body)
						return
					}
				}
			}
		})
	}
	all.Wait()
	if n := strings.Count(w.file(folder.Plan), "km easy\n"); n != windows*each {
		t.Errorf("%d of %d sessions are planned", n, windows*each)
	}
}
