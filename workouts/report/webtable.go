package report

import (
	"fmt"
	"slices"
	"strings"

	"example.org/rungs/workouts/figures"
)

// A webTable is a table as a page has it. How its columns are set is told once, by rules for
// their numbers, and not in every cell.
type webTable struct {
	ID, Title, Label string
	Columns          []webColumn
	Rows             [][]webCell
	Notes            []string
	Folds            []string // heads of columns that a phone has no room for; it shows those of one fold instead of the first ones when asked
}

// A webColumn is a head and how the cells below it are set.
type webColumn struct {
	Text, Class        string
	right, tight, wrap bool
	fold               int  // number of its fold from 1; 0 is shown at first
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
	x := webTable{ID: id, Title: Safe(strings.TrimSuffix(figures.Sentence(t.Title), "."))}
	if x.Label = x.Title; x.Label == "" {
		x.Label = "table " + x.ID
	}
	var index []int // of the columns, in the table
	for c, col := range t.Columns {
		if widths[c] > 0 {
			x.Columns = append(x.Columns, webColumn{Safe(col.Head), "", col.Align == Right, col.Tight, col.Wrap, 0, t.names(c)})
			index = append(index, c)
		}
	}
	x.fold(index, folded, kept)
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

// fold parts the columns that are not kept into as many folds as a phone needs, each with
// the columns that name the rows. A column that is a part of its neighbour stays with it.
func (x *webTable) fold(index, widths []int, kept []bool) {
	const gap = 2 // characters between columns
	names := 0
	for i, c := range x.Columns {
		if c.names {
			names += widths[index[i]] + gap
		}
	}
	used := 0
	for i := range x.Columns {
		c := &x.Columns[i]
		if kept[index[i]] {
			continue
		}
		wide := widths[index[i]] + gap
		n := len(x.Folds)
		if n == 0 || used+wide > phoneColumns && !c.tight {
			x.Folds, used = append(x.Folds, ""), names
			n++
		}
		used += wide
		c.fold = n
		if c.tight && x.Folds[n-1] != "" {
			x.Folds[n-1] += " " + c.Text
		} else {
			x.Folds[n-1] = strings.TrimPrefix(x.Folds[n-1]+", "+c.Text, ", ")
		}
	}
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

// rules say how the columns of the table are set (Selectors Level 4, W3C). On a phone those
// of a fold take the place of the first ones when the reader opens it.
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
	add("", "min-width:8rem;overflow-wrap:anywhere", func(c webColumn) bool { return c.wrap })
	if len(x.Folds) == 0 {
		return b.String()
	}
	b.WriteString("@media screen and (max-width:620px){@supports selector(:has(a)){\n")
	leftmost := func(within string, fold int) {
		for i, c := range x.Columns {
			if c.names || c.fold == fold {
				fmt.Fprintf(&b, "#%s%s tr>:nth-child(%d){padding-left:0}\n", x.ID, within, i+1)
				return
			}
		}
	}
	closed := ":not(:has(.rest[open]))"
	add(closed, "display:none", func(c webColumn) bool { return c.fold > 0 })
	leftmost(closed, 0)
	for k := range x.Folds {
		open := fmt.Sprintf(":has(.f%d[open])", k+1)
		add(open, "display:none", func(c webColumn) bool { return c.fold != k+1 && !c.names })
		leftmost(open, k+1)
	}
	b.WriteString("}}\n")
	return b.String()
}

// mostFolds is how many folds a table on a page made elsewhere may have.
const mostFolds = 6

// dress gives every cell the classes of its column, for a page made elsewhere, whose style
// does not know the columns by their numbers.
func (x *webTable) dress() {
	for i := range x.Columns {
		c := &x.Columns[i]
		for _, k := range []struct {
			so   bool
			name string
		}{{c.right, "r"}, {c.tight, "tight"}, {c.wrap, "wrap"}, {len(x.Folds) > 0 && !c.names, fmt.Sprintf("k%d", min(c.fold, mostFolds))}} {
			if k.so {
				c.Class = strings.TrimSpace(c.Class + " " + k.name)
			}
		}
		for _, row := range x.Rows {
			row[i].Class = strings.TrimSpace(row[i].Class + " " + c.Class)
		}
	}
}

// cellRules are rules for the classes that dress gives.
func cellRules() string {
	var b strings.Builder
	b.WriteString(".r{text-align:right}\n.tight{padding-left:.25rem}\n.wrap{min-width:8rem;overflow-wrap:anywhere}\n" +
		"@media screen and (max-width:620px){@supports selector(:has(a)){\n")
	for open := range mostFolds + 1 {
		var hidden []string
		for k := range mostFolds + 1 {
			if k != open {
				hidden = append(hidden, fmt.Sprintf(".k%d", k))
			}
		}
		within := "section:not(:has(.rest[open]))"
		if open > 0 {
			within = fmt.Sprintf("section:has(.f%d[open])", open)
		}
		fmt.Fprintf(&b, "%s :is(%s){display:none}\n", within, strings.Join(hidden, ","))
	}
	b.WriteString("}}\n")
	return b.String()
}
