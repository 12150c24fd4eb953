package notation

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"example.org/rungs/workouts"
	"github.com/google/go-cmp/cmp"
)

func init() {
	seen := map[string]bool{}
	for _, m := range mistakes {
		if seen[m.src] {
			panic("the same mistake twice: " + m.src)
		}
		seen[m.src] = true
	}
}

func TestMistakes(t *testing.T) {
	if len(mistakes) < 60 {
		t.Fatalf("only %d mistakes", len(mistakes))
	}
	codes := map[string]bool{codeTooBig: true} // has a test of its own
	for _, m := range mistakes {
		w, err := Parse("plan.txt", m.src)
		ds, ok := err.(Diagnostics)
		if !ok {
			t.Errorf("%q: no Diagnostics but %v", m.src, err)
			continue
		}
		var got []want
		for _, d := range ds {
			got = append(got, want{d.Line, d.Column, d.Length, d.Code, d.Message, d.Hint})
			codes[d.Code] = true
			if d.File != "plan.txt" {
				t.Errorf("%q: file %q", m.src, d.File)
			}
			if source := strings.Split(m.src, "\n")[d.Line-1]; d.SourceLine != workouts.PrintableLine(source) {
				t.Errorf("%q: source line %q", m.src, d.SourceLine)
			}
		}
		if diff := cmp.Diff(m.want, got, cmp.AllowUnexported(want{})); diff != "" {
			t.Errorf("%q:\n%s", m.src, diff)
		}
		if diff := cmp.Diff(workouts.Workout{}, w); diff != "" {
			t.Errorf("%q gave a workout as well:\n%s", m.src, diff)
		}
		checkDiagnostics(t, m.src, err)
	}
	for _, code := range allCodes(t) {
		if !codes[code] {
			t.Errorf("no mistake is about %q", code)
		}
	}
}

// allCodes reads the codes out of the source, so that none can be forgotten.
func allCodes(t *testing.T) []string {
	t.Helper()
	src, err := os.ReadFile("codes.go")
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for _, m := range regexp.MustCompile(`code[A-Z]\w+\s*= "(.*)"`).FindAllStringSubmatch(string(src), -1) {
		codes = append(codes, m[1])
	}
	if len(codes) < 15 {
		t.Fatalf("found only %q", codes)
	}
	return codes
}

func TestDiagnosticText(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"plan.txt", "10:00 warm\n5 x 3kms off 90s", `plan.txt:2:6: unknown unit "kms"
    5 x 3kms off 90s
         ^^^
use km or m`},
		{"", "10:00 esy", `1:7: unknown manner "esy"
    10:00 esy
          ^^^
did you mean "easy"?`},
		// The caret counts characters, not bytes, and keeps tabs.
		{"p", "5\t× ö 3", "p:1:5: a step starts with an amount, not with \"ö\"\n    5\t× ö 3\n     \t  ^\nwrite the amount first, for example 10:00, 400m or open"},
		// A mistake at the end of the line has its caret behind it.
		{"p", "5 x", "p:1:4: a step starts with an amount, not with the end of the line\n    5 x\n       ^\nwrite the amount first, for example 10:00, 400m or open"},
		// Control characters never reach the terminal.
		{"p", "5:00 \x1b[31m", "p:1:6: the character U+001B has no meaning here\n    5:00 \ufffd[31m\n         ^\ntake it out"},
		// Two mistakes in one run.
		{"p", "5:00 esy + 3kms", `p:1:6: unknown manner "esy"
    5:00 esy + 3kms
         ^^^
did you mean "easy"?
p:1:13: unknown unit "kms"
    5:00 esy + 3kms
                ^^^
use km or m`},
		// Of a long line only the surroundings are shown.
		{"p", strings.Repeat("1:00 + ", 60) + "1:00 esy" + strings.Repeat(" + 1:00", 60), `p:1:426: unknown manner "esy"
    …` + (strings.Repeat("1:00 + ", 60) + "1:00 esy" + strings.Repeat(" + 1:00", 60))[375:475] + `…
` + strings.Repeat(" ", 4+51) + `^^^
did you mean "easy"?`},
	} {
		_, err := Parse(c.name, c.src)
		if err == nil {
			t.Errorf("%q was accepted", c.src)
			continue
		}
		if diff := cmp.Diff(c.want, err.Error()); diff != "" {
			t.Errorf("%q:\n%s", c.src, diff)
		}
	}
}

