package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"
)

// The place and what to do stay when a line is cut; nothing is longer.
func TestBrief(t *testing.T) {
	path := "/" + strings.Repeat("deep/", 50) + "run.fit"
	got := brief(path+": is damaged; copy it again", longestLine)
	if n := utf8.RuneCountInString(got); n > longestLine || !strings.HasSuffix(got, "/run.fit: is damaged; copy it again") || !strings.HasPrefix(got, "/deep/") {
		t.Errorf("%d characters: %s", n, got)
	}
	for _, line := range []string{strings.Repeat("ä", 1e6), strings.Repeat("a b ", 1e5), strings.Repeat("\x00", 500)} {
		if n := utf8.RuneCountInString(brief(line, longestLine)); n > longestLine {
			t.Errorf("%d characters", n)
		}
	}
	if brief("short", longestLine) != "short" {
		t.Error("a short line is cut")
	}
}

// After twenty of a kind, whatever their places and figures, they are counted.
func TestTroublesOfAKindAreCounted(t *testing.T) {
	var out bytes.Buffer
	e := newEnv(nil, &out, &out)
	for i := range 1000 {
		e.complain(fmt.Sprintf("a/%d.fit: has %d bytes; copy it", i, i))
	}
	e.complainFully(errors.New("b.gpx: is empty"))
	e.finish()
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if len(lines) != 22 || lines[19] != "rungs: a/19.fit: has 19 bytes; copy it" || lines[20] != "rungs: b.gpx: is empty" ||
		lines[21] != "rungs: and 980 more of the kind: has # bytes; copy it" {
		t.Errorf("%d lines: %q", len(lines), lines)
	}
}

// broken takes no output.
type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// Output that cannot be written is said once, and is trouble.
func TestUnwritableOutputIsSaidOnce(t *testing.T) {
	var said bytes.Buffer
	if status := run([]string{"split", "--format", "csv", "../../testdata/demo", "../../testdata/demo"}, nil, broken{}, &said); status != exitTrouble {
		t.Errorf("status %d", status)
	}
	said.Reset()
	status := run([]string{"split", "../../testdata/demo"}, nil, broken{}, &said)
	if status != exitTrouble || strings.Count(said.String(), "cannot write the output") != 1 {
		t.Errorf("status %d, %s", status, said.String())
	}
}
