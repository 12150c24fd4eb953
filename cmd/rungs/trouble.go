package main

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"example.org/rungs/workouts/report"
)

// Bounds on what is said of trouble: a name or a text of a file may have any
// length, and an archive any number of bad files. Common practice, no source.
const (
	longestLine = 200 // characters
	longestWord = 60  // characters of a word that is cut first, such as a path
	mostOfKind  = 20  // lines of one kind; the rest are counted
)

// brief cuts a line that is longer than so many characters: first the middle of
// its long words, as what to do stands at its end, then the end itself.
func brief(line string, longest int) string {
	if utf8.RuneCountInString(line) <= longest {
		return line
	}
	words := strings.Split(line, " ")
	for i, w := range words {
		if utf8.RuneCountInString(w) > longestWord {
			r := []rune(w)
			words[i] = string(r[:longestWord/2]) + "…" + string(r[len(r)-longestWord/2+1:])
		}
	}
	r := []rune(strings.Join(words, " "))
	if len(r) > longest {
		r = append(r[:longest-1], '…')
	}
	return string(r)
}

var numerals = regexp.MustCompile(`[0-9]+|"[^"]*"`)

// kindOf is what a trouble has in common with others of its kind: what is wrong,
// without the place, figures and what is quoted.
func kindOf(message string) string {
	if _, what, ok := strings.Cut(message, ": "); ok {
		message = what
	}
	return numerals.ReplaceAllString(message, "#")
}

// oneTooMany counts a trouble and tells whether enough of its kind were said.
func (e *env) oneTooMany(message string) bool {
	if e.troubles == nil {
		e.troubles = map[string]int{}
	}
	kind := kindOf(message)
	if e.troubles[kind] == 0 {
		e.kinds = append(e.kinds, kind)
	}
	e.troubles[kind]++
	return e.troubles[kind] > mostOfKind
}

// countTroubles says how many troubles were not said.
func (e *env) countTroubles() {
	for _, kind := range e.kinds {
		if n := e.troubles[kind] - mostOfKind; n > 0 {
			line := fmt.Sprintf("rungs: and %d more of the kind: %s", n, kind)
			fmt.Fprintln(e.stderr, brief(report.Safe(line), longestLine))
		}
	}
	e.troubles, e.kinds = nil, nil
}
