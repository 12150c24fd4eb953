package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
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
	head []string
	said map[string]bool // by column: more than null was said
	rows []map[string]string
}

// Add appends the rows of a report. The error is a value that no cell can hold.
func (s *Sheet) Add(r *Report) error {
	if s.said == nil {
		s.said = map[string]bool{}
	}
	for _, o := range r.Table.objects() {
		row := map[string]string{}
		at := 0 // where a column goes that is not there yet: behind the one before
		give := func(key, value string, said bool) {
			if _, ok := s.said[key]; !ok {
				s.head = slices.Insert(s.head, at, key)
			}
			at = slices.Index(s.head, key) + 1
			s.said[key] = s.said[key] || said
			row[key] = value
		}
		for _, f := range slices.Concat(r.Subject, o) {
			if err := flatten(f.Key, f.Value, give); err != nil {
				return err
			}
		}
		s.rows = append(s.rows, row)
	}
	return nil
}

// Write writes the head and the rows; nothing when there are no rows.
func (s *Sheet) Write(w io.Writer) error {
	head := slices.Clone(s.head)
	head = slices.DeleteFunc(head, func(key string) bool {
		// An object that was null in some rows has columns of its own.
		return !s.said[key] && slices.ContainsFunc(s.head, func(other string) bool { return strings.HasPrefix(other, key+"_") })
	})
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

// flatten gives the cells that a field makes, and whether they say something.
func flatten(key string, value any, give func(key, value string, said bool)) error {
	switch v := value.(type) {
	case nil:
		give(key, "", false)
	case string:
		give(key, inert(Safe(v)), true)
	case bool:
		give(key, strconv.FormatBool(v), true)
	case int:
		give(key, strconv.Itoa(v), true)
	case Number:
		if v.Unit != "" {
			key += "_" + v.Unit
		}
		text := ""
		if known(v.Value) {
			text = decimal(v.Value, v.Decimals)
		}
		give(key, text, true)
	case Object:
		for _, f := range v {
			if err := flatten(key+"_"+f.Key, f.Value, give); err != nil {
				return err
			}
		}
	case []Object:
	case []string:
		return flattenList(key, v, give)
	case []int:
		return flattenList(key, v, give)
	case []Number:
		return flattenList(key, v, give)
	default:
		return fmt.Errorf("field %s: no cell for a %T", key, value)
	}
	return nil
}

func flattenList[T any](key string, list []T, give func(key, value string, said bool)) error {
	for i, v := range list {
		if err := flatten(key+"_"+strconv.Itoa(i+1), v, give); err != nil {
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
