package main

import (
	"bytes"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// An exampleRun is a command of README.md and the lines printed under it.
type exampleRun struct {
	line   int // of the command, from 0
	until  int // line after the output
	args   []string
	output string
}

// documents are those for users, from the root of the module.
var documents = []string{"README.md", "workouts/match/CHECK.md", "workouts/block/BLOCKS.md", "workouts/report/FORMATS.md"}

// document gives the lines of one.
func document(t *testing.T, name string) []string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(string(b), "\n")
}

// commandLines finds every "$ command" in a code block of the README.
func commandLines(lines []string) (commands []string) {
	fenced := false
	for _, line := range lines {
		if strings.HasPrefix(line, "```") {
			fenced = !fenced
		}
		if command, ok := strings.CutPrefix(line, "$ "); ok && fenced {
			commands = append(commands, command)
		}
	}
	return commands
}

// exampleRuns finds the commands that run this program.
func exampleRuns(t *testing.T, lines []string) (runs []exampleRun) {
	t.Helper()
	fenced := false
	for i, line := range lines {
		if strings.HasPrefix(line, "```") {
			fenced = !fenced
		}
		command, ok := strings.CutPrefix(line, "$ ")
		if !ok || !fenced {
			continue
		}
		rest, ok := strings.CutPrefix(command, "rungs ")
		if !ok {
			rest, ok = strings.CutPrefix(command, "go run ./cmd/rungs ")
		}
		if !ok {
			continue
		}
		until := i + 1
		for until < len(lines) && !strings.HasPrefix(lines[until], "```") && !strings.HasPrefix(lines[until], "$ ") {
			until++
		}
		output := strings.Join(lines[i+1:until], "\n")
		if until > i+1 {
			output += "\n"
		}
		runs = append(runs, exampleRun{i, until, shellWords(t, rest), output})
	}
	return runs
}

// shellWords splits a command line at spaces outside quotation marks.
func shellWords(t *testing.T, s string) (words []string) {
	t.Helper()
	var word strings.Builder
	quote, begun := rune(0), false
	for _, r := range s {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(r)
		case r == '"' || r == '\'':
			quote, begun = r, true
		case r == ' ':
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		case strings.ContainsRune("|<>;&$*?`\\", r):
			t.Fatalf("this test knows no shell: %s", s)
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if quote != 0 {
		t.Fatalf("open quotation mark: %s", s)
	}
	if begun {
		words = append(words, word.String())
	}
	return words
}

// TestReadmeExamples runs every example of this program in the documents, from
// the root of the module, and compares what it prints.
func TestReadmeExamples(t *testing.T) {
	all := map[string][]string{}
	for _, name := range documents {
		all[name] = document(t, name)
	}
	t.Chdir(filepath.Join("..", ".."))
	t.Setenv("COLUMNS", "")
	for _, name := range []string{"RUNGS_ATHLETE", "HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"} {
		t.Setenv(name, "") // no athlete file, no cache
	}
	t.Setenv("XDG_CONFIG_DIRS", t.TempDir())
	found := 0
	for _, name := range documents {
		found += runExamples(t, name, all[name])
	}
	if found < 4 {
		t.Errorf("%d examples in %s, which cannot be all", found, documents)
	}
}

// runExamples runs those of one document, and tells how many there are.
func runExamples(t *testing.T, name string, lines []string) int {
	t.Helper()
	runs := exampleRuns(t, lines)
	changed := false
	for i := len(runs) - 1; i >= 0; i-- { // backwards, so that line numbers hold while rewriting
		r := runs[i]
		var out bytes.Buffer // both streams, as a terminal shows them
		run(r.args, strings.NewReader(""), &out, &out)
		if out.String() == r.output {
			continue
		}
		if *update {
			printed := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
			lines = append(lines[:r.line+1], append(printed, lines[r.until:]...)...)
			changed = true
			continue
		}
		t.Errorf("%s:%d: prints\n%s\nbut the document has\n%s", name, r.line+1, out.String(), r.output)
	}
	if changed {
		if err := os.WriteFile(filepath.FromSlash(name), []byte(strings.Join(lines, "\n")), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return len(runs)
}

// The README is short enough to be read before the first run, lines of output included.
func TestReadmeIsShort(t *testing.T) {
	const most = 150 // lines: a bound of our own
	if n := len(document(t, "README.md")) - 1; n > most {
		t.Errorf("README.md has %d lines, more than %d", n, most)
	}
}

// The picture of README is what the command beside it draws.
func TestReadmePicture(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	picture := filepath.FromSlash("testdata/pictures/session.svg")
	drawn := filepath.Join(t.TempDir(), "session.svg")
	var said bytes.Buffer
	if status := run([]string{"split", "--plot", drawn, filepath.FromSlash("testdata/demo/tuesday-treadmill.fit")}, strings.NewReader(""), &said, &said); status != exitFine {
		t.Fatalf("status %d\n%s", status, said.String())
	}
	got, err := os.ReadFile(drawn)
	if err != nil {
		t.Fatal(err)
	}
	if want, err := os.ReadFile(picture); err == nil && bytes.Equal(got, want) {
		return
	}
	if !*update {
		t.Fatalf("%s is not what is drawn now; go test ./cmd/rungs -run ReadmePicture -update draws it", picture)
	}
	if err := os.WriteFile(picture, got, 0o666); err != nil {
		t.Fatal(err)
	}
}

// The README opens with two commands: a run of the program and the tests. The
// script for continuous integration runs the second as it stands there.
func TestReadmeOpensWithTwoCommands(t *testing.T) {
	commands := commandLines(document(t, "README.md"))
	if len(commands) < 2 {
		t.Fatalf("commands of README.md: %q", commands)
	}
	if !strings.HasPrefix(commands[0], "go run ./cmd/rungs check ") {
		t.Errorf("the first command is %q", commands[0])
	}
	if commands[1] != "go test ./..." {
		t.Errorf("the second command is %q", commands[1])
	}
	ci, err := os.ReadFile(filepath.Join("..", "..", ".ci", "run"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(ci, []byte("\n"+commands[1]+"\n")) {
		t.Errorf(".ci/run has no line %q", commands[1])
	}
}

var link = regexp.MustCompile(`\]\(([^)#:]+)\)`)

// Every file that the documents point at exists.
func TestDocumentLinks(t *testing.T) {
	for _, name := range append([]string{"DEVELOPERS.md", "workouts/match/ACCURACY.md", "workouts/block/ACCURACY.md", "segment/MODEL.md"}, documents...) {
		b, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range link.FindAllStringSubmatch(string(b), -1) {
			if _, err := os.Stat(filepath.Join("..", "..", filepath.FromSlash(path.Dir(name)), filepath.FromSlash(m[1]))); err != nil {
				t.Errorf("%s points at %s: %v", name, m[1], err)
			}
		}
	}
}
