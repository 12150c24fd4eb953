// Package notation reads and writes workouts as text. NOTATION.md beside this
// file is its manual.
//
//	workout  = item { ( "+" | newline ) item } .
//	item     = [ count "x" ] ( step | "(" workout ")" ) [ "off" step ] .
//	step     = amount [ manner ] [ "@" target ] .
package notation

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.org/rungs/workouts"
)

// A Diagnostic is one mistake in a text: where, what, and what to do.
type Diagnostic = workouts.Diagnostic

// Diagnostics are all the mistakes found in a text, in its order.
type Diagnostics = workouts.Diagnostics

// Parse reads a workout: one line, or a whole library file with its header.
// The name is that of the file, for messages. A non-nil error is Diagnostics
// with all the mistakes found; the Workout is then empty.
func Parse(name, src string) (workouts.Workout, error) {
	p := parse(name, src)
	if len(p.diagnostics) > 0 {
		return workouts.Workout{}, p.diagnostics
	}
	return p.workout, nil
}

// parser reads tokens into a workout and remembers every mistake.
type parser struct {
	file        string
	source      []string
	tokens      []token
	comments    []comment // but those of the header
	keys        []keyPlace
	i           int
	depth       int
	diagnostics Diagnostics

	workout workouts.Workout
	places  []place // of the items outside groups, before normalising
}

// place is where an item outside groups stands, for the formatter.
type place struct {
	first, last int // lines
	column      int // of the first character
	item        workouts.Item
}

// maxDiagnostics is how many mistakes one run reports.
const maxDiagnostics = 20

func parse(name, src string) *parser {
	p := &parser{file: name}
	if len(src) > workouts.MaxBytes {
		p.diagnostics = Diagnostics{{File: name, Line: 1, Column: 1, Length: 1, Code: codeTooBig,
			Message: fmt.Sprintf("the text has %d bytes; a workout may have %d", len(src), workouts.MaxBytes),
			Hint:    "is this the right file?"}}
		return p
	}
	p.source = lines(src)
	if p.notUTF8() {
		return p
	}
	first := p.header()
	tokens, comments := scan(p.source, first)
	p.tokens, p.comments = tokens, append(p.comments, comments...)
	p.workout.Items = p.sequence()
	if len(p.diagnostics) == 0 {
		p.checkSize()
		p.workout = p.workout.Normal()
	}
	p.diagnostics.Sort()
	if len(p.diagnostics) > maxDiagnostics {
		p.diagnostics = p.diagnostics[:maxDiagnostics]
	}
	return p
}

// notUTF8 reports the first byte that is not UTF-8. If it were passed over, as in a comment, a
// rewritten file would have lost it.
func (p *parser) notUTF8() bool {
	for n, line := range p.source {
		for i, r := range line {
			if r != utf8.RuneError {
				continue
			}
			if _, size := utf8.DecodeRuneInString(line[i:]); size == 1 {
				p.failAt(n+1, utf8.RuneCountInString(line[:i])+1, 1, codeCharacter, "save it as UTF-8", "the text is not UTF-8 from here on")
				return true
			}
		}
	}
	return false
}

func (p *parser) peek() token { return p.ahead(0) }

// ahead is the token n places on; beyond the last it is eof.
func (p *parser) ahead(n int) token {
	return p.tokens[min(p.i+n, len(p.tokens)-1)]
}

func (p *parser) take() token {
	t := p.peek()
	if t.kind != eof {
		p.i++
	}
	return t
}

// fail reports a mistake at the tokens from first to last.
func (p *parser) fail(first, last token, code, hint, format string, args ...any) {
	length := first.length
	if last.line == first.line && last.column > first.column {
		length = last.column + last.length - first.column
	}
	p.failAt(first.line, first.column, length, code, hint, fmt.Sprintf(format, args...))
}

func (p *parser) failAt(line, column, length int, code, hint, message string) {
	if len(p.diagnostics) > maxDiagnostics {
		return
	}
	p.diagnostics = append(p.diagnostics, Diagnostic{
		File: p.file, Line: line, Column: column, Length: max(length, 1),
		Code: code, Message: clip(message, 160), Hint: clip(hint, 200), SourceLine: workouts.PrintableLine(p.source[line-1]),
	})
}

// clip cuts a text that quotes too much of the source.
func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// sequence reads items up to the end of the text or the ")" of the group,
// which it leaves.
func (p *parser) sequence() []workouts.Item {
	var items []workouts.Item
	for {
		pending, doubled := p.separators()
		t := p.peek()
		last := t.kind == eof || t.kind == rightParen && p.depth > 0
		p.judgePlus(pending, doubled, len(items) == 0, last)
		if last {
			if t.kind == eof && p.depth == 0 && len(items) == 0 && len(p.diagnostics) == 0 {
				p.fail(t, t, codeEmpty, "write a step, for example 30:00 easy", "there is no step here")
			}
			return items
		}
		item, ok := p.item()
		if ok {
			items = append(items, item)
			if p.depth == 0 {
				p.places = append(p.places, place{t.line, p.tokens[p.i-1].line, t.column, item})
			}
			ok = p.endOfItem()
		}
		if !ok {
			p.skip()
		}
	}
}

// judgePlus fails a plus that does not stand between two steps: doubled, or before the first
// of a sequence, or behind the last.
func (p *parser) judgePlus(pending, doubled token, first, last bool) {
	between := pending.kind != plus || !last && !(first && len(p.diagnostics) == 0)
	switch {
	case doubled.kind == plus:
		p.fail(doubled, doubled, codePlus, `put one "+" between two steps`, `nothing stands before this "+"`)
	case between:
	case last:
		p.fail(pending, pending, codePlus, `put one "+" between two steps`, `nothing stands after this "+"`)
	default:
		p.fail(pending, pending, codePlus, `put one "+" between two steps`, `nothing stands before this "+"`)
	}
}

