package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"unicode"
	"unicode/utf16"

	"example.org/rungs/workouts/figures"
)

// An Object is a JSON object whose fields keep their order.
type Object []Field

// A Field is a name and a value: a string, bool, int, Number, Object, a list of
// one of these, or nil.
type Field struct {
	Key   string
	Value any
}

// A Number is a figure with a fixed count of decimals. NaN and infinities,
// which JSON cannot say, are null.
type Number struct {
	Value    float64
	Decimals int
	Unit     string // when the name of the field does not say it, such as "bpm"
}

// MarshalJSON implements json.Marshaler.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
		return []byte("null"), nil
	}
	return []byte(figures.Decimal(n.Value, n.Decimals)), nil
}

// MarshalJSON implements json.Marshaler.
func (o Object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, f := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := marshal(f.Key)
		if err != nil {
			return nil, err
		}
		value, err := marshal(f.Value)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// marshal is json.Marshal, but it leaves <, > and & alone, which plans contain.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return escapeUnseen(bytes.TrimSuffix(b.Bytes(), []byte("\n"))), nil
}

// escapeUnseen escapes the characters of JSON that a terminal would obey or hide:
// controls above ASCII, marks of direction and of no width. They stand in strings
// only, and mean the same when escaped (RFC 8259, section 7).
func escapeUnseen(text []byte) []byte {
	unseen := func(r rune) bool { return r == 0x7f || r > 0x7f && !unicode.IsGraphic(r) }
	if bytes.IndexFunc(text, unseen) < 0 {
		return text
	}
	var b bytes.Buffer
	for _, r := range string(text) {
		switch {
		case !unseen(r):
			b.WriteRune(r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&b, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.Bytes()
}

// JSON writes the report as one object on one line.
func (r *Report) JSON(w io.Writer) error {
	b, err := marshal(r.object())
	if err != nil {
		return err
	}
	_, err = w.Write(append(b, '\n'))
	return err
}

// object joins all that a program reads, in the order of the contract.
func (r *Report) object() Object {
	warnings := make([]Object, 0, len(r.Warnings))
	for _, w := range r.Warnings {
		warnings = append(warnings, warningFields(w))
	}
	var o Object
	o = append(o, r.Before...)
	for _, t := range append([]Table{r.Table}, r.Further...) {
		if t.Key != "" {
			o = append(o, Field{t.Key, t.objects()})
		}
	}
	o = append(o, r.After...)
	return append(o, Field{"warnings", warnings})
}

// objects are the rows for programs.
func (t *Table) objects() []Object {
	rows := make([]Object, 0, len(t.Rows))
	for _, row := range t.Rows {
		o := Object{}
		for _, c := range row {
			o = append(o, c.Fields...)
		}
		rows = append(rows, o)
	}
	return rows
}
