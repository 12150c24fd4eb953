package desk

import (
	"html"
	"net/http"
	"strings"
	"testing"
)

const tuesday = "2026-09-08-180400" // the page of the session of fixtures below

// theWeek is a folder with two sessions on one day and one on the next.
func theWeek(t *testing.T, log string) *window {
	return open(t, map[string]string{"training-log.txt": log, "tue.csv": reps(t, "08 18:04"), "wed.csv": easy(t, "09 07:00"), "wed-2.csv": easy(t, "09 19:00")})
}

// What is said is one line of the log; all others stay as they are, byte by byte. The page
// shows it, the weeks do, and it can be undone.
func TestSay(t *testing.T) {
	const log = "# mine\n\n2026-09-01 nonsense\n2026-09-09 07:00 easy # not a comment\n"
	w := theWeek(t, log)
	to := w.says(http.StatusSeeOther, tuesday, "say", "title", "Steps; on the track", "note", "legs heavy;\nwind", "effort", "7.5", "feel", "hard", "race", "yes", "place", "track")
	const line = "2026-09-08 race; hard; track; effort 7.5; title Steps, on the track; note legs heavy; wind\n"
	if want := "# mine\n\n2026-09-01 nonsense\n" + line + "2026-09-09 07:00 easy # not a comment\n"; w.file("training-log.txt") != want {
		t.Fatalf("the log is\n%s, want\n%s", w.file("training-log.txt"), want)
	}
	page := w.shows(to, "What you say of Tuesday 8 September 2026 is saved.", `value="Steps, on the track"`, ">legs heavy; wind</textarea>", "<option selected>7.5</option>", "<option selected>track</option>")
	w.shows("/", "Steps, on the track", "race")

	if out := w.ask("/undo", "save", w.hidden(page, "save")); out.Code != http.StatusSeeOther || w.file("training-log.txt") != log {
		t.Fatalf("status %d: %s\nthe log is\n%s", out.Code, out.Body, w.file("training-log.txt"))
	}
	if out := w.ask("/undo", "save", "1"); out.Code != http.StatusConflict {
		t.Errorf("undone twice: status %d", out.Code)
	}
}

// Of two sessions on a day the line has the time; a line that says nothing more goes.
func TestSayOfSeveral(t *testing.T) {
	w := theWeek(t, "")
	w.says(http.StatusSeeOther, "2026-09-09-190000", "say", "note", "evening")
	w.says(http.StatusSeeOther, "2026-09-09-070000", "say", "leave-out", "yes")
	if got := w.file("training-log.txt"); got != "2026-09-09 19:00 note evening\n2026-09-09 07:00 leave out\n" {
		t.Errorf("the log is\n%s", got)
	}
	w.shows("/session/2026-09-09-070000", `name="leave-out" value="yes" checked`) // though it is not counted
	w.says(http.StatusSeeOther, "2026-09-09-070000", "say")
	if got := w.file("training-log.txt"); got != "2026-09-09 19:00 note evening\n" {
		t.Errorf("the log is\n%s", got)
	}
	w.says(http.StatusSeeOther, "2026-09-09-190000", "say", "note", "evening") // which it says already
	if got := w.file("training-log.txt"); got != "2026-09-09 19:00 note evening\n" {
		t.Errorf("the log is\n%s", got)
	}
}

// Two lines of one session stay two, and each keeps what was not changed.
func TestSayInTwoLines(t *testing.T) {
	w := theWeek(t, "2026-09-08 hard; note first\n2026-09-08 18:04 effort 6; note second\n")
	w.says(http.StatusSeeOther, tuesday, "say", "feel", "hard", "effort", "8", "note", "both")
	if got := w.file("training-log.txt"); got != "2026-09-08 hard; effort 8; note both\n" {
		t.Errorf("the log is\n%s", got)
	}
	w = theWeek(t, "2026-09-08 hard\n2026-09-08 18:04 track; effort 6\n")
	w.says(http.StatusSeeOther, tuesday, "say", "feel", "easy", "place", "track", "effort", "6")
	if got := w.file("training-log.txt"); got != "2026-09-08 easy\n2026-09-08 18:04 track; effort 6\n" {
		t.Errorf("the log is\n%s", got)
	}
}

