package workouts

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A Diagnostic is one mistake in a text: where, what, and what to do.
type Diagnostic struct {
	File    string `json:"file"`
	Line    int    `json:"line"`   // from 1
	Column  int    `json:"column"` // from 1, in characters
	Length  int    `json:"length"` // in characters, at least 1
	Code    string `json:"code"`   // never varies
	Message string `json:"message"`
	Hint    string `json:"hint"`

	SourceLine string `json:"-"` // without characters that would upset a terminal
}

// PrintableLine makes a SourceLine: it keeps the characters of a line and
// their number, but none that would upset a terminal.
func PrintableLine(line string) string {
	return strings.Map(func(r rune) rune {
		if r != '\t' && !unicode.IsPrint(r) && !unicode.Is(unicode.Zs, r) {
			return '\uFFFD'
		}
		return r
	}, line)
}

// String is the summary, the source line, a caret under the characters, and
// the hint, each on a line of its own, without a line end.
func (d Diagnostic) String() string {
	source, column := window(d.SourceLine, d.Column, d.Length)
	runes := []rune(source)
	var pad strings.Builder
	for i := 0; i < column-1; i++ {
		if i < len(runes) && runes[i] == '\t' {
			pad.WriteByte('\t')
		} else {
			pad.WriteByte(' ')
		}
	}
	carets := strings.Repeat("^", max(min(d.Length, len(runes)-column+1), 1))
	s := fmt.Sprintf("%s\n    %s\n    %s%s", d.Summary(), source, pad.String(), carets)
	if d.Hint != "" {
		s += "\n" + d.Hint
	}
	return s
}

// Summary is the line "file:line:column: message".
func (d Diagnostic) Summary() string {
	place := fmt.Sprintf("%d:%d: ", d.Line, d.Column)
	if d.File != "" {
		place = d.File + ":" + place
	}
	return place + d.Message
}

// shown is the most characters of a source line that a diagnostic prints.
const shown = 100

// window cuts a long line down to what surrounds the mistake.
func window(line string, column, length int) (string, int) {
	if utf8.RuneCountInString(line) <= shown {
		return line, column
	}
	runes := []rune(line)
	from := max(min(column-1-shown/2, len(runes)-shown), 0)
	to := min(from+shown, len(runes))
	s := string(runes[from:to])
	if to < len(runes) {
		s += "…"
	}
	if from > 0 {
		s, from = "…"+s, from-1
	}
	return s, column - from
}

// Diagnostics are all the mistakes found in a text, in its order. It is never
// empty where it is returned as an error.
type Diagnostics []Diagnostic

// Error prints every diagnostic in full.
func (ds Diagnostics) Error() string {
	parts := make([]string, len(ds))
	for i, d := range ds {
		parts[i] = d.String()
	}
	return strings.Join(parts, "\n")
}

// Sort puts the diagnostics into the order of the text.
func (ds Diagnostics) Sort() {
	slices.SortStableFunc(ds, func(a, b Diagnostic) int {
		return cmp.Or(a.Line-b.Line, a.Column-b.Column)
	})
}
