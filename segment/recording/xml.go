package recording

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
)

// An xmlHandler takes the elements of a document by their local names: the
// prefix is free in both formats, and often undeclared. Outside the document
// element the parent is "".
type xmlHandler interface {
	start(name, parent string, attrs []attribute) error
	// end takes the text since the last tag: all of it in a leaf.
	end(name, parent string, text []byte) error
}

// An attribute has its local name; the prefix is free. The value holds until the
// next element.
type attribute struct {
	name  string
	value []byte
}

// readXML gives the elements of a document to a handler made afresh. The quick
// scanner reads what is written as devices do; with anything else everything is
// read again by encoding/xml, which decides.
func readXML(path string, text []byte, fresh func() (xmlHandler, error)) (undeclared string, stopped, err error) {
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
	undeclared, stopped = walkXML(path, text, h)
	return undeclared, stopped, nil
}

// mostElements is how many elements may lie in each other; recordings have ten.
const mostElements = 1000

// walkXML gives the elements of a UTF-8 document to h. An error of the document
// is an *Error with its line and column; undeclared names a prefix that no
// declaration explains, if there is one.
func walkXML(path string, text []byte, h xmlHandler) (undeclared string, err error) {
	dec := newXMLDecoder(text)
	declared := map[string]bool{"": true}
	last := ""
	stack := make([]string, 1, 16)
	var chars []byte
	var attrs []attribute
	for {
		dec.pieces.renew()
		token, err := dec.Token()
		if err == io.EOF {
			return undeclared, nil
		}
		if err != nil {
			line, column := dec.InputPos()
			return undeclared, &Error{Path: path, Line: line, Column: column, Offset: -1,
				Reason: xmlReason(err), Hint: "export the file again", Err: ErrDamaged}
		}
		switch t := token.(type) {
		case xml.StartElement:
			attrs = attributesOf(t, attrs[:0], declared)
			if t.Name.Space != last {
				if last = t.Name.Space; !declared[last] {
					undeclared = last
				}
			}
			if err := h.start(t.Name.Local, stack[len(stack)-1], attrs); err != nil {
				return undeclared, err
			}
			if stack = append(stack, t.Name.Local); len(stack) > mostElements {
				line, column := dec.InputPos()
				return undeclared, &Error{Path: path, Line: line, Column: column, Offset: -1,
					Reason: fmt.Sprintf("has more than %d elements in each other", mostElements), Hint: "export the file again", Err: ErrDamaged}
			}
			chars = chars[:0]
		case xml.CharData:
			chars = append(chars, t...)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
			if err := h.end(t.Name.Local, stack[len(stack)-1], bytes.TrimSpace(chars)); err != nil {
				return undeclared, err
			}
			chars = chars[:0]
		}
	}
}

