package xmltext

import (
	"bytes"
	"errors"
	"slices"
	"strings"
)

// errOdd says that a document is not written in the plain way that the scanner
// reads, be it well-formed or not.
var errOdd = errors.New("not plain")

// A scanner reads the plain XML that devices write, several times as quick as
// encoding/xml: elements with names and attributes in ASCII, and text without
// entities. Comments, sections of raw data, declarations of types, prefixes that
// are not declared, and whatever is not well-formed are odd; then nothing that was
// handed on counts. What it does read is read as walk reads it, which the
// tests hold it to.
type scanner struct {
	text  []byte
	at    int
	names map[string]string // by how they are written
	stack []element
	known []prefix // that are declared here
	attrs []Attribute
}

// An element that is open.
type element struct {
	written []byte
	name    string
}

// A prefix of names, and how deep the element lies that declares it.
type prefix struct {
	name  string
	depth int
}

// deepest is how many elements may lie in each other: what devices write has ten.
const deepest = 100

// mostAttributes is how many one tag may have: what devices write has six.
const mostAttributes = 100

// scan gives all elements to h. The error is errOdd, or h's own.
func (s *scanner) scan(h Handler) error {
	s.names = map[string]string{}
	if !s.declaration() {
		return errOdd
	}
	for rooted := false; ; {
		open := bytes.IndexByte(s.text[s.at:], '<')
		if open < 0 {
			if !rooted || len(s.stack) > 0 || len(bytes.TrimSpace(s.text[s.at:])) > 0 || !blankOrPlain(s.text[s.at:]) {
				return errOdd
			}
			return nil
		}
		chars := s.text[s.at : s.at+open]
		s.at += open + 1
		if s.at >= len(s.text) {
			return errOdd
		}
		var err error
		if s.text[s.at] == '/' {
			s.at++
			err = s.closing(h, chars)
		} else {
			if len(s.stack) == 0 && (rooted || len(bytes.TrimSpace(chars)) > 0) || !blankOrPlain(chars) {
				return errOdd
			}
			rooted = true
			err = s.opening(h)
		}
		if err != nil {
			return err
		}
	}
}

// declaration passes over the XML declaration, and tells whether there is none or a
// plain one.
func (s *scanner) declaration() bool {
	if !bytes.HasPrefix(s.text, []byte("<?")) {
		return true
	}
	head, _, ok := bytes.Cut(s.text[:min(len(s.text), 200)], []byte("?>"))
	if !ok || !bytes.HasPrefix(head, []byte(`<?xml version="1.0"`)) || !plain(head[1:]) {
		return false
	}
	s.at = len(head) + 2
	return true
}

// closing takes an end tag, and the text before it.
func (s *scanner) closing(h Handler, chars []byte) error {
	end := bytes.IndexByte(s.text[s.at:], '>')
	n := len(s.stack)
	if end < 0 || n == 0 || !bytes.Equal(s.text[s.at:s.at+end], s.stack[n-1].written) {
		return errOdd
	}
	s.at += end + 1
	inner := bytes.TrimSpace(chars)
	if !plain(inner) || len(inner) < len(chars) && !blankOrPlain(chars) {
		return errOdd
	}
	return s.end(h, inner)
}

// end closes the innermost element.
func (s *scanner) end(h Handler, chars []byte) error {
	n := len(s.stack)
	name := s.stack[n-1].name
	s.stack = s.stack[:n-1]
	for len(s.known) > 0 && s.known[len(s.known)-1].depth == n {
		s.known = s.known[:len(s.known)-1]
	}
	return h.End(name, s.parent(), chars)
}

// parent is the innermost open element; "" outside the document element.
func (s *scanner) parent() string {
	if len(s.stack) == 0 {
		return ""
	}
	return s.stack[len(s.stack)-1].name
}

// opening takes a start tag, with its attributes.
func (s *scanner) opening(h Handler) error {
	written := s.word()
	name := s.local(written)
	if name == "" || len(s.stack) >= deepest {
		return errOdd
	}
	s.attrs = s.attrs[:0]
	closed := false
	for {
		blank := s.blank()
		if s.at >= len(s.text) {
			return errOdd
		}
		switch c := s.text[s.at]; {
		case c == '>':
			s.at++
		case c == '/' && s.at+1 < len(s.text) && s.text[s.at+1] == '>':
			s.at += 2
			closed = true
		case blank && s.attribute():
			continue
		default:
			return errOdd
		}
		break
	}
	if p, _, ok := strings.Cut(string(written), ":"); ok && !slices.ContainsFunc(s.known, func(k prefix) bool { return k.name == p }) {
		return errOdd
	}
	if err := h.Start(name, s.parent(), s.attrs); err != nil {
		return err
	}
	s.stack = append(s.stack, element{written, name})
	if closed {
		return s.end(h, nil)
	}
	return nil
}

// attribute takes name="value", and tells whether it was plain.
func (s *scanner) attribute() bool {
	written := s.word()
	name := s.local(written)
	if name == "" || s.at+1 >= len(s.text) || s.text[s.at] != '=' || len(s.attrs) >= mostAttributes {
		return false
	}
	quote := s.text[s.at+1]
	s.at += 2
	end := bytes.IndexByte(s.text[s.at:], quote)
	if quote != '"' && quote != '\'' || end < 0 {
		return false
	}
	value := s.text[s.at : s.at+end]
	s.at += end + 1
	if !plain(value) {
		return false
	}
	if bytes.HasPrefix(written, []byte("xmlns:")) {
		if len(value) == 0 || name == "xml" || name == "xmlns" {
			return false
		}
		s.known = append(s.known, prefix{name, len(s.stack) + 1})
	}
	s.attrs = append(s.attrs, Attribute{name, value})
	return true
}

// blank passes over blank space, and tells whether there was any.
func (s *scanner) blank() bool {
	from := s.at
	for s.at < len(s.text) && (s.text[s.at] == ' ' || s.text[s.at] == '\n' || s.text[s.at] == '\t' || s.text[s.at] == '\r') {
		s.at++
	}
	return s.at > from
}

// word takes the bytes that names are made of.
func (s *scanner) word() []byte {
	from := s.at
	for s.at < len(s.text) && inName[s.text[s.at]] {
		s.at++
	}
	return s.text[from:s.at]
}

// local is a name without its prefix; "" when it is not plain.
func (s *scanner) local(written []byte) string {
	if name, ok := s.names[string(written)]; ok {
		return name
	}
	before, after, prefixed := strings.Cut(string(written), ":")
	if !prefixed {
		before, after = "x", before
	}
	for _, part := range []string{before, after} {
		if part == "" || strings.Contains(part, ":") || part[0] == '-' || part[0] == '.' || part[0] >= '0' && part[0] <= '9' {
			return ""
		}
	}
	s.names[string(written)] = after
	return after
}

var inName, inText = func() (name, text [256]bool) {
	for c := range 128 {
		name[c] = c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("_-.:", byte(c)) >= 0
		text[c] = c >= ' ' && c != '&' && c != '<' && c != ']' || c == '\t' || c == '\n'
	}
	for c := 128; c < 256; c++ {
		text[c] = c != 0xEF // which begins the two characters that XML has not
	}
	return name, text
}()

// plain tells text without an entity, a control or a carriage return, none of
// which it would have to change.
func plain(text []byte) bool {
	for _, c := range text {
		if !inText[c] {
			return false
		}
	}
	return true
}

// blankOrPlain is plain for text of which nothing is used, so that carriage returns
// do no harm.
func blankOrPlain(text []byte) bool {
	for _, c := range text {
		if !inText[c] && c != '\r' {
			return false
		}
	}
	return true
}