// What another program wrote meanwhile of the session is not overwritten, and that is said;
// what it wrote of others stays.
func TestSayMeanwhile(t *testing.T) {
	w := theWeek(t, "2026-09-08 easy\n")
	page := w.shows("/session/" + tuesday)
	seen := w.hidden(page, "seen")
	w.put("training-log.txt", "2026-09-08 easy; effort 3\n")
	out := w.ask("/session/"+tuesday+"/say", "seen", seen, "note", "mine", "feel", "easy")
	if out.Code != http.StatusConflict || !strings.Contains(out.Body.String(), "changed this meanwhile") || w.file("training-log.txt") != "2026-09-08 easy; effort 3\n" {
		t.Errorf("status %d: %s\nthe log is\n%s", out.Code, out.Body, w.file("training-log.txt"))
	}
	w.put("training-log.txt", "2026-09-08 easy\n2026-09-09 07:00 hard\n")
	if out := w.ask("/session/"+tuesday+"/say", "seen", seen, "note", "mine", "feel", "easy"); out.Code != http.StatusSeeOther {
		t.Errorf("status %d: %s", out.Code, out.Body)
	}
	if got := w.file("training-log.txt"); got != "2026-09-08 easy; note mine\n2026-09-09 07:00 hard\n" {
		t.Errorf("the log is\n%s", got)
	}
	w.put("training-log.txt", w.file("training-log.txt")+"# by hand\n")
	if out := w.ask("/undo", "save", "1"); out.Code != http.StatusConflict || !strings.HasSuffix(w.file("training-log.txt"), "# by hand\n") {
		t.Errorf("undone over another's change: status %d\n%s", out.Code, w.file("training-log.txt"))
	}
}

// What it was is obeyed by the page; a mistake in it is told with a caret, nothing is written,
// and what was typed is still there.
func TestSayWhatItWas(t *testing.T) {
	w := theWeek(t, "")
	w.says(http.StatusSeeOther, tuesday, "say", "was", "10:00 warm + 3x3:00 off 60s jog + 5:00 cool")
	if got := w.file("training-log.txt"); got != "2026-09-08 was 10:00 warm + 3 x 3:00 off 1:00 jog + 5:00 cool\n" {
		t.Errorf("the log is\n%s", got)
	}
	w.shows("/session/"+tuesday, "t is read as what it is said to have been", ">10:00 warm + 3 x 3:00 off 1:00 jog + 5:00 cool</textarea>")
	page := w.says(http.StatusUnprocessableEntity, tuesday, "say", "was", "6 x 800m of 400m jog", "note", "typed <b>much</b>")
	for _, want := range []string{"unknown manner", "^^", "did you mean", ">6 x 800m of 400m jog</textarea>", ">typed &lt;b&gt;much&lt;/b&gt;</textarea>"} {
		if !strings.Contains(page, want) && !strings.Contains(html.UnescapeString(page), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(w.file("training-log.txt"), "800m") {
		t.Error("a mistake was written")
	}
	w.head.Set("Accept", "application/json")
	if out := w.ask("/look", "text", "6 x 800m of"); !strings.Contains(out.Body.String(), "did you mean") || !strings.Contains(out.Body.String(), `\n`) {
		t.Errorf("looking: %s", out.Body)
	}
	if out := w.ask("/look", "text", "6x800m"); !strings.Contains(out.Body.String(), `Read as: 6 x 800m`) {
		t.Errorf("looking: %s", out.Body)
	}
}

// Text from files and forms is shown as text, wherever it stands.
func TestTextStaysText(t *testing.T) {
	const evil = `"><script>alert(1)</script><img src=x onerror=alert(1)>`
	w := open(t, map[string]string{
		"training-log.txt":          "2026-09-08 title " + evil + "; note " + evil + "\n" + evil + "\n",
		"<script>alert(2)<.csv":     reps(t, "08 18:04"),
		"<script>alert(3)<.fit":     "no recording",
		"training-plan.txt":         "name: " + evil + "\nstarts: 2026-09-07\nweek 1: 30km\n  tue: " + evil + "\n",
		"recordings/<b>bold<b>.csv": easy(t, "07 18:04"),
	})
	for _, path := range []string{"/", "/new", "/session/" + tuesday, "/?before=" + "%22%3E%3Cscript%3Ealert(4)%3C/script%3E", "/nowhere/%3Cscript%3E"} {
		page := w.ask(path).Body.String()
		for _, bad := range []string{"<script>alert", "<img src=x", "<b>bold"} {
			if strings.Contains(page, bad) {
				t.Errorf("%s has %q", path, bad)
			}
		}
	}
}
