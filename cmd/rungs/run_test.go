package main

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/report"
)

// brokenWriter is a full disk.
type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// Output that cannot be written is trouble, not success.
func TestBrokenOutput(t *testing.T) {
	for _, args := range [][]string{{"--help"}, {"help", "split"}, {"split", "--help"}, {"--version"}, {"explain", "5 x 1km off 2:00 jog"}} {
		var stderr bytes.Buffer
		if got := run(args, strings.NewReader(""), brokenWriter{}, &stderr); got != exitTrouble {
			t.Errorf("%q: exit status %d, want %d", args, got, exitTrouble)
		}
		if got, want := stderr.String(), "rungs: cannot write the output: no space left\n"; got != want {
			t.Errorf("%q: %q on standard error, want %q", args, got, want)
		}
	}
}

// The order of the three variables is that of POSIX (The Open Group Base
// Specifications, issue 7, section 8.2).
func TestChoosePage(t *testing.T) {
	for _, c := range []struct {
		terminal bool
		columns  int
		env      map[string]string
		want     report.Page
	}{
		{false, 0, map[string]string{"TERM": "xterm"}, report.Page{}},
		{false, 0, map[string]string{"TERM": "xterm", "LANG": "C"}, report.Page{}},
		{false, 0, map[string]string{"COLUMNS": "40"}, report.Page{Columns: 40}},
		{true, 80, map[string]string{"TERM": "xterm", "LANG": "de_DE.UTF-8"}, report.Page{Columns: 80, Styled: true}},
		{true, 80, map[string]string{"TERM": "xterm", "LANG": "C.utf8", "COLUMNS": "40"}, report.Page{Columns: 40, Styled: true}},
		{true, 80, map[string]string{"TERM": "xterm", "LC_CTYPE": "UTF-8", "LANG": "C", "COLUMNS": "0"}, report.Page{Columns: 80, Styled: true}},
		{true, 80, map[string]string{"TERM": "xterm", "LC_ALL": "en_GB.UTF-8", "LC_CTYPE": "C", "COLUMNS": "wide"}, report.Page{Columns: 80, Styled: true}},
		{true, 80, map[string]string{"TERM": "dumb", "LANG": "C.UTF-8"}, report.Page{Columns: 80}},
		{true, 80, map[string]string{"LANG": "C.UTF-8"}, report.Page{Columns: 80}},
		{true, 80, map[string]string{"TERM": "xterm", "LANG": "C.UTF-8", "NO_COLOR": "1"}, report.Page{Columns: 80}},
		{true, 80, map[string]string{"TERM": "xterm", "LANG": "C"}, report.Page{Columns: 80, Styled: true, ASCII: true}},
		{true, 80, map[string]string{"TERM": "xterm", "LC_ALL": "POSIX", "LANG": "de_DE.UTF-8"}, report.Page{Columns: 80, Styled: true, ASCII: true}},
		{true, 80, map[string]string{"TERM": "xterm", "LANG": "de_DE.ISO-8859-1"}, report.Page{Columns: 80, Styled: true, ASCII: true}},
		{true, 80, map[string]string{"TERM": "linux", "LANG": "C.UTF-8"}, report.Page{Columns: 80, Styled: true, ASCII: true}},
		{true, 80, map[string]string{"TERM": "xterm"}, report.Page{Columns: 80, Styled: true, ASCII: runtime.GOOS != "windows"}},
	} {
		got := choosePage(c.terminal, c.columns, func(name string) string { return c.env[name] })
		if got != c.want {
			t.Errorf("terminal %v of %d columns, %v: %+v, want %+v", c.terminal, c.columns, c.env, got, c.want)
		}
	}
	// A file is no terminal, and neither is a buffer.
	t.Setenv("COLUMNS", "")
	f, err := os.Create(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, w := range []io.Writer{f, &bytes.Buffer{}} {
		if got := pageOf(w); got != (report.Page{}) {
			t.Errorf("page of a %T is %+v", w, got)
		}
	}
}

func TestSaveReplacesWholeFiles(t *testing.T) {
	folder := t.TempDir()
	file, link := filepath.Join(folder, "a.plan"), filepath.Join(folder, "link.plan")
	if err := os.WriteFile(file, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("a.plan", link); err != nil {
		t.Fatal(err)
	}
	e := newEnv(strings.NewReader(""), &bytes.Buffer{}, &bytes.Buffer{})
	if err := e.save(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	if b, err := os.ReadFile(file); err != nil || string(b) != "new" {
		t.Errorf("the file behind the link holds %q, %v", b, err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is a link no more: %v, %v", info, err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("permissions are %v, %v", info.Mode(), err)
	}
	// A folder that cannot be written to, and nothing left behind.
	if err := e.save(filepath.Join(folder, "missing", "b.plan"), nil); err == nil {
		t.Error("saved into a folder that does not exist")
	}
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) != 2 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}

// An interrupt ends the program with 130, even while it waits for input.
func TestInterrupt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no process can be sent an interrupt on Windows")
	}
	cmd := exec.Command("rungs", "split", "-") // this test binary, see TestMain
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	// More than a pipe holds: once it is taken, the program is reading, so it
	// has long asked for interrupts.
	if _, err := in.Write([]byte("t_s,distance_m\n" + strings.Repeat("1,2\n", 1<<18))); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	err = cmd.Wait()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != exitInterrupted {
		t.Errorf("ended with %v, want exit status %d", err, exitInterrupted)
	}
}

// An interrupt leaves no folder behind that is only partly there.
func TestInterruptedDemo(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no process can be sent an interrupt on Windows")
	}
	folder := filepath.Join(t.TempDir(), "trial")
	cmd := exec.Command("rungs", "demo", "--weeks", "2000", "--runners", "999", folder)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for i := 0; ; i++ {
		if found, _ := filepath.Glob(filepath.Join(folder, "*", "*.fit")); len(found) > 2 {
			break
		}
		if i > 10_000 {
			cmd.Process.Kill()
			t.Fatal("no recording appears")
		}
		time.Sleep(time.Millisecond)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	err := cmd.Wait()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != exitInterrupted {
		t.Errorf("ended with %v, want exit status %d", err, exitInterrupted)
	}
	if _, err := os.Stat(folder); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%s was left behind (%v)", folder, err)
	}
}

