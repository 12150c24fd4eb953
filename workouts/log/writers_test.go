package log

import (
	"bufio"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// The test binary is also the process that is killed, or that writes beside
// another: TestMain hands over when this variable says so.
const writerVariable = "RUNGS_TEST_LOG_WRITER"

func TestMain(m *testing.M) {
	if job := os.Getenv(writerVariable); job != "" {
		if err := write(strings.Split(job, "|")); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// write puts N lines of a name of its own into a log, each on a day of its own, or
// lines for ever when N is 0.
func write(words []string) error {
	path, name := words[0], words[1]
	n, err := strconv.Atoi(words[2])
	if err != nil {
		return err
	}
	fmt.Println("ready")
	bufio.NewReader(os.Stdin).ReadByte() // until all are ready
	for i := 0; i < n || n == 0; i++ {
		err := Change(path, func(l *Log) error {
			e := NewEntry(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i%300))
			if old, ok := l.Find(e); ok {
				e = old
			}
			e.Note = strings.TrimSpace(e.Note + " " + name + strconv.Itoa(i))
			return l.Set(e)
		})
		if err != nil {
			return err
		}
		fmt.Println(i)
	}
	return nil
}

// startWriter starts a process that waits for a byte on in before it writes.
func startWriter(t *testing.T, job ...string) (c *exec.Cmd, in interface{ Write([]byte) (int, error) }, out *bufio.Scanner) {
	t.Helper()
	c = exec.Command(os.Args[0], "-test.run=^$")
	c.Env = append(os.Environ(), writerVariable+"="+strings.Join(job, "|"))
	c.Stderr = os.Stderr
	w, err1 := c.StdinPipe()
	r, err2 := c.StdoutPipe()
	if err := errors.Join(err1, err2, c.Start()); err != nil {
		t.Fatal(err)
	}
	out = bufio.NewScanner(r)
	if !out.Scan() || out.Text() != "ready" {
		t.Fatal("the writer is not ready")
	}
	return c, w, out
}

// Killed while it writes, again and again, a log keeps every line whose writing
// was over, holds whole lines only, and can be changed at once.
func TestKilledWriterLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log")
	const comment = "# kept by hand, whatever happens\n"
	if err := os.WriteFile(path, []byte(comment), 0o600); err != nil {
		t.Fatal(err)
	}
	kept := map[string]bool{}
	for i := 0; i < 200 || len(kept) < 50 && i < 2000; i++ { // a slow machine writes few lines between kills
		name := fmt.Sprintf("k%d.", i)
		c, in, out := startWriter(t, path, name, "0")
		in.Write([]byte{'\n'})
		after := time.Duration(rand.IntN(8000)) * time.Microsecond
		time.AfterFunc(after, func() { c.Process.Kill() })
		for out.Scan() {
			kept[name+out.Text()] = true
		}
		c.Wait()
		l, err := Read(path)
		if err != nil || len(l.Wrong()) > 0 || !strings.HasPrefix(l.String(), comment) || !strings.HasSuffix(l.String(), "\n") {
			t.Fatalf("kill %d: %v, %v", i, err, l.Wrong())
		}
		said := map[string]bool{}
		for _, e := range l.Entries() {
			for _, w := range strings.Fields(e.Note) {
				said[w] = true
			}
		}
		for w := range kept {
			if !said[w] {
				t.Fatalf("kill %d: %s was written and is lost", i, w)
			}
		}
	}
	if len(kept) < 50 {
		t.Errorf("only %d lines were written, so this tests little", len(kept))
	}
	if err := Change(path, func(l *Log) error { return l.Set(entry(8, func(e *Entry) { e.Clock, e.Hard = 1, true })) }); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(files) != 1 {
		t.Errorf("%d files are left: %v", len(files), err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the permissions became %v", info.Mode())
	}
}

// Two processes that write to the same lines of one log lose nothing.
func TestTwoWritersLoseNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log")
	const each = 60
	a, inA, outA := startWriter(t, path, "a", strconv.Itoa(each))
	b, inB, outB := startWriter(t, path, "b", strconv.Itoa(each))
	inA.Write([]byte{'\n'})
	inB.Write([]byte{'\n'})
	for outA.Scan() || outB.Scan() {
		continue
	}
	for outB.Scan() {
		continue
	}
	if err := errors.Join(a.Wait(), b.Wait()); err != nil {
		t.Fatal(err)
	}
	l, err := Read(path)
	if err != nil || len(l.Wrong()) > 0 || len(l.Entries()) != each {
		t.Fatalf("%v, %v, %d lines", err, l.Wrong(), len(l.Entries()))
	}
	for i, e := range l.Entries() {
		if w, x, y := " "+e.Note+" ", fmt.Sprintf(" a%d ", i), fmt.Sprintf(" b%d ", i); !strings.Contains(w, x) || !strings.Contains(w, y) {
			t.Errorf("line %d has %q", i, e.Note)
		}
	}
}

// A file that is too big, a folder, and a missing folder are errors, and an
// error of the change leaves all as it is.
func TestChangeTrouble(t *testing.T) {
	folder := t.TempDir()
	if _, err := Read(folder); err == nil {
		t.Error("a folder was read")
	}
	if err := Change(filepath.Join(folder, "missing", "log"), func(*Log) error { return nil }); err == nil {
		t.Error("a log in a missing folder was changed")
	}
	path := filepath.Join(folder, "log")
	stop := errors.New("stop")
	err := Change(path, func(l *Log) error {
		l.Set(entry(8, func(e *Entry) { e.Hard = true }))
		return stop
	})
	if _, there := os.Stat(path); err != stop || there == nil {
		t.Errorf("%v, %v", err, there)
	}
	if err := os.WriteFile(path, make([]byte, maxBytes+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Read(path); err == nil {
		t.Error("a file that is too big was read")
	}
}
