package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// told is what the story of the demo says of its commands, one after the other.
var told = []struct {
	command string
	status  int
	shows   []string
}{
	{"rungs split tuesday-treadmill.fit", exitFine, []string{
		"found: 15:00 warm + 5 x 4:00 @ ", " off 1:30 jog + 10:00 cool\n"}},
	{"rungs check --plan tuesday-treadmill.plan tuesday-treadmill.fit", exitFine, []string{
		"As planned.\n", "The 5 reps got quicker over the session by 17 ±15 s/km, but rep 4 was slower than rep 3 by 3 "}},
	{"rungs check --plan thursday-track.plan thursday-track.fit", exitNo, []string{
		"Departed from the plan: rep 8 was short by ", "the odometer reads +1."}},
	{"rungs split saturday-easy.fit", exitFine, []string{"7.69 km in 45:04", "Both halves were at one pace", "6 stops, 3:04 in all."}},
	{"rungs split next-saturday-hills.fit", exitFine, []string{"8.00 km in 45:01", "Both halves were at one pace"}},
	{"rungs check --plan sunday-long.plan sunday-long.fit", exitFine, []string{
		"As planned.\n", "but rep 3 was slower than rep 2 by 9 "}},
	{"rungs check --plan next-tuesday-treadmill.plan next-tuesday-treadmill.fit", exitFine, []string{
		"The 5 reps were each quicker than the last, over the session by "}},
	{"rungs library add --library plans tuesday tuesday-treadmill.plan", exitFine, []string{"added tuesday: "}},
	{"rungs library history --library plans tuesday .", exitFine, []string{
		"was level with that of 2026-09-08, as far as can be known (-3 "}},
	{"rungs block --time-zone UTC --athlete athlete.toml --plan half-marathon.txt .", exitFine, []string{
		"are recordings of one run", "was work (49 %)"}},
}

// The story of the demo can be followed, and shows what it says.
func TestDemoStory(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	folder := filepath.Join(t.TempDir(), "trial")
	var out bytes.Buffer
	if status := run([]string{"demo", folder}, strings.NewReader(""), &out, &out); status != exitFine {
		t.Fatalf("demo: status %d, %s", status, &out)
	}
	athlete, err := os.ReadFile(filepath.Join("..", "..", "testdata", "athlete.toml"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(folder)
	if own, err := os.ReadFile("athlete.toml"); err != nil || !bytes.Equal(own, athlete) {
		t.Errorf("athlete.toml is not that of testdata: %v", err)
	}
	text, err := os.ReadFile("README.txt")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "simulated") {
		t.Error("README.txt does not say that all is simulated")
	}
	var commands []string
	for line := range strings.Lines(string(text)) {
		if c, ok := strings.CutPrefix(strings.TrimSpace(line), "$ "); ok {
			commands = append(commands, c)
		}
	}
	if len(commands) != len(told) {
		t.Fatalf("%d commands in README.txt, %d known here", len(commands), len(told))
	}
	for i, c := range commands {
		if c != told[i].command {
			t.Errorf("command %d is %q, want %q", i+1, c, told[i].command)
			continue
		}
		var stdout, stderr bytes.Buffer
		status := run(shellWords(t, c)[1:], strings.NewReader(""), &stdout, &stderr)
		if status != told[i].status || stderr.Len() > 0 {
			t.Errorf("%s: status %d, want %d; %s", c, status, told[i].status, &stderr)
		}
		for _, want := range told[i].shows {
			if !strings.Contains(stdout.String(), want) {
				t.Errorf("%s: no %q in\n%s", c, want, &stdout)
			}
		}
	}
}

// The demo is written by a program that has no copy of testdata, and is the same.
func TestDemoIsThatOfTestdata(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "trial")
	var out bytes.Buffer
	if status := run([]string{"demo", folder}, strings.NewReader(""), &out, &out); status != exitFine {
		t.Fatalf("demo: status %d, %s", status, &out)
	}
	entries, err := os.ReadDir(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		name := entry.Name()
		if name == "README.md" || strings.HasSuffix(name, ".tsv") {
			continue
		}
		want, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", name))
		if err != nil {
			t.Fatal(err)
		}
		// The bytes of recordings may differ in the last bits of a figure where the
		// processor rounds otherwise; segment/simulate holds them.
		got, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil || len(got) < len(want)*99/100 || filepath.Ext(name) == ".plan" && !bytes.Equal(got, want) {
			t.Errorf("%s: %d bytes, want %d; %v", name, len(got), len(want), err)
		}
	}
}
