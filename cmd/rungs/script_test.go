package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in scripts and in README.md")

func TestMain(m *testing.M) {
	time.Local = time.UTC                                                           // the machine's zone is in the output where none is named
	now = func() time.Time { return time.Date(2026, 12, 1, 12, 0, 0, 0, time.UTC) } // and its clock decides which days are to come
	testscript.Main(closing{m}, map[string]func(){"rungs": main})
}

// closing runs the tests and closes the browser that they share.
type closing struct{ m *testing.M }

func (c closing) Run() int {
	defer theBrowser.close()
	return c.m.Run()
}

// TestScript runs the scripts in testdata/script, one per command and kind of
// trouble. They find the demo recordings and plans in the folder demo.
func TestScript(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, "cache"))
			return os.CopyFS(filepath.Join(env.WorkDir, "demo"), os.DirFS(filepath.Join("..", "..", "testdata", "demo")))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status,
			"record": record,
			"head":   head,
			"dated":  dated,
			"appear": appear,
			"damage": damage,
		},
	})
}

// status runs a command and holds it to an exact exit status:
//
//	status 2 rungs split missing.fit
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status CODE COMMAND...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	switch err := ts.Exec(args[1], args[2:]...); {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	default:
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// record writes a recording of legs run at an exactly even speed, a record a
// second, so that a script knows what must come out:
//
//	record FILE SECONDS@SPEED[/HEART]...
//
// The speed is in m/s, the heart rate in beats/min. There is none in the file
// when no leg has one.
func record(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: record FILE SECONDS@SPEED[/HEART]...")
	}
	var b strings.Builder
	withHeart := strings.Contains(args[1], "/")
	b.WriteString("t_s,distance_m")
	if withHeart {
		b.WriteString(",hr_bpm")
	}
	b.WriteByte('\n')
	t, d := 0, 0.0
	row := func(heart string) {
		fmt.Fprintf(&b, "%d,%.2f", t, d)
		if withHeart {
			b.WriteString("," + heart)
		}
		b.WriteByte('\n')
	}
	for i, leg := range args[1:] {
		leg, heart, _ := strings.Cut(leg, "/")
		seconds, speed, _ := strings.Cut(leg, "@")
		n, err := strconv.Atoi(seconds)
		ts.Check(err)
		v, err := strconv.ParseFloat(speed, 64)
		ts.Check(err)
		if i == 0 {
			row(heart)
		}
		for range n {
			t, d = t+1, d+v
			row(heart)
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(b.String()), 0o666))
}

// dated gives a recording that record wrote a start time: dated FILE TIME.
func dated(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: dated FILE TIME")
	}
	start, err := time.Parse(time.RFC3339, args[1])
	ts.Check(err)
	b, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	var out strings.Builder
	for i, line := range strings.Split(strings.TrimSuffix(string(b), "\n"), "\n") {
		t, rest, _ := strings.Cut(line, ",")
		if i > 0 {
			n, err := strconv.Atoi(t)
			ts.Check(err)
			t = start.Add(time.Duration(n) * time.Second).Format(time.RFC3339)
		} else {
			t = "time"
		}
		out.WriteString(t + "," + rest + "\n")
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(out.String()), 0o666))
}

// appear waits until there are files in folders that match: appear PATTERN.
func appear(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: appear PATTERN")
	}
	for range 10_000 {
		if found, _ := filepath.Glob(ts.MkAbs(args[0])); len(found) > 0 {
			return
		}
		time.Sleep(time.Millisecond)
	}
	ts.Fatalf("%s: nothing appears", args[0])
}

// damage overwrites every file in a folder, at any depth, with rubbish.
func damage(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: damage FOLDER")
	}
	n := 0
	ts.Check(filepath.WalkDir(ts.MkAbs(args[0]), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		n++
		return os.WriteFile(path, []byte("rubbish"), 0o666)
	}))
	if n == 0 {
		ts.Fatalf("%s holds no file", args[0])
	}
}

// head cuts a file to its first bytes: head SIZE FROM TO.
func head(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: head SIZE FROM TO")
	}
	size, err := strconv.Atoi(args[0])
	ts.Check(err)
	b, err := os.ReadFile(ts.MkAbs(args[1]))
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), b[:min(size, len(b))], 0o666))
}
