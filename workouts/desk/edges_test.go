package desk

import (
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"slices"
	"strings"
	"testing"
)

// Reps of a form are tried without being written, saved, read again, and taken back when they
// are those that are read anyway. The run's true reps are from 10:00, 14:00 and 18:00, three
// minutes each, at 4.2 m/s, 238 s/km.
func TestReps(t *testing.T) {
	w := theWeek(t, "")
	var parts partsTable
	w.head.Set("Accept", "application/json")
	out := w.ask("/session/"+tuesday+"/try", "from", "10:00", "to", "13:00", "from", " 14:00", "to", "17:00", "from", "", "to", "", "from", "18:00", "to", "20:00", "from", "20:10", "to", "21:00")
	if err := json.Unmarshal(out.Body.Bytes(), &parts); err != nil || out.Code != 200 {
		t.Fatalf("status %d: %s", out.Code, out.Body)
	}
	if w.file("training-log.txt") != "" {
		t.Error("trying wrote the log")
	}
	count := func(role string) (n int) {
		for _, row := range parts.Rows {
			if row[0] == role {
				n++
			}
		}
		return n
	}
	cell := func(row int, head string) string { return parts.Rows[row][slices.Index(parts.Head, head)] }
	if count("work") != 4 || count("recovery") != 3 || cell(7, "time") != "0:50" || cell(1, "from") != "10:00" || cell(1, "pace /km") != "3:58" { // 238 s/km
		t.Errorf("%v\n%v", parts.Head, parts.Rows)
	}
	out = w.ask("/session/"+tuesday+"/try", "from", "10:00", "to", "13:00", "from", "12:00", "to", "14:00")
	if out.Code != http.StatusBadRequest || !strings.Contains(out.Body.String(), "begins before the one in front") {
		t.Errorf("overlapping reps: status %d: %s", out.Code, out.Body)
	}
	w.head.Del("Accept")

	w.says(http.StatusSeeOther, tuesday, "reps", "from", "10:00", "to", "13:00", "from", "14:00", "to", "17:00.5")
	if got := w.file("training-log.txt"); got != "2026-09-08 reps 10:00-13:00 14:00-17:00.5\n" {
		t.Fatalf("the log is\n%s", got)
	}
	page := w.shows("/session/"+tuesday, `name="from" value="14:00"`, `name="to" value="17:00.5"`, "Its reps are where the log has them")
	if strings.Contains(page, `value="18:00"`) {
		t.Error("the third rep is still there")
	}
	w.says(http.StatusSeeOther, tuesday, "reps", "from", "", "to", "")
	if got := w.file("training-log.txt"); got != "2026-09-08 reps none\n" {
		t.Errorf("the log is\n%s", got)
	}

	// Reps that lie where the workout has them need no telling.
	const was = "2026-09-08 was 10:00 warm + 3 x 3:00 off 1:00 jog + 5:00 cool\n"
	w.put("training-log.txt", was)
	page = w.shows("/session/" + tuesday)
	fields := []string{}
	for _, x := range strings.Split(page, `<li><label>from `)[1:] {
		fields = append(fields, "from", w.hidden(x, "from"), "to", w.hidden(x, "to"))
	}
	w.says(http.StatusSeeOther, tuesday, "reps", fields...)
	if got := w.file("training-log.txt"); got != was {
		t.Errorf("the log is\n%s", got)
	}
}

// A reading that is chosen is written as what it was; the first one takes that back. The
// readings are told with their probabilities, and the one that the session is read by is marked.
func TestReadings(t *testing.T) {
	// Of blocks that are ever quicker than what lies about them one is in doubt.
	files := map[string]string{}
	for day := 1; day < 20; day++ {
		files[fmt.Sprintf("%d.csv", day)] = run(t, fmt.Sprintf("%02d 17:04", day), leg{900, 2.8}, leg{1200, 2.8 + 0.06*float64(day)}, leg{600, 2.8})
	}
	w, name := open(t, files), ""
	for day := 1; name == "" && day < 20; day++ {
		if x := fmt.Sprintf("2026-09-%02d-170400", day); strings.Contains(w.shows("/session/"+x), `name="reading"`) {
			name = x
		}
	}
	if name == "" {
		t.Fatal("no session has another reading")
	}
	page := html.UnescapeString(w.shows("/session/" + name))
	keys := strings.Split(page, `name="reading" value="`)[1:]
	if len(keys) < 2 || strings.Count(page, `" checked required>`) != 1 || !strings.Contains(keys[0], "checked") || !strings.Contains(keys[1], " %") {
		t.Fatalf("%d readings: %q", len(keys), keys)
	}
	for i := range keys {
		keys[i], _, _ = strings.Cut(keys[i], `"`)
	}
	w.says(http.StatusSeeOther, name, "reading", "reading", keys[1])
	if got := w.file("training-log.txt"); !strings.Contains(got, "was ") && !strings.Contains(got, "reps ") {
		t.Errorf("the log is\n%s", got)
	}
	page = w.shows("/session/" + name)
	if !strings.Contains(page, `value="`+keys[1]+`"`) || !strings.Contains(strings.Split(page, `value="`+keys[1]+`"`)[1][:2000], "checked required") {
		t.Error("the chosen reading is not marked")
	}
	w.says(http.StatusSeeOther, name, "reading", "reading", keys[0])
	if got := w.file("training-log.txt"); got != "" {
		t.Errorf("the log is\n%s", got)
	}
	w.says(http.StatusConflict, name, "reading", "reading", "what is none")
}

// The trace has the speed of each second, as far as the recording goes.
func TestTrace(t *testing.T) {
	w := theWeek(t, "")
	var x trace
	if err := json.Unmarshal(w.ask("/session/"+tuesday+"/trace").Body.Bytes(), &x); err != nil {
		t.Fatal(err)
	}
	if x.EndS != 1560 || x.EveryS != 1 || len(x.Speed) != 1560 || x.Unit != "km/h" || len(x.Heart) != 0 {
		t.Fatalf("%v s, every %v s, %d speeds in %s", x.EndS, x.EveryS, len(x.Speed), x.Unit)
	}
	if v := *x.Speed[700]; v < 14.9 || v > 15.3 { // 4.2 m/s = 15.12 km/h
		t.Errorf("%.2f km/h in the first rep", v)
	}
	if out := w.ask("/session/nonsense/trace"); out.Code != http.StatusNotFound {
		t.Errorf("status %d", out.Code)
	}
}
