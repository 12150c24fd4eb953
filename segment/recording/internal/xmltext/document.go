// Package xmltext gives the elements of an XML document one by one, quickly where it is
// written as devices write it. It knows nothing of recordings.
package xmltext

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
)

// A Handler takes the elements of a document by their local names: the
// prefix is free in both formats, and often undeclared. Outside the document
// element the parent is "".
type Handler interface {
	Start(name, parent string, attrs []Attribute) error
	// End takes the text since the last tag: all of it in a leaf.
	End(name, parent string, text []byte) error
}

// An Attribute has its local name; the prefix is free. The value holds until the
// next element.
type Attribute struct {
	Name  string
	Value []byte
}

// A Mistake is why a document cannot be read on, and where. Lines count from 1, columns in
// bytes from 1.
type Mistake struct {
	Line, Column int
	Reason       string
}

func (m *Mistake) Error() string { return fmt.Sprintf("%d:%d: %s", m.Line, m.Column, m.Reason) }

// Read gives the elements of a document to a handler made afresh. The quick
// scanner reads what is written as devices do; with anything else everything is
// read again by encoding/xml, which decides.
func Read(text []byte, fresh func() (Handler, error)) (undeclared string, stopped, err error) {
	h, err := fresh()
	if err != nil {
		return "", nil, err
	}
	s := scanner{text: text}
	if stopped = s.scan(h); stopped != errOdd {
		return "", stopped, nil
	}
	if h, err = fresh(); err != nil {
		return "", nil, err
	}
	undeclared, stopped = walk(text, h)
	return undeclared, stopped, nil
}

// mostElements is how many elements may lie in each other; recordings have ten.
const mostElements = 1000

// walk gives the elements of a UTF-8 document to h. An error of the document
// is a *Mistake; undeclared names a prefix that no
// declaration explains, if there is one.
func walk(text []byte, h Handler) (undeclared string, err error) {
	dec := newDecoder(text)
	declared := map[string]bool{"": true}
	last := ""
	stack := make([]string, 1, 16)
	var chars []byte
	var attrs []Attribute
	for {
		dec.pieces.renew()
		token, err := dec.Token()
		if err == io.EOF {
			return undeclared, nil
		}
		if err != nil {
			line, column := dec.InputPos()
			return undeclared, &Mistake{line, column, reasonOf(err)}
		}
		switch t := token.(type) {
		case xml.StartElement:
			attrs = attributesOf(t, attrs[:0], declared)
			if t.Name.Space != last {
				if last = t.Name.Space; !declared[last] {
					undeclared = last
				}
			}
			if err := h.Start(t.Name.Local, stack[len(stack)-1], attrs); err != nil {
				return undeclared, err
			}
			if stack = append(stack, t.Name.Local); len(stack) > mostElements {
				line, column := dec.InputPos()
				return undeclared, &Mistake{line, column, fmt.Sprintf("has more than %d elements in each other", mostElements)}
			}
			chars = chars[:0]
		case xml.CharData:
			chars = append(chars, t...)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
			if err := h.End(t.Name.Local, stack[len(stack)-1], bytes.TrimSpace(chars)); err != nil {
				return undeclared, err
			}
			chars = chars[:0]
		}
	}
}

// attributesOf appends the attributes of a tag, and takes down what it declares.
func attributesOf(t xml.StartElement, attrs []Attribute, declared map[string]bool) []Attribute {
	for _, a := range t.Attr {
		attrs = append(attrs, Attribute{a.Name.Local, []byte(a.Value)})
		if a.Name.Space == "xmlns" || a.Name.Space == "" && a.Name.Local == "xmlns" {
			declared[a.Value] = true
		}
	}
	return attrs
}

// longestPiece is how long a tag, or a text between two, may be, in bytes: those of
// recordings have a few hundred. Common practice, no source.
const longestPiece = 1 << 20

var errLongPiece = fmt.Errorf("a tag or a text has more than %d bytes", longestPiece)

// pieces gives a text to a decoder, and an error when it takes too much of it for one
// token, which it would copy several times.
type pieces struct {
	text *bytes.Reader
	left int
}

func (p *pieces) renew() { p.left = longestPiece }

func (p *pieces) ReadByte() (byte, error) {
	if p.left--; p.left < 0 {
		return 0, errLongPiece
	}
	return p.text.ReadByte()
}

func (p *pieces) Read(to []byte) (int, error) { // a decoder takes single bytes where it can
	c, err := p.ReadByte()
	if err != nil || len(to) == 0 {
		return 0, err
	}
	to[0] = c
	return 1, nil
}

// A decoder is one of encoding/xml with such a bound.
type decoder struct {
	*xml.Decoder
	pieces *pieces
}

func newDecoder(text []byte) decoder {
	p := &pieces{bytes.NewReader(text), longestPiece}
	dec := xml.NewDecoder(p)
	dec.Entity = xml.HTMLEntity
	// The caller has decoded it, whatever the declaration still says.
	dec.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	return decoder{dec, p}
}

// reasonOf words an error of the XML decoder, without its own line number.
func reasonOf(err error) string {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		if syntax.Msg == "unexpected EOF" {
			return "the file breaks off here"
		}
		return "is no well-formed XML: " + syntax.Msg
	}
	return "is no well-formed XML: " + err.Error()
}

// RootElement is the local name of the document element of a text; "" when
// there is none.
func RootElement(text []byte) string {
	dec := newDecoder(text)
	for {
		dec.pieces.renew()
		token, err := dec.Token()
		if err != nil {
			return ""
		}
		if start, ok := token.(xml.StartElement); ok {
			return start.Name.Local
		}
	}
}