// So does trouble, such as a full disk.
func TestNewFolderIsWholeOrNotThere(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "trial")
	var stderr bytes.Buffer
	e := newEnv(strings.NewReader(""), &bytes.Buffer{}, &stderr)
	status := e.inNewFolder(folder, func() error {
		return errors.Join(e.create(filepath.Join(folder, "a"), []byte("a")), &fs.PathError{Op: "write", Path: "b", Err: errors.New("no space left")})
	})
	if status != exitTrouble || stderr.String() != "rungs: b: no space left\n" {
		t.Errorf("status %d, %q", status, &stderr)
	}
	if _, err := os.Stat(folder); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%s was left behind (%v)", folder, err)
	}
	if status := e.inNewFolder(folder, func() error { return nil }); status != exitFine || e.unfinished != "" {
		t.Errorf("status %d, unfinished %q", status, e.unfinished)
	}
}

// Plans in another encoding are told as such, and no letter of them is lost.
func TestPlansInOtherEncodings(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, text := range map[string]string{
		"latin-1.plan": "# fr\xfch\n5 x 4:00 off 90s jog\n",
		"utf-16.plan":  "\xff\xfe5\x00k\x00m\x00",
	} {
		for _, args := range [][]string{{"fmt", name}, {"fmt", "-w", name}, {"fmt", "-d", name}, {"explain", name}, {"library", "add", "--library", "plans", "a", name}} {
			if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
			var stdout, stderr bytes.Buffer
			status := run(args, strings.NewReader(""), &stdout, &stderr)
			if status != exitTrouble || stdout.Len() > 0 || !strings.HasSuffix(stderr.String(), "\nsave it as UTF-8\n") {
				t.Errorf("%q: status %d, %q, %q", args, status, &stdout, &stderr)
			}
			if b, err := os.ReadFile(name); err != nil || string(b) != text {
				t.Errorf("%q: the file is now %q (%v)", args, b, err)
			}
		}
	}
}

// The errors of an archive, and the mistakes of a plan, come line by line;
// what a terminal would obey does not come through.
func TestComplainFully(t *testing.T) {
	var stderr bytes.Buffer
	e := newEnv(strings.NewReader(""), &bytes.Buffer{}, &stderr)
	status := e.complainFully(errors.Join(
		errors.New("runs.zip/a\x1b[2J.fit: is empty"),
		workouts.Diagnostics{{File: "p", Line: 1, Column: 2, Length: 1, Message: "no", Hint: "yes", SourceLine: "\tx"}},
	))
	const want = "rungs: runs.zip/a\\x1b[2J.fit: is empty\np:1:2: no\n    \tx\n    \t^\nyes\n"
	if got := stderr.String(); got != want || status != exitTrouble {
		t.Errorf("status %d, printed %q, want %q", status, got, want)
	}
}

// The desk answers until it is interrupted, prints its address alone on standard output, and
// ends well.
func TestInterruptedDesk(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no process can be sent an interrupt on Windows")
	}
	cmd := exec.Command("rungs", "desk", "--no-browser", "--no-cache", "--folder", t.TempDir())
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	address, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.Get(strings.TrimSpace(address))
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Errorf("%q: %v", address, err)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("interrupted, it ended with %v", err)
	}
}
