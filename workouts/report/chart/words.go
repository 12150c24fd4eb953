package chart

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// longest is how many characters of one text a chart shows.
const longest = 300

// Plain makes text fit to stand in a picture: what cannot be seen or changes
// the direction of text comes out as an escape, and what is very long is cut.
func Plain(s string) string {
	var b strings.Builder
	n := 0
	for i, r := range s {
		if n++; n > longest {
			b.WriteString("…")
			break
		}
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], "\uFFFD"):
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case unicode.IsGraphic(r):
			b.WriteRune(r)
		case r < 0x100:
			fmt.Fprintf(&b, `\x%02x`, r)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}

// textWidth estimates the width of a text in px, on the safe side for the
// common sans-serif faces.
func textWidth(s string, strong bool) float64 {
	em := 0.0
	for _, r := range Plain(s) {
		switch {
		case strings.ContainsRune(" .,:;'|!iljI()[]/t·", r):
			em += 0.36
		case r >= '0' && r <= '9':
			em += 0.64
		case unicode.IsUpper(r) || strings.ContainsRune("mw%@<>=+~#&", r):
			em += 0.8
		case r >= 0x1100:
			em += 1
		default:
			em += 0.6
		}
	}
	if strong {
		em *= 1.12
	}
	return em * textSize
}

// wrapWords breaks words into lines of at most width px.
func wrapWords(s string, width float64) []string {
	return wrapPieces(strings.Fields(s), " ", width)
}

// wrapFigures breaks the name and the figures of a mark into lines.
func wrapFigures(m Mark, width float64) []string {
	return wrapPieces(append([]string{m.Name}, m.Figures...), " · ", width)
}

func wrapPieces(pieces []string, between string, width float64) []string {
	var lines []string
	line := ""
	for _, p := range pieces {
		if p = cut(Plain(p), width); p == "" {
			continue
		}
		switch {
		case line == "":
			line = p
		case textWidth(line+between+p, false) <= width:
			line += between + p
		default:
			lines = append(lines, line)
			line = p
		}
	}
	return append(lines, line)
}

// cut shortens plain text to a width in px.
func cut(s string, width float64) string {
	if textWidth(s, true) <= width {
		return s
	}
	room := width - textWidth("…", true)
	for i, r := range s {
		if room -= textWidth(string(r), true); room < 0 {
			return s[:i] + "…"
		}
	}
	return s
}

// nameLines breaks a name into two lines at most.
func nameLines(s string, width float64) []string {
	lines := wrapWords(s, width)
	if len(lines) > 2 {
		lines = []string{lines[0], cut(strings.Join(lines[1:], " "), width)}
	}
	return lines
}
