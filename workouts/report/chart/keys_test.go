package chart

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Keys go on in the next row where the width ends; all are there, in order,
// and text that is too long is cut.
func TestKeys(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.Float64Range(120, 900).Draw(t, "width")
		words := rapid.SliceOfN(rapid.StringMatching(`[a-z, ]{1,12}[a-z]`), 1, 9).Draw(t, "words")
		var k Keys
		for _, w := range words {
			k = append(k, Key{Work, w})
		}
		s := Chart{Panels: []Panel{{Height: KeyRow, Layers: []Layer{k}}}}.layout(width, false)
		var got []string
		before := point{-1, 0}
		for _, x := range s.shapes {
			p := x.runs[0][0]
			if x.text == "" {
				if x.filled && (p.y < before.y || p.y == before.y && p.x <= before.x || p.y > before.y+KeyRow) {
					t.Fatalf("a key at %v comes after one at %v", p, before)
				}
				before = p
				continue
			}
			got = append(got, x.text)
			if right := p.x + textWidth(x.text, false); right > width && before.x > 0 {
				t.Fatalf("%q ends at %.0f of %.0f", x.text, right, width)
			}
		}
		if strings.Join(got, "|") != strings.Join(words, "|") {
			t.Fatalf("keys %q, want %q", got, words)
		}
	})
}

func TestCut(t *testing.T) {
	for _, c := range []struct{ in, want string }{{"short", "short"}, {"", ""}, {strings.Repeat("m", 40), strings.Repeat("m", 8) + "…"}} {
		got := cut(c.in, 100)
		if got != c.want || textWidth(got, true) > 100 {
			t.Errorf("cut(%q) = %q, %.0f px wide, want %q", c.in, got, textWidth(got, true), c.want)
		}
	}
	if lines := wrapWords("one "+strings.Repeat("x", 500)+" two", 200); len(lines) != 3 || textWidth(lines[1], true) > 200 {
		t.Errorf("lines are %q", lines)
	}
}
