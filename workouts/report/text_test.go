package report

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// example is a table with every trait: ranks, a tight column, an empty cell
// at the end, a column without text, a column for programs only.
func example() Table {
	type row struct{ rep, pace, margin, last string }
	rows := []row{{"1", "4:05", "±2", ""}, {"2", "4:00", "±12", "-5"}, {"10", "stood", "", "~"}}
	return Tabulate("rows", rows, []ColumnOf[row]{
		{Column{Head: "rep", Align: Right}, func(r row) Cell { return Cell{Text: r.rep} }},
		{Column{Head: "pace", Align: Right}, func(r row) Cell { return Cell{Text: r.pace} }},
		{Column{Head: "±", Tight: true}, func(r row) Cell { return Cell{Text: r.margin} }},
		{Column{Head: "empty"}, func(r row) Cell { return Cell{} }},
		{Column{Head: "data", Data: true}, func(r row) Cell { return Cell{Text: "hidden"} }},
		{Column{Head: "vs last", Align: Right, Rank: 1}, func(r row) Cell { return Cell{Text: r.last} }},
	})
}

func render(t *testing.T, r *Report, p Page) string {
	t.Helper()
	var b strings.Builder
	if err := r.Text(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTableText(t *testing.T) {
	r := &Report{Table: example()}
	for _, c := range []struct {
		columns int
		want    string
	}{
		{0, `
rep   pace ±    vs last
  1   4:05 ±2
  2   4:00 ±12       -5
 10  stood            ~
`},
		{23, `
rep   pace ±    vs last
  1   4:05 ±2
  2   4:00 ±12       -5
 10  stood            ~
`},
		{22, `
rep   pace ±
  1   4:05 ±2
  2   4:00 ±12
 10  stood
not shown for want of
room: vs last
`},
	} {
		if got := render(t, r, Page{Columns: c.columns}); got != c.want {
			t.Errorf("%d columns: got\n%s\nwant\n%s", c.columns, got, c.want)
		}
	}
}

func TestTableFitsAnyPage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "columns")
		var columns []ColumnOf[[]string]
		for c := range n {
			col := Column{
				Head:  rapid.StringMatching(`[a-z±]{1,8}`).Draw(t, "head"),
				Align: Align(rapid.IntRange(0, 1).Draw(t, "align")),
				Rank:  rapid.IntRange(0, 3).Draw(t, "rank"),
				Tight: rapid.Bool().Draw(t, "tight"),
			}
			columns = append(columns, ColumnOf[[]string]{col, func(r []string) Cell { return Cell{Text: r[c]} }})
		}
		cells := rapid.SliceOfN(rapid.StringMatching(`[0-9:ü走]{0,7}`), n, n)
		table := Tabulate("rows", rapid.SliceOfN(cells, 1, 6).Draw(t, "rows"), columns)
		limit := rapid.IntRange(1, 80).Draw(t, "limit")

		widths := table.widths()
		least := 0 // width of the columns that always stay
		for c, col := range table.Columns {
			if col.Rank == 0 && widths[c] > 0 {
				if least > 0 {
					least += col.gutter()
				}
				least += widths[c]
			}
		}
		var b strings.Builder
		table.text(&b, Page{Columns: limit})
		for line := range strings.Lines(b.String()) {
			line = strings.TrimSuffix(line, "\n")
			if w := displayWidth(line); w > max(limit, least) {
				t.Fatalf("line of %d columns on a page of %d (at least %d):\n%s", w, limit, least, b.String())
			}
			if strings.HasSuffix(line, " ") {
				t.Fatalf("spaces at the end of %q", line)
			}
		}
	})
}
