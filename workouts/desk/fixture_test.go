package desk

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A leg is a part of a run at an even speed.
type leg struct {
	seconds int
	speed   float64 // m/s
}

// run is a recording in CSV that starts at a time of September 2026: a record a second.
func run(t *testing.T, start string, legs ...leg) string {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04", "2026-09-"+start)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("time,distance_m\n")
	metres := 0.0
	row := func() { fmt.Fprintf(&b, "%s,%.2f\n", at.Format(time.RFC3339), metres) }
	row()
	for _, g := range legs {
		for range g.seconds {
			at, metres = at.Add(time.Second), metres+g.speed
			row()
		}
	}
	return b.String()
}

// reps is a run of three reps of three minutes, the first from 10:00 to 13:00, off a minute.
func reps(t *testing.T, start string) string {
	return run(t, start, leg{600, 2.8}, leg{180, 4.2}, leg{60, 2.4}, leg{180, 4.2}, leg{60, 2.4}, leg{180, 4.2}, leg{300, 2.7})
}

// easy is an even run of a quarter of an hour.
func easy(t *testing.T, start string) string { return run(t, start, leg{900, 2.8}) }

// file reads a file of the folder; empty when it is missing.
func (w *window) file(name string) string {
	w.Helper()
	raw, err := os.ReadFile(filepath.Join(w.folder, name))
	if err != nil && !os.IsNotExist(err) {
		w.Fatal(err)
	}
	return string(raw)
}

// put writes a file of the folder.
func (w *window) put(name, text string) {
	w.Helper()
	if err := os.WriteFile(filepath.Join(w.folder, name), []byte(text), 0o666); err != nil {
		w.Fatal(err)
	}
}

// hidden is the value of a field that a page carries along.
func (w *window) hidden(page, name string) string {
	w.Helper()
	_, rest, ok := strings.Cut(page, `name="`+name+`" value="`)
	if !ok {
		w.Fatalf("the page carries no %s:\n%s", name, page)
	}
	value, _, _ := strings.Cut(rest, `"`)
	return value
}

// says posts a form of a session's page, with what the page carries along, and is held to a status.
func (w *window) says(status int, session, form string, fields ...string) string {
	w.Helper()
	page := w.shows("/session/" + session)
	out := w.ask("/session/"+session+"/"+form, append([]string{"seen", w.hidden(page, "seen")}, fields...)...)
	if out.Code != status {
		w.Fatalf("%s: status %d, want %d: %s", form, out.Code, status, out.Body)
	}
	return out.Header().Get("Location") + out.Body.String()
}
