package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"

	"example.org/rungs/workouts/figures"
)

// CSV writes the first table for spreadsheets and programs; see Sheet.
func (r *Report) CSV(w io.Writer) error {
	var s Sheet
	if err := s.Add(r); err != nil {
		return err
	}
	return s.Write(w)
}

// A Sheet collects the first tables of reports under one head, to be written
// as CSV (RFC 4180, but lines end in LF): a column for each field that JSON has,
// by the same name, with the unit behind it where the name does not say it. A
// field in an object is named object_field, a value of a list list_1 and so on;
// lists of objects are left out. What is not known is an empty cell.
//
// Each row is one line: what would break it is escaped as Safe does. Text that
// a spreadsheet would take for a formula has an apostrophe in front (the advice
// of OWASP on CSV injection, from memory); numbers are never changed.
type Sheet struct {
	head    []string
	objects map[string]bool // fields that were an object in some row, so need no column for null
	rows    []map[string]string
}

// Add appends the rows of a report. The error is a value that no cell can hold.
func (s *Sheet) Add(r *Report) error {
	if s.objects == nil {
		s.objects = map[string]bool{}
	}
	for _, o := range r.Table.objects() {
		row := sheetRow{Sheet: s, cells: map[string]string{}}
		for _, f := range slices.Concat(r.Subject, o) {
			if err := row.fill(f.Key, f.Value); err != nil {
				return err
			}
		}
		s.rows = append(s.rows, row.cells)
	}
	return nil
}

// Write writes the head and the rows; nothing when there are no rows.
func (s *Sheet) Write(w io.Writer) error {
	head := slices.DeleteFunc(slices.Clone(s.head), func(key string) bool { return s.objects[key] })
	c := csv.NewWriter(w)
	if len(head) > 0 {
		c.Write(head)
	}
	for _, row := range s.rows {
		cells := make([]string, len(head))
		for i, key := range head {
			cells[i] = row[key]
		}
		c.Write(cells)
	}
	c.Flush()
	return c.Error()
}

// A sheetRow is a row while it is filled.
type sheetRow struct {
	*Sheet
	cells map[string]string
	at    int // where the next column goes if it is new
}

// set fills one cell.
func (r *sheetRow) set(key, text string) {
	at := slices.Index(r.head, key)
	if at < 0 {
		at = r.at
		r.head = slices.Insert(r.head, at, key)
	}
	r.at = at + 1
	r.cells[key] = text
}

// fill fills the cells that a field makes.
func (r *sheetRow) fill(key string, value any) error {
	switch v := value.(type) {
	case nil:
		r.set(key, "")
	case string:
		r.set(key, inert(Safe(v)))
	case bool:
		r.set(key, strconv.FormatBool(v))
	case int:
		r.set(key, strconv.Itoa(v))
	case Number:
		if v.Unit != "" {
			key += "_" + v.Unit
		}
		text := ""
		if figures.Known(v.Value) {
			text = figures.Decimal(v.Value, v.Decimals)
		}
		r.set(key, text)
	case Object:
		r.objects[key] = true
		for _, f := range v {
			if err := r.fill(key+"_"+f.Key, f.Value); err != nil {
				return err
			}
		}
	case []Object:
	case []string:
		return fillList(r, key, v)
	case []int:
		return fillList(r, key, v)
	case []Number:
		return fillList(r, key, v)
	default:
		return fmt.Errorf("field %s: no cell for a %T", key, value)
	}
	return nil
}

func fillList[T any](r *sheetRow, key string, list []T) error {
	for i, v := range list {
		if err := r.fill(key+"_"+strconv.Itoa(i+1), v); err != nil {
			return err
		}
	}
	return nil
}

// formula matches text that begins as a formula does, in ASCII or in the wide
// forms of East Asia, by itself or after a semicolon, at which some
// spreadsheets divide cells. A sign alone, such as the name of standard input,
// is none.
var formula = regexp.MustCompile(`(^|;)(\s*[=+\-@＝＋－＠].)`)

// inert keeps a spreadsheet from computing text.
func inert(s string) string { return formula.ReplaceAllString(s, "$1'$2") }
