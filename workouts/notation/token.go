package notation

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// kind is what a token is.
type kind int

const (
	eof kind = iota
	newline
	number // digits, perhaps with a decimal point
	word   // letters
	times  // x
	plus
	minus
	arrow
	plusMinus
	leftParen
	rightParen
	at
	colon
	slash
	percent
	less
	greater
	minuteMark // '
	secondMark // "
	comma
	bad // anything else
)

// token is a piece of the source. Columns count characters from 1.
type token struct {
	kind   kind
	text   string // as written; words in lower case
	line   int
	column int
	length int  // in characters
	glued  bool // no blank before it
	atLine bool // first on its line
}

func (t token) is(w string) bool { return t.kind == word && t.text == w }

// comment is a # and what follows it on its line, blanks trimmed.
type comment struct {
	line int
	own  bool // nothing else stands on the line
	text string
}

// lines splits the source, whatever its line ends, and drops a byte order mark.
func lines(src string) []string {
	src = strings.TrimPrefix(src, "\ufeff")
	src = strings.ReplaceAll(src, "\r\n", "\n")
	src = strings.ReplaceAll(src, "\r", "\n")
	return strings.Split(src, "\n")
}

// symbols maps a character to the token it is by itself.
var symbols = map[rune]kind{
	'+': plus, '-': minus, '–': minus, '—': minus, '−': minus, '→': arrow, '±': plusMinus,
	'(': leftParen, ')': rightParen, '@': at, ':': colon, '/': slash, '%': percent,
	'<': less, '≤': less, '>': greater, '≥': greater, '×': times, '*': times, ',': comma, ';': comma,
	'\'': minuteMark, '′': minuteMark, '’': minuteMark, '"': secondMark, '″': secondMark, '”': secondMark,
}

// runs are the symbols of more than one character, longest first.
var runs = []struct {
	text string
	kind kind
}{{"+/-", plusMinus}, {"+-", plusMinus}, {"->", arrow}, {"–>", arrow}, {"=>", arrow}, {"''", secondMark}}

// scan cuts the lines from index first on into tokens, ending with newline
// and eof.
func scan(source []string, first int) (tokens []token, comments []comment) {
	for n := first; n < len(source); n++ {
		s := scanner{rest: source[n], line: n + 1, column: 1}
		before := len(tokens)
		for s.next() {
			s.tok.atLine = len(tokens) == before
			tokens = append(tokens, s.tok)
		}
		if s.comment {
			comments = append(comments, comment{n + 1, len(tokens) == before, tidyComment(s.rest)})
		}
		tokens = append(tokens, token{kind: newline, line: n + 1, column: s.column, length: 1})
	}
	last := token{kind: eof, line: len(source), column: 1, length: 1}
	if len(source) > 0 {
		last.column = utf8.RuneCountInString(source[len(source)-1]) + 1
	}
	return append(tokens, last), comments
}

func tidyComment(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.TrimLeft(s, "#"))
	if s = strings.TrimSpace(s); s == "" {
		return "#"
	}
	return "# " + s
}

// scanner cuts one line.
type scanner struct {
	rest    string
	line    int
	column  int
	tok     token
	comment bool // stopped at a #, which rest starts with
}

func (s *scanner) next() bool {
	glued := s.column > 1
	for s.rest != "" {
		r, n := utf8.DecodeRuneInString(s.rest)
		if !unicode.IsSpace(r) && !unicode.Is(unicode.Zs, r) {
			break
		}
		s.rest, s.column, glued = s.rest[n:], s.column+1, false
	}
	if s.rest == "" {
		return false
	}
	if s.rest[0] == '#' {
		s.comment = true
		return false
	}
	k, size := s.cut()
	text := s.rest[:size]
	s.tok = token{kind: k, text: text, line: s.line, column: s.column, length: utf8.RuneCountInString(text), glued: glued}
	if k == word {
		s.tok.text = strings.ToLower(text)
	}
	s.rest, s.column = s.rest[size:], s.column+s.tok.length
	return true
}

// cut finds the kind and the size in bytes of the token at the front.
func (s *scanner) cut() (kind, int) {
	r, n := utf8.DecodeRuneInString(s.rest)
	switch {
	case isDigit(r):
		i := digits(s.rest, 0)
		if i+1 < len(s.rest) && s.rest[i] == '.' && isDigit(rune(s.rest[i+1])) {
			i = digits(s.rest, i+1)
		}
		return number, i
	case isLetter(r):
		i := strings.IndexFunc(s.rest, func(r rune) bool { return !isLetter(r) })
		if i < 0 {
			i = len(s.rest)
		}
		if i == 1 && (r == 'x' || r == 'X') {
			return times, 1
		}
		return word, i
	}
	for _, run := range runs {
		if strings.HasPrefix(s.rest, run.text) {
			return run.kind, len(run.text)
		}
	}
	if k, ok := symbols[r]; ok {
		return k, n
	}
	return bad, n
}

func digits(s string, from int) int {
	for from < len(s) && isDigit(rune(s[from])) {
		from++
	}
	return from
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isLetter(r rune) bool {
	return r == '_' || r != utf8.RuneError && (unicode.IsLetter(r) || unicode.Is(unicode.Mn, r))
}

// show names a token for a message.
func (t token) show() string {
	switch t.kind {
	case eof:
		return "the end"
	case newline:
		return "the end of the line"
	case bad:
		r, _ := utf8.DecodeRuneInString(t.text)
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return fmt.Sprintf("%U", r)
		}
	}
	return `"` + clip(t.text, 24) + `"`
}
