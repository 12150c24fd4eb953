package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in scripts and in README.md")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"rungs": main})
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
			return os.CopyFS(filepath.Join(env.WorkDir, "demo"), os.DirFS(filepath.Join("..", "..", "testdata", "demo")))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status,
			"head":   head,
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
