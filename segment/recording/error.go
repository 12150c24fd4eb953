package recording

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Reasons an input is refused, for errors.Is. A missing file also matches
// fs.ErrNotExist, and so on: the cause is kept.
var (
	ErrEmpty       = errors.New("nothing in it")
	ErrFolder      = errors.New("a folder, not a file")
	ErrFormat      = errors.New("not a recording")
	ErrDamaged     = errors.New("damaged")
	ErrNoRecords   = errors.New("no records in it")
	ErrPlanOnly    = errors.New("a planned workout, not a recording")
	ErrTooLarge    = errors.New("too large")
	ErrNotJoinable = errors.New("not of one session")
)

// An Error says which input could not be read, where, why, and what to do.
type Error struct {
	Path   string // as it was given; a member of an archive is ARCHIVE/MEMBER
	Line   int    // from 1, of a text format; 0 when the whole input is meant
	Column int    // from 1: the character of an XML file, the column of a CSV file; 0 when unknown
	Offset int64  // byte offset from 0, of a binary format; -1 when the whole input is meant
	Reason string
	Hint   string // what to do about it; may be empty
	Err    error  // one of the reasons above, or the cause from below
}

// Error gives it all in one line.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.Path)
	switch {
	case e.Line > 0 && e.Column > 0:
		fmt.Fprintf(&b, ":%d:%d", e.Line, e.Column)
	case e.Line > 0:
		fmt.Fprintf(&b, ":%d", e.Line)
	case e.Offset >= 0:
		fmt.Fprintf(&b, ": byte %d", e.Offset)
	}
	b.WriteString(": ")
	b.WriteString(e.Reason)
	if e.Hint != "" {
		b.WriteString("; ")
		b.WriteString(e.Hint)
	}
	return b.String()
}

// Unwrap gives the reason or the cause.
func (e *Error) Unwrap() error { return e.Err }

// refuse makes an Error about a whole input.
func refuse(path string, cause error, reason, hint string) *Error {
	return &Error{Path: path, Offset: -1, Reason: clipped(reason), Hint: hint, Err: cause}
}

// mostSaid bounds what is said of a fault, in characters: texts of files, which may
// have megabytes, are quoted in it. The longest without such has 200.
const mostSaid = 300

// clipped is a text without what is beyond mostSaid.
func clipped(text string) string {
	if len(text) <= mostSaid || utf8.RuneCountInString(text) <= mostSaid {
		return text
	}
	return string([]rune(text[:min(4*mostSaid, len(text))])[:mostSaid-1]) + "…"
}
