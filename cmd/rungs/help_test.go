package main

import (
	"strings"
	"testing"
)

// Help fits a terminal of 80 columns, all but the command lines in it.
func TestHelpIsNarrow(t *testing.T) {
	texts := map[string]string{"overview": overview()}
	for _, c := range append(append(commands(), libraryCommands()...), logCommands()...) {
		texts[c.name] = strings.TrimSuffix(c.help(), "  "+c.example+"\n")
	}
	for name, text := range texts {
		for line := range strings.Lines(text) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
				t.Errorf("%s: %d columns: %s", name, n, line)
			}
		}
	}
}

func TestParagraphs(t *testing.T) {
	const text = "One\ntwo.\n\n  as\n   it is\nThree.\n\n\nFour.\n"
	if got, want := laidOut(text), "One two.\n\n  as\n   it is\n\nThree.\n\nFour."; got != want {
		t.Errorf("laid out as %q, want %q", got, want)
	}
}
