package desk

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
)

// The test binary is also the desk that is killed: TestMain hands over when this variable names
// a folder.
const deskVariable = "RUNGS_TEST_DESK"

func TestMain(m *testing.M) {
	if job := os.Getenv(deskVariable); job != "" {
		t := &testing.T{}
		path, name, _ := strings.Cut(job, "|")
		saveForEver(openFolder(t, path), name)
		os.Exit(1) // it is to be killed
	}
	os.Exit(m.Run())
}

// noteOf is what a page's form has as the note.
func noteOf(page string) string {
	_, rest, _ := strings.Cut(page, `<textarea id="note" name="note" class="prose" rows="3" maxlength="4000">`)
	note, _, _ := strings.Cut(rest, "<")
	return note
}

// addNote adds a word to the note of a session as a window does, and tells whether it was saved.
func (w *window) addNote(session, word string) bool {
	page := w.ask("/session/" + session).Body.String()
	_, rest, _ := strings.Cut(page, `name="seen" value="`)
	seen, _, _ := strings.Cut(rest, `"`)
	out := w.ask("/session/"+session+"/say", "seen", seen, "note", strings.TrimSpace(noteOf(page)+" "+word))
	return out.Code == http.StatusSeeOther
}

// saveForEver adds word after word, and tells each that was saved.
func saveForEver(w *window, name string) {
	fmt.Println("ready")
	for i := 0; i < 1e6; i++ {
		if w.addNote([]string{"2026-09-08-070000", "2026-09-09-070000"}[i%2], name+strconv.Itoa(i)) {
			fmt.Println(name + strconv.Itoa(i))
		}
	}
}

// words are all the words of the notes of a log, whose lines must all be whole.
func words(t *testing.T, path string) map[string]bool {
	t.Helper()
	l, err := log.Read(path)
	if err != nil || len(l.Wrong()) > 0 {
		t.Fatalf("%v, %v", err, l.Wrong())
	}
	out := map[string]bool{}
	for _, e := range l.Entries() {
		for _, x := range strings.Fields(e.Note) {
			out[x] = true
		}
	}
	return out
}

// Killed while it saves, again and again, the desk loses nothing that it said is saved, and
// leaves a log of whole lines. The log is begun anew when it has grown, to keep the test quick.
func TestKilledDeskLosesNothing(t *testing.T) {
	path := t.TempDir()
	for name, day := range map[string]string{"a.csv": "08 07:00", "b.csv": "09 07:00"} {
		if err := os.WriteFile(filepath.Join(path, name), []byte(run(t, day, leg{120, 2.8})), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	file := filepath.Join(path, folder.Log)
	saved := map[string]bool{}
	total := 0
	for i := range 200 {
		if i%20 == 0 {
			if err := os.WriteFile(file, []byte("# by hand\n"), 0o600); err != nil {
				t.Fatal(err)
			}
			saved = map[string]bool{}
		}
		c := exec.Command(os.Args[0], "-test.run=^$")
		c.Env = append(os.Environ(), deskVariable+"="+path+"|"+fmt.Sprintf("k%d.", i))
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		if !lines.Scan() || lines.Text() != "ready" {
			t.Fatal("the desk is not ready")
		}
		left := rand.IntN(3) // words that are saved before it is killed in the midst of the next ones
		kill := func() { time.AfterFunc(time.Duration(rand.IntN(15000))*time.Microsecond, func() { c.Process.Kill() }) }
		if left == 0 {
			kill()
		}
		for lines.Scan() {
			saved[lines.Text()] = true
			total++
			if left--; left == 0 {
				kill()
			}
		}
		c.Wait()
		have := words(t, file)
		for x := range saved {
			if !have[x] {
				t.Fatalf("kill %d: %s was saved and is lost", i, x)
			}
		}
		if raw, err := os.ReadFile(file); err != nil || !strings.HasPrefix(string(raw), "# by hand\n") {
			t.Fatalf("kill %d: %v, %.40q", i, err, raw)
		}
	}
	if total < 100 {
		t.Errorf("only %d words were saved, so this tests little", total)
	}
}

// Two windows and a command write to the same lines, 200 times each: what one of them was told
// is saved is there in the end, and nobody's word is overwritten.
func TestManyWritersLoseNothing(t *testing.T) {
	const each = 200
	w := open(t, map[string]string{"a.csv": run(t, "08 07:00", leg{120, 2.8}), "b.csv": run(t, "09 07:00", leg{120, 2.8})})
	file := filepath.Join(w.folder, folder.Log)
	days := []string{"2026-09-08", "2026-09-09"}
	saved := make([][]string, 3)
	refused := make([]int, 2)
	var all sync.WaitGroup
	for k := range 2 {
		other := *w // a window of its own
		other.head = w.head.Clone()
		all.Go(func() {
			for i := range each {
				word := fmt.Sprintf("w%d.%d", k, i)
				for !other.addNote(days[i%2]+"-070000", word) { // looks again, and says it again
					refused[k]++
				}
				saved[k] = append(saved[k], word)
			}
		})
	}
	all.Go(func() {
		for i := range each {
			word := fmt.Sprintf("c%d", i)
			err := log.Change(file, func(l *log.Log) error { // as rungs log note does
				day, _ := time.Parse(time.DateOnly, days[i%2])
				e := log.NewEntry(day)
				if old, ok := l.Find(e); ok {
					e = old
				}
				e.Note = strings.TrimSpace(e.Note + " " + word)
				return l.Set(e)
			})
			if err != nil {
				t.Error(err)
				return
			}
			saved[2] = append(saved[2], word)
		}
	})
	all.Wait()
	have := words(t, file)
	n := 0
	for _, list := range saved {
		for _, x := range list {
			n++
			if !have[x] {
				t.Errorf("%s was saved and is lost", x)
			}
		}
	}
	t.Logf("%d words saved; the windows were refused %d and %d times", n, refused[0], refused[1])
	if n != 3*each || len(have) != n {
		t.Errorf("%d words were saved, the log has %d", n, len(have))
	}
}
