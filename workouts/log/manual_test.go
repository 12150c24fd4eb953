package log

import (
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the results in LOG.md")

// Every example of the manual is run:
//
//	log      is read without a fault and printed back byte for byte
//	written  is what the lines above are written as
//	mistake  is refused
//	says     is what is said of the mistake above
func TestManual(t *testing.T) {
	src, err := os.ReadFile("LOG.md")
	if err != nil {
		t.Fatal(err)
	}
	var l Log
	ran := map[string]int{}
	var out strings.Builder
	parts := strings.Split(string(src), "```")
	for i, part := range parts {
		if i > 0 {
			out.WriteString("```")
		}
		if i%2 == 0 {
			out.WriteString(part)
			continue
		}
		kind, text, _ := strings.Cut(part, "\n")
		ran[kind]++
		got := text
		switch kind {
		case "log":
			l = Parse("log", text)
			if w := l.Wrong(); len(w) > 0 {
				t.Error(w)
			}
			if got = l.String(); len(l.Entries()) == 0 {
				t.Errorf("no entry in %q", text)
			}
		case "written":
			got = ""
			for _, e := range l.Entries() {
				got += e.String() + "\n"
			}
		case "mistake":
			l = Parse("log", text)
			if len(l.Wrong()) != 1 || len(l.Entries()) > 0 {
				t.Errorf("%q: %d mistakes", text, len(l.Wrong()))
			}
		case "says":
			got = l.Wrong().Error() + "\n"
		default:
			t.Errorf("a block of kind %q", kind)
		}
		out.WriteString(kind + "\n" + got)
		if got != text && !*update {
			t.Errorf("the manual has\n%s\nbut it is\n%s", text, got)
		}
	}
	for kind, least := range map[string]int{"log": 3, "written": 1, "mistake": 8, "says": 8} {
		if ran[kind] < least {
			t.Errorf("only %d blocks of kind %q", ran[kind], kind)
		}
	}
	for _, w := range append(append([]string{}, marks...), keys...) {
		if !strings.Contains(string(src), "`"+w+"`") {
			t.Errorf("the manual does not explain %q", w)
		}
	}
	if *update && out.String() != string(src) {
		if err := os.WriteFile("LOG.md", []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