func TestDiagnosticJSON(t *testing.T) {
	_, err := Parse("plan.txt", "3kms")
	got, jsonErr := json.Marshal(err)
	if jsonErr != nil {
		t.Fatal(jsonErr)
	}
	want := `[{"file":"plan.txt","line":1,"column":2,"length":3,"code":"unit","message":"unknown unit \"kms\"","hint":"use km or m"}]`
	if string(got) != want {
		t.Errorf("got %s", got)
	}
}

// Texts made to be slow, deep or long are refused with a reason.
func TestHostileTexts(t *testing.T) {
	for _, c := range []struct {
		name, src, code string
		count           int // of diagnostics
	}{
		{"more bytes than allowed", strings.Repeat("1:00 + ", workouts.MaxBytes/7+1) + "1:00", codeTooBig, 1},
		{"open parentheses", strings.Repeat("(", workouts.MaxBytes), codeDepth, 9},
		{"closing parentheses", strings.Repeat(")\n", workouts.MaxBytes/2), codeParen, maxDiagnostics},
		{"counts upon counts", "999 x ( 999 x ( 999 x ( 999 x ( 999 x ( 999 x 1:00 + 1:00 ) + 1:00 ) + 1:00 ) + 1:00 ) + 1:00 )", codeLimit, 1},
		{"plus signs", strings.Repeat("+", workouts.MaxBytes), codePlus, 1},
		{"one mistake over and over", strings.Repeat("1kms+", workouts.MaxBytes/5), codeUnit, maxDiagnostics},
		{"digits", strings.Repeat("9", workouts.MaxBytes), codeUnit, 1},
		{"digits with a unit", strings.Repeat("9", workouts.MaxBytes-1) + "m", codeLimit, 1},
		{"colons", "1" + strings.Repeat(":00", 20000), codeClock, 1},
		{"letters", strings.Repeat("a", workouts.MaxBytes), codeAmount, 1},
		{"a long name", "1:00 @ " + strings.Repeat("a", 60000), codeTarget, 1},
		{"header keys", strings.Repeat("a: b\n", 10000), codeHeader, maxDiagnostics},
		{"bytes that are no text", strings.Repeat("\xff", 50000), codeCharacter, 1},
	} {
		_, err := Parse("p", c.src)
		ds, ok := err.(Diagnostics)
		if !ok || ds[0].Code != c.code && ds[len(ds)-1].Code != c.code || len(ds) != c.count {
			t.Errorf("%s: got %d diagnostics, the first %v", c.name, len(ds), ds[0].Summary())
			continue
		}
		if n := len(err.Error()); n > 20000 {
			t.Errorf("%s: %d bytes of error", c.name, n)
		}
	}
}

// The time per byte must not grow with the length: compare the figures.
func BenchmarkParse(b *testing.B) {
	for _, n := range []int{100, 1000, 2400} {
		for name, src := range map[string]string{
			"steps":    strings.Repeat("3 x ( 400m @ half -5s + 200m jog )\n", n),
			"mistakes": strings.Repeat("3 x ( 400m @ half -5 + 200 jog\n", n),
			"comments": strings.Repeat("# a comment on a line of its own\n", n),
		} {
			src := src[:min(len(src), workouts.MaxBytes)]
			b.Run(fmt.Sprint(name, "/", n), func(b *testing.B) {
				b.SetBytes(int64(len(src)))
				for b.Loop() {
					_, _ = Parse("p", src)
				}
			})
		}
	}
}
