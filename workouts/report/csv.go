package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
)

// CSV writes the first table for spreadsheets (RFC 4180, lines end in LF): a
// column for each field that JSON has, by the same name. A field in an object
// is named object_field, a value of a list list_1 and so on; lists of objects
// are left out. What is not known is an empty cell.
func (r *Report) CSV(w io.Writer) error {
	var head []string
	var rows []map[string]string
	for _, o := range r.Table.objects() {
		row := map[string]string{}
		for _, f := range o {
			if err := flatten(f.Key, f.Value, func(key, value string) {
				if !slices.Contains(head, key) {
					head = append(head, key)
				}
				row[key] = value
			}); err != nil {
				return err
			}
		}
		rows = append(rows, row)
	}
	c := csv.NewWriter(w)
	if len(head) > 0 {
		c.Write(head)
	}
	for _, row := range rows {
		cells := make([]string, len(head))
		for i, key := range head {
			cells[i] = row[key]
		}
		c.Write(cells)
	}
	c.Flush()
	return c.Error()
}

// flatten gives the cells that a field makes.
func flatten(key string, value any, give func(key, value string)) error {
	switch v := value.(type) {
	case nil:
		give(key, "")
	case string:
		give(key, v)
	case bool:
		give(key, strconv.FormatBool(v))
	case int:
		give(key, strconv.Itoa(v))
	case Number:
		b, err := v.MarshalJSON()
		if err != nil {
			return err
		}
		if string(b) == "null" {
			b = nil
		}
		give(key, string(b))
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

func flattenList[T any](key string, list []T, give func(key, value string)) error {
	for i, v := range list {
		if err := flatten(key+"_"+strconv.Itoa(i+1), v, give); err != nil {
			return err
		}
	}
	return nil
}
