package report

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// Widths by Unicode Standard Annex #11, East Asian Width: Hangul syllables and
// CJK ideographs are wide (W), fullwidth forms are F, ± is ambiguous (A, narrow
// outside East Asian text), combining marks take no column of their own.
func TestDisplayWidth(t *testing.T) {
	for _, c := range []struct {
		text string
		want int
	}{
		{"", 0},
		{"4:05", 4},
		{"±2", 2},
		{"~", 1},
		{"Läufe", 5},
		{"La\u0308ufe", 5}, // the same with a combining diaeresis
		{"走る", 4},
		{"한", 2},
		{"Ｗ", 2},
		{"→", 1},
	} {
		if got := displayWidth(c.text); got != c.want {
			t.Errorf("displayWidth(%q) = %d, want %d", c.text, got, c.want)
		}
	}
}

func TestSafe(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"Läufe im März.fit", "Läufe im März.fit"},
		{"a\x1b[31mred", `a\x1b[31mred`}, // ECMA-48 control sequence
		{"a\nb\tc\r", `a\nb\tc\x0d`},
		{"a\u009b31m", `a\x9b31m`}, // the one-character CSI of ECMA-48
		{"evil\u202egpj.fit", `evil\u202egpj.fit`},
		{"bad\xff", `bad\xff`},
		{"\x7f", `\x7f`},
	} {
		if got := Safe(c.in); got != c.want {
			t.Errorf("Safe(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func FuzzSafe(f *testing.F) {
	for _, s := range []string{"", "a\x1b[0m", "\u202e", "\xff\xfe", "走る", "e\u0301"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Safe(s)
		if !utf8.ValidString(got) {
			t.Errorf("Safe(%q) is not UTF-8", s)
		}
		for _, r := range got {
			if !unicode.IsGraphic(r) {
				t.Errorf("Safe(%q) lets %U through", s, r)
			}
		}
		if again := Safe(got); again != got {
			t.Errorf("Safe(Safe(%q)) = %q, not %q", s, again, got)
		}
	})
}

func TestWrapKeepsWordsAndLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zü走±]{1,9}`), 1, 30).Draw(t, "words")
		limit := rapid.IntRange(1, 60).Draw(t, "limit")
		lines := wrap(strings.Join(words, " "), limit, "  ")
		if got := strings.Fields(strings.Join(lines, " ")); strings.Join(got, " ") != strings.Join(words, " ") {
			t.Fatalf("words became %q", got)
		}
		for _, line := range lines {
			if displayWidth(line) > limit && len(strings.Fields(line)) > 1 {
				t.Fatalf("line %q is wider than %d and could have been broken", line, limit)
			}
		}
	})
}