// separators takes newlines and plus signs. It returns a plus that was there
// and, when there were more, one too many.
func (p *parser) separators() (found, doubled token) {
	for {
		switch p.peek().kind {
		case newline:
		case plus:
			if found.kind == plus {
				doubled = p.peek()
			}
			found = p.peek()
		default:
			return found, doubled
		}
		p.i++
	}
}

// skip leaves the item in which a mistake was reported.
func (p *parser) skip() {
	for open := 0; ; p.i++ {
		switch p.peek().kind {
		case eof:
			return
		case leftParen:
			open++
		case rightParen:
			if open == 0 && p.depth > 0 {
				return
			}
			open = max(open-1, 0)
		case newline, plus:
			if open == 0 {
				return
			}
		}
	}
}

// endOfItem checks that what follows an item may follow it.
func (p *parser) endOfItem() bool {
	t := p.peek()
	switch t.kind {
	case eof, newline, plus:
		return true
	case rightParen:
		if p.depth > 0 {
			return true
		}
		p.fail(t, t, codeParen, `take it out, or put a "(" where the group begins`, `this ")" closes nothing`)
		return false
	}
	p.misplaced(t)
	return false
}

// item reads one item after its separators.
func (p *parser) item() (workouts.Item, bool) {
	it := workouts.Item{Count: 1}
	start := p.peek()
	if start.kind == times {
		p.fail(start, start, codeCount, "the count stands first: 5 x 400m", `"x" has no count before it`)
		return it, false
	}
	if start.kind == number && p.ahead(1).kind == times {
		var ok bool
		if it.Count, ok = p.count(); !ok {
			return it, false
		}
		if p.peek().kind == number && p.ahead(1).kind == times {
			p.fail(p.peek(), p.ahead(1), codeCount, "put the inner repeat in a group: 3 x ( 4 x 400m off 60s )", "two counts in a row")
			return it, false
		}
	}
	ok := false
	if p.peek().kind == leftParen {
		it.Body, ok = p.group()
	} else {
		it.Step, ok = p.step(false)
	}
	if !ok {
		return it, false
	}
	return it, p.off(&it)
}

// count reads "5 x".
func (p *parser) count() (int, bool) {
	t := p.take()
	p.take()
	n, err := strconv.Atoi(t.text)
	switch {
	case strings.Contains(t.text, "."):
		p.fail(t, t, codeCount, "repeats are whole numbers: 5 x 400m", "%s is not a number of repeats", t.text)
		return 1, false
	case err != nil || n > workouts.MaxCount:
		p.fail(t, t, codeCount, fmt.Sprintf("the most is %d", workouts.MaxCount), "too many repeats")
		return 1, false
	case n == 0:
		p.fail(t, t, codeCount, "take the step out, or repeat it at least once", "repeated no times at all")
		return 1, false
	}
	return n, true
}

// group reads "( workout )".
func (p *parser) group() ([]workouts.Item, bool) {
	open := p.take()
	if p.depth == workouts.MaxDepth {
		p.fail(open, open, codeDepth, fmt.Sprintf("groups may stand %d deep", workouts.MaxDepth), "groups are nested too deep")
		p.i-- // so that skip sees the parenthesis and leaves with its partner
		return nil, false
	}
	found := len(p.diagnostics)
	p.depth++
	items := p.sequence()
	p.depth--
	if p.peek().kind != rightParen {
		p.fail(open, open, codeParen, `put a ")" where the group ends`, `this "(" is never closed`)
		return nil, false
	}
	closing := p.take()
	if len(items) == 0 && len(p.diagnostics) == found {
		p.fail(open, closing, codeEmpty, "put steps between ( and ), or take them out", "an empty group")
	}
	return items, true
}

// off reads the rest between repeats, when there is one. It may stand on the
// line after the item.
func (p *parser) off(it *workouts.Item) bool {
	n := 0
	for p.ahead(n).kind == newline {
		n++
	}
	t := p.ahead(n)
	if !t.is("off") {
		return true
	}
	p.i += n + 1
	if it.Count == 1 {
		p.fail(t, t, codeRest, `a rest stands between repeats; for a break after one step write "+ 2:00 jog"`, "a rest, but nothing is repeated")
		return false
	}
	if g := p.peek(); g.kind == leftParen || g.kind == number && p.ahead(1).kind == times {
		p.fail(g, g, codeRest, "put the rest into the group: 5 x ( 400m + 30s stand + 200m jog )", "a rest is one step")
		return false
	}
	rest, ok := p.step(true)
	it.Rest = &rest
	return ok
}

// checkSize holds the workout to the limits, item by item.
func (p *parser) checkSize() {
	var size int
	var seconds, metres float64
	for _, at := range p.places {
		one := workouts.Workout{Items: []workouts.Item{at.item}}
		n := one.Size()
		size += n
		message, hint := "", "is a count or an amount mistyped?"
		if size > workouts.MaxPlanned {
			message = fmt.Sprintf("with this the workout has more than %d steps", workouts.MaxPlanned)
		} else {
			s, m := one.Length()
			seconds, metres = seconds+s, metres+m
			if seconds > workouts.MaxSeconds {
				message = fmt.Sprintf("with this the workout lasts more than %.0f days", workouts.MaxSeconds/24/3600)
			} else if metres > workouts.MaxMetres {
				message = fmt.Sprintf("with this the workout is longer than %.0f km", workouts.MaxMetres/1000)
			}
		}
		if message != "" {
			p.failAt(at.first, at.column, 1, codeLimit, hint, message)
			return
		}
	}
}
