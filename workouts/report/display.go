package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// Safe makes text of foreign origin (file names, activity names) harmless on a
// terminal: control characters, escapes, text-direction marks and bytes that
// are no UTF-8 come out as visible escapes, on one line.
func Safe(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case unicode.IsGraphic(r):
			b.WriteRune(r)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\n':
			b.WriteString(`\n`)
		case r < 0x100:
			fmt.Fprintf(&b, `\x%02x`, r)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
		i += n
	}
	return b.String()
}

// displayWidth is the number of terminal columns that s takes.
func displayWidth(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

// runeWidth counts East Asian ambiguous characters, of which ± is one, as
// narrow, as terminals outside East Asian locales do (Unicode UAX #11).
func runeWidth(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r < 0x1100:
		return 1
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// wrap breaks s at spaces into lines of at most limit columns; a longer word
// stays whole. Lines after the first begin with indent. No limit (0) means one
// line.
func wrap(s string, limit int, indent string) []string {
	if limit <= 0 || displayWidth(s) <= limit {
		return []string{s}
	}
	var lines []string
	line, used, begun := "", 0, false
	for _, word := range strings.Fields(s) {
		n := displayWidth(word)
		switch {
		case !begun:
			line, used, begun = line+word, used+n, true
		case used+1+n <= limit:
			line, used = line+" "+word, used+1+n
		default:
			lines = append(lines, line)
			line, used = indent+word, displayWidth(indent)+n
		}
	}
	return append(lines, line)
}
