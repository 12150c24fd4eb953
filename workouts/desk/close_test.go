package desk

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Closing waits for what is being written, which is whole then; nothing is written after it.
func TestCloseWaits(t *testing.T) {
	w := theWeek(t, "")
	page := w.shows("/session/" + tuesday)
	began, goOn, closed := make(chan bool), make(chan bool), make(chan bool)
	wrote := make(chan error, 1)
	go func() {
		_, err := w.desk.write("training-log.txt", "A test writes.", "/", func(string) (string, error) {
			began <- true
			<-goOn
			return "2026-09-08 hard\n", nil
		})
		wrote <- err
	}()
	<-began
	go func() {
		w.desk.Close()
		closed <- true
	}()
	select {
	case <-closed:
		t.Error("it is closed while a file is being written")
	case <-time.After(50 * time.Millisecond):
	}
	goOn <- true
	if err := <-wrote; err != nil {
		t.Error(err)
	}
	<-closed
	if got := w.file("training-log.txt"); got != "2026-09-08 hard\n" {
		t.Errorf("the log is %q", got)
	}
	if out := w.ask("/session/"+tuesday+"/say", "seen", w.hidden(page, "seen"), "note", "too late"); out.Code < 400 {
		t.Errorf("written after the end: status %d", out.Code)
	}
	if got := w.file("training-log.txt"); got != "2026-09-08 hard\n" {
		t.Errorf("the log is %q", got)
	}
}

// A log that a save made goes when that is undone; one that was there as an empty file stays.
func TestUndoOfTheFirstLine(t *testing.T) {
	w := open(t, map[string]string{"tue.csv": reps(t, "08 18:04")})
	for _, there := range []bool{false, true} {
		if there {
			w.put("training-log.txt", "")
		}
		to := w.says(http.StatusSeeOther, tuesday, "say", "note", "first")
		if w.file("training-log.txt") != "2026-09-08 note first\n" {
			t.Fatalf("the log is %q", w.file("training-log.txt"))
		}
		if out := w.ask("/undo", "save", w.hidden(w.shows(to), "save")); out.Code != http.StatusSeeOther {
			t.Fatalf("status %d", out.Code)
		}
		if _, err := os.Stat(filepath.Join(w.folder, "training-log.txt")); (err == nil) != there {
			t.Errorf("the log was there: %v, now: %v", there, err == nil)
		}
	}
}