// attributesOf appends the attributes of a tag, and takes down what it declares.
func attributesOf(t xml.StartElement, attrs []attribute, declared map[string]bool) []attribute {
	for _, a := range t.Attr {
		attrs = append(attrs, attribute{a.Name.Local, []byte(a.Value)})
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

// An xmlDecoder is one of encoding/xml with such a bound.
type xmlDecoder struct {
	*xml.Decoder
	pieces *pieces
}

func newXMLDecoder(text []byte) xmlDecoder {
	p := &pieces{bytes.NewReader(text), longestPiece}
	dec := xml.NewDecoder(p)
	dec.Entity = xml.HTMLEntity
	// plainText has decoded it, whatever the declaration still says.
	dec.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	return xmlDecoder{dec, p}
}

// xmlReason words an error of the XML decoder, without its own line number.
func xmlReason(err error) string {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		if syntax.Msg == "unexpected EOF" {
			return "the file breaks off here"
		}
		return "is no well-formed XML: " + syntax.Msg
	}
	return "is no well-formed XML: " + err.Error()
}

// rootElement is the local name of the document element of a text; "" when
// there is none.
func rootElement(text []byte) string {
	dec := newXMLDecoder(text)
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

// xmlRead is what the two XML readers share.
type xmlRead struct {
	*builder // of the recording being read
	all      []*builder
	open     bool  // a track point is being read
	at       point // that point
	place    part  // sport and place of what comes next
	newTrack bool  // the next point is the first of a track

	tracked, untimed, unzoned int
	badTime                   string // the first that was not understood
}

// next begins another recording of the same file.
func (x *xmlRead) next(name, format string, lim limits) error {
	x.builder = newBuilder(name, format, lim)
	x.hasClock = true
	if len(x.all) >= lim.marks {
		return x.tooMany(lim.marks, "recordings")
	}
	x.all = append(x.all, x.builder)
	return nil
}

// first begins the first recording of a file, with room for so many points.
func (x *xmlRead) first(name, format string, lim limits, most int) error {
	if err := x.next(name, format, lim); err != nil {
		return err
	}
	x.points = make([]point, 0, min(most, lim.records))
	return nil
}

// begin starts a track point.
func (x *xmlRead) begin() {
	x.at = blank(noTime)
	x.open = true
	x.tracked++
}

// keep ends the track point and keeps it if it has a time. Tracks more than an
// hour apart, either way, are recordings of their own.
func (x *xmlRead) keep() error {
	const apart = int64(time.Hour)
	x.open = false
	if x.at.at == noTime {
		x.untimed++
		return nil
	}
	if n := len(x.points); x.newTrack && n > 0 {
		if gap := x.at.at - x.points[n-1].at; gap > apart || gap < -apart {
			if err := x.next(x.name, x.format, x.limits); err != nil {
				return err
			}
		} else {
			x.breaks = append(x.breaks, n)
		}
	}
	x.newTrack = false
	if len(x.points) == 0 {
		x.sport, x.builder.place = x.place.sport, x.place.place
	}
	return x.add(x.at)
}

// setTime reads the time of the track point.
func (x *xmlRead) setTime(text []byte) {
	at, zoned, ok := parseTime(string(text))
	switch {
	case ok:
		x.at.at = at
		if !zoned {
			x.unzoned++
		}
	case x.badTime == "":
		x.badTime = string(text)
	}
}

// recordings finishes all that was read, given what ended the reading.
func (x *xmlRead) recordings(notes []Warning, undeclared string, stopped error) ([]*Recording, error) {
	b := newBuilder(x.name, x.format, x.limits) // only to word the notes
	b.warnings = notes
	read := len(x.all) > 1 || len(x.points) > 0
	if stopped != nil {
		if !read || errors.Is(stopped, ErrTooLarge) {
			return nil, stopped
		}
		line, reason := 0, stopped.Error()
		if e := (*Error)(nil); errors.As(stopped, &e) {
			line, reason = e.Line, strings.TrimPrefix(e.Reason, "is ")
		}
		b.note(CutShort, "the file is damaged at line %d (%s), and what was written before was read", line, reason)
	}
	if undeclared != "" {
		b.note(UndeclaredPrefix, "the prefix %q is not declared; its elements were read by their names", undeclared)
	}
	if x.untimed > 0 && read {
		seen := ""
		if x.badTime != "" {
			seen = fmt.Sprintf(" (the first time that could not be read is %q)", x.badTime)
		}
		b.note(MissingTime, "%s without a time left out%s", count(x.untimed, "point"), seen)
	}
	if x.unzoned > 0 {
		b.note(NoTimeZone, "the times have no time zone and were taken as UTC")
	}
	if !read {
		return nil, x.nothing()
	}
	var recs []*Recording
	for _, one := range x.all {
		if len(one.points) == 0 {
			continue
		}
		one.warnings = append(b.warnings[:len(b.warnings):len(b.warnings)], one.warnings...)
		some, err := one.finish()
		if err != nil {
			return nil, err
		}
		recs = append(recs, some...)
	}
	return recs, nil
}

// nothing says why there is no record.
func (x *xmlRead) nothing() error {
	switch {
	case x.badTime != "":
		return refuse(x.name, ErrNoRecords, fmt.Sprintf("has %s, and no time of them can be read (the first is %q)", count(x.tracked, "track point"), x.badTime),
			"times must look like 2024-05-01T07:30:00Z")
	case x.tracked > 0:
		return refuse(x.name, ErrNoRecords, fmt.Sprintf("has %s without times: a planned route, not a recording", count(x.tracked, "track point")), "export the activity, not the route")
	}
	return refuse(x.name, ErrNoRecords, "holds no track", "export the activity itself")
}

// number reads a decimal number, NaN when it is none.
func number(text []byte) float64 {
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || math.IsInf(v, 0) {
		return nan
	}
	return v
}
