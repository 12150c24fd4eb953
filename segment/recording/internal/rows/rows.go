// Package rows cuts the text of a table into rows of cells, quickly where nothing is quoted.
package rows

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"
)

// A Reader gives the rows of a table, whose cells hold until the next is read.
type Reader interface {
	Read() ([]string, error)
	Line() int // of the row that was read last, from 1
}

// New reads rows: those without quotation marks, as devices write them, by
// cutting lines, and all others by encoding/csv.
func New(data []byte, comma rune) Reader {
	if bytes.IndexByte(data, '"') < 0 {
		return &plainRows{rest: data, comma: byte(comma)}
	}
	rows := csv.NewReader(bytes.NewReader(data))
	rows.Comma = comma
	rows.FieldsPerRecord = -1
	rows.ReuseRecord = true
	rows.TrimLeadingSpace = comma != '\t'
	rows.LazyQuotes = true
	return quotedRows{rows}
}

type quotedRows struct{ *csv.Reader }

func (q quotedRows) Line() int {
	line, _ := q.FieldPos(0)
	return line
}

// Longest is how long a row may be, in bytes. Common practice, no source.
const Longest = 64 << 10

// ErrLong says that a row was passed over.
var ErrLong = errors.New("has a line that is too long")

// plainRows are rows without quotation marks. Empty lines are none.
type plainRows struct {
	rest  []byte
	comma byte
	line  int
	cells []string
}

func (p *plainRows) Line() int { return p.line }

func (p *plainRows) Read() ([]string, error) {
	for len(p.rest) > 0 {
		line := p.rest
		if end := bytes.IndexByte(p.rest, '\n'); end >= 0 {
			line, p.rest = p.rest[:end], p.rest[end+1:]
			line = bytes.TrimSuffix(line, []byte("\r"))
		} else {
			p.rest = nil
		}
		p.line++
		if len(line) > 0 {
			if len(line) > Longest {
				return nil, ErrLong
			}
			p.cut(string(line))
			return p.cells, nil
		}
	}
	return nil, io.EOF
}

func (p *plainRows) cut(line string) {
	p.cells = p.cells[:0]
	for {
		end := strings.IndexByte(line, p.comma)
		if end < 0 {
			p.cells = append(p.cells, line)
			return
		}
		p.cells = append(p.cells, line[:end])
		line = line[end+1:]
	}
}

// longestCell is how long a quoted cell may be, in bytes; those of recordings are
// names of stages. Common practice, no source.
const longestCell = 4096

// CloseQuotes takes away all quotation marks when one opens a cell that does not
// close, or not for longer than a cell may be: it would swallow the rows behind it.
// The line of that mark is open; 0 when all are well.
func CloseQuotes(data []byte, comma rune) (mended []byte, open int) {
	for at := 0; ; {
		mark := bytes.IndexByte(data[at:], '"')
		if mark < 0 {
			return data, 0
		}
		mark += at
		at = mark + 1
		if before := bytes.TrimRight(data[:mark], " "); len(before) > 0 && before[len(before)-1] != '\n' && rune(before[len(before)-1]) != comma {
			continue // within a cell it opens nothing
		}
		end := closing(data[at:], comma)
		if end < 0 {
			open = 1 + bytes.Count(data[:mark], []byte("\n"))
			return append(bytes.Clone(data[:mark]), bytes.ReplaceAll(data[mark:], []byte(`"`), nil)...), open
		}
		at += end
	}
}

// closing is where a quoted cell ends, behind its closing mark; -1 when it does not.
func closing(cell []byte, comma rune) int {
	for at := 0; at < min(len(cell), longestCell); at++ {
		if cell[at] != '"' {
			continue
		}
		rest := cell[at+1:]
		switch c, _ := utf8.DecodeRune(rest); {
		case len(rest) == 0, c == comma, c == '\n', c == '\r':
			return at + 1
		case c == '"':
			at++ // one that is meant
		}
	}
	return -1
}
