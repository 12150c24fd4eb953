package report

// Num is a field of a figure, null when it is not known.
func Num(key string, v float64, decimals int) Field {
	return Field{Key: key, Value: Number{Value: v, Decimals: decimals}}
}

// OrNil is the text, or nil for an empty one, which is null for programs.
func OrNil(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// A ColumnOf is a column of a table over items of type T: its head and what it says of each.
type ColumnOf[T any] struct {
	Column
	Cell func(T) Cell
}

// Tabulate makes a table with one row per item.
func Tabulate[T any](key string, items []T, columns []ColumnOf[T]) Table {
	t := Table{Key: key}
	for _, c := range columns {
		t.Columns = append(t.Columns, c.Column)
	}
	for _, x := range items {
		row := make([]Cell, len(columns))
		for i, c := range columns {
			row[i] = c.Cell(x)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
