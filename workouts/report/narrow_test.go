package report

import (
	"strings"
	"testing"
)

// plans is a table whose last column is a sentence that must stay.
func plans() Table {
	type row struct{ name, reps, plan string }
	rows := []row{
		{"tuesday", "5", "15:00 warm + 5 x 4:00 @ quicker off 1:30 jog + 10:00 cool"},
		{"long", "", "1:40:00 easy"},
	}
	return Tabulate("rows", rows, []ColumnOf[row]{
		{Column{Head: "workout"}, func(r row) Cell { return Cell{Text: r.name} }},
		{Column{Head: "reps", Align: Right, Rank: 1}, func(r row) Cell { return Cell{Text: r.reps} }},
		{Column{Head: "as written"}, func(r row) Cell { return Cell{Text: r.plan} }},
	})
}

// A column of words that must stay is folded where the page is too narrow.
func TestFoldedColumn(t *testing.T) {
	r := &Report{Table: plans()}
	for _, c := range []struct {
		columns int
		want    string
	}{
		{40, `
workout  as written
tuesday  15:00 warm + 5 x 4:00 @ quicker
         off 1:30 jog + 10:00 cool
long     1:40:00 easy
not shown for want of room: reps
`},
		{21, `
workout  as written
tuesday  15:00 warm +
         5 x 4:00 @
         quicker off
         1:30 jog +
         10:00 cool
long     1:40:00 easy
not shown for want of
room: reps
`},
	} {
		if got := render(t, r, Page{Columns: c.columns}); got != c.want {
			t.Errorf("%d columns: got\n%s\nwant\n%s", c.columns, got, c.want)
		}
	}
	// Narrower than that it is left as it is: lines of a word each help nobody.
	if got := render(t, r, Page{Columns: 20}); !strings.Contains(got, "off 1:30 jog + 10:00 cool\n") {
		t.Errorf("20 columns:\n%s", got)
	}
	// A word longer than the column stays whole, and what follows stays beside it.
	r.Table.Columns[0], r.Table.Columns[2] = r.Table.Columns[2], r.Table.Columns[0]
	for i, row := range r.Table.Rows {
		row[0], row[2] = Cell{Text: "averyverylongwordindeed and " + []string{"more", "less"}[i]}, row[0]
	}
	const want = `
as written               workout
averyverylongwordindeed  tuesday
and more
averyverylongwordindeed  long
and less
not shown for want of
room: reps
`
	if got := render(t, r, Page{Columns: 22}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
