package report

import (
	"fmt"
	"slices"
	"strings"
)

// A webTable is a table as a page has it. How its columns are set is told once, by rules for
// their numbers, and not in every cell.
type webTable struct {
	ID, Title, Label string
	Columns          []webColumn
	Rows             [][]webCell
	Notes            []string
	Spare            bool // a phone has no room for some columns, and shows them instead of others when asked
}

// A webColumn is a head and how the cells below it are set.
type webColumn struct {
	Text               string
	right, tight, wrap bool
	spare              bool // a phone has no room for it
	names              bool // tells rows apart, so that it is always shown
}

type webCell struct{ Text, Class, Link string }

// phoneColumns is how many characters of a table fit on a phone of 320 px, at 7.5
// px each on average; measured in a browser.
const phoneColumns = 38

// wrapColumns is how narrow a column that wraps may be, in characters.
const wrapColumns = 16

// web lays the table out, without the columns that say nothing. On a phone those of the
// highest ranks are shown when asked for.
func (t *Table) web(id string) webTable {
	widths := t.widths()
	folded := slices.Clone(widths)
	for c, col := range t.Columns {
		if col.Wrap {
			folded[c] = min(widths[c], wrapColumns)
		}
	}
	kept := t.fit(folded, phoneColumns)
	x := webTable{ID: id, Title: Safe(strings.TrimSuffix(sentence(t.Title), "."))}
	if x.Label = x.Title; x.Label == "" {
		x.Label = "table " + x.ID
	}
	for c, col := range t.Columns {
		if widths[c] > 0 {
			x.Columns = append(x.Columns, webColumn{Safe(col.Head), col.Align == Right, col.Tight, col.Wrap, !kept[c], t.names(c)})
			x.Spare = x.Spare || !kept[c]
		}
	}
	for _, row := range t.Rows {
		var cells []webCell
		for c := range t.Columns {
			if widths[c] > 0 {
				cells = append(cells, webCell{row[c].shown(), styleClass(row[c].Style), row[c].Link})
			}
		}
		x.Rows = append(x.Rows, cells)
	}
	for _, n := range t.Notes {
		x.Notes = append(x.Notes, Safe(n))
	}
	return x
}

// names tells whether a column tells rows apart: it stands before all figures.
func (t *Table) names(c int) bool {
	if t.Columns[c].Rank > 1 {
		return false
	}
	for k, col := range t.Columns[:c+1] {
		if head := col.Head; k == 0 || head == "set" || head == "rep" || head == "week" || head == "day" || head == "part" {
			if k == c {
				return true
			}
		}
	}
	return false
}

// rules say how the columns of the table are set (Selectors Level 4, W3C). On a phone the
// spare ones take the place of the others when the reader opens "more columns".
func (x *webTable) rules() string {
	var b strings.Builder
	add := func(within, style string, of func(c webColumn) bool) {
		var cells []string
		for i, c := range x.Columns {
			if of(c) {
				cells = append(cells, fmt.Sprintf(":nth-child(%d)", i+1))
			}
		}
		if len(cells) > 0 {
			fmt.Fprintf(&b, "#%s%s tr>:is(%s){%s}\n", x.ID, within, strings.Join(cells, ","), style)
		}
	}
	add("", "text-align:right", func(c webColumn) bool { return c.right })
	add("", "padding-left:.25rem", func(c webColumn) bool { return c.tight })
	add("", "white-space:normal;min-width:8rem", func(c webColumn) bool { return c.wrap })
	if n := len(x.Columns); n > 0 && !x.Columns[n-1].right {
		fmt.Fprintf(&b, "@media print{#%s td:last-child{white-space:normal;min-width:9em}}\n", x.ID)
	}
	if x.Spare {
		b.WriteString("@media screen and (max-width:620px){@supports selector(:has(a)){\n")
		add(":not(:has(.rest[open]))", "display:none", func(c webColumn) bool { return c.spare })
		add(":has(.rest[open])", "display:none", func(c webColumn) bool { return !c.spare && !c.names })
		b.WriteString("}}\n")
	}
	return b.String()
}
