package report

import (
	"io"
	"strings"
)

// A Page is the surface that text is laid out on.
type Page struct {
	Columns int  // width in characters; 0 when there is no limit
	Styled  bool // the surface shows bold, faint and colour
	ASCII   bool // the surface may not show block elements; then profiles are drawn in ASCII
}

// Text writes the report for people: title, table, findings, warnings.
func (r *Report) Text(w io.Writer, p Page) error {
	var b strings.Builder
	p.paragraph(&b, r.Title, "", Strong)
	for _, s := range r.Answer {
		p.paragraph(&b, s.Text, "", s.Style)
	}
	for _, s := range r.Lead {
		p.paragraph(&b, s, "", Plain)
	}
	r.Profile.text(&b, p)
	for _, t := range append([]Table{r.Table}, r.Further...) {
		t.section(&b, p)
	}
	if len(r.Said) > 0 {
		b.WriteByte('\n')
		for _, s := range r.Said {
			p.paragraph(&b, s.Text, "", s.Style)
		}
	}
	if len(r.Warnings) > 0 {
		b.WriteByte('\n')
		for _, x := range r.Warnings {
			p.paragraph(&b, warningText(x), "  ", Plain)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// section writes a table with its title and notes; nothing for one without rows.
func (t *Table) section(b *strings.Builder, p Page) {
	if len(t.Rows) == 0 {
		return
	}
	b.WriteByte('\n')
	p.paragraph(b, t.Title, "", Strong)
	notes := t.Notes
	if hidden := t.text(b, p); len(hidden) > 0 {
		notes = append(notes[:len(notes):len(notes)],
			"not shown for want of room: "+strings.Join(hidden, ", "))
	}
	for _, n := range notes {
		p.paragraph(b, n, "", Faint)
	}
}

// paragraph writes one wrapped sentence.
func (p Page) paragraph(b *strings.Builder, s, indent string, style Style) {
	if s == "" {
		return
	}
	for _, line := range wrap(Safe(s), p.Columns, indent) {
		b.WriteString(p.dress(strings.TrimRight(line, " "), style))
		b.WriteByte('\n')
	}
}

// dress puts terminal attributes round s (ECMA-48 SGR) when the page has them.
func (p Page) dress(s string, style Style) string {
	if !p.Styled || s == "" {
		return s
	}
	switch style {
	case Strong:
		return "\x1b[1m" + s + "\x1b[0m"
	case Faint:
		return "\x1b[2m" + s + "\x1b[0m"
	case Alert:
		return "\x1b[31m" + s + "\x1b[0m"
	}
	return s
}

// text lays the table out and returns the heads of the columns that had to go.
func (t *Table) text(b *strings.Builder, p Page) (hidden []string) {
	widths := t.widths()
	shown := t.fit(widths, p.Columns)
	head := make([]Cell, len(t.Columns))
	for c, col := range t.Columns {
		head[c] = Cell{Text: col.Head, Style: Strong}
		if widths[c] > 0 && !shown[c] && col.Head != "" {
			hidden = append(hidden, Safe(col.Head))
		}
	}
	rows := append([][]Cell{head}, t.Rows...)
	if c, most := t.tooWide(widths, shown, p.Columns); c >= 0 {
		rows, widths[c] = folded(rows, c, most)
	}
	for _, row := range rows {
		t.line(b, p, row, widths, shown)
	}
	return hidden
}

// width is that of the columns shown, gutters counted.
func (t *Table) width(widths []int, shown []bool) int {
	total := 0
	for c, col := range t.Columns {
		if !shown[c] {
			continue
		}
		if total > 0 {
			total += col.gutter()
		}
		total += widths[c]
	}
	return total
}

// leastFolded is how wide a column of words must remain to be folded.
const leastFolded = 12

// tooWide is the column to be folded, and to what width, when the columns that
// must stay are too wide for the page; else -1. It is the widest one of words.
func (t *Table) tooWide(widths []int, shown []bool, limit int) (column, most int) {
	total, widest := t.width(widths, shown), -1
	for c, col := range t.Columns {
		if shown[c] && col.Align == Left && (widest < 0 || widths[c] > widths[widest]) {
			widest = c
		}
	}
	if limit <= 0 || total <= limit || widest < 0 {
		return -1, 0
	}
	if most = widths[widest] - (total - limit); most < leastFolded {
		return -1, 0
	}
	return widest, most
}

// folded breaks the cells of a column into lines, each a row of its own. The
// column is as wide as its longest word at least.
func folded(rows [][]Cell, column, most int) (out [][]Cell, wide int) {
	for _, row := range rows {
		for i, line := range wrap(row[column].shown(), most, "") {
			part := make([]Cell, len(row))
			if i == 0 {
				copy(part, row)
			}
			part[column] = Cell{Text: line, Style: row[column].Style}
			out, wide = append(out, part), max(wide, displayWidth(line))
		}
	}
	return out, wide
}

// line writes one row, without spaces at its end.
func (t *Table) line(b *strings.Builder, p Page, row []Cell, widths []int, shown []bool) {
	owed := 0 // spaces to come before the next cell that says something
	first := true
	for c, col := range t.Columns {
		if !shown[c] {
			continue
		}
		if !first {
			owed += col.gutter()
		}
		first = false
		s := row[c].shown()
		pad := widths[c] - displayWidth(s)
		if s == "" {
			owed += pad
			continue
		}
		if col.Align == Right {
			owed, pad = owed+pad, 0
		}
		b.WriteString(strings.Repeat(" ", owed))
		b.WriteString(p.dress(s, row[c].Style))
		owed = pad
	}
	b.WriteByte('\n')
}

// shown is the text as it stands on the page.
func (c Cell) shown() string { return strings.TrimRight(Safe(c.Text), " ") }

// gutter is the space between the column and the one on its left.
func (c Column) gutter() int {
	if c.Tight {
		return 1
	}
	return 2
}

// widths is the display width of each column; 0 for one that is for programs
// only or has no text in any row, which is not shown.
func (t *Table) widths() []int {
	widths := make([]int, len(t.Columns))
	for c, col := range t.Columns {
		if col.Data {
			continue
		}
		for _, row := range t.Rows {
			widths[c] = max(widths[c], displayWidth(row[c].shown()))
		}
		if widths[c] > 0 {
			widths[c] = max(widths[c], displayWidth(Safe(col.Head)))
		}
	}
	return widths
}

// fit chooses the columns to show: all that have text, less those of highest
// rank (the rightmost first among equals) until the rest fits the limit.
// Columns of rank 0 stay, whatever the limit.
func (t *Table) fit(widths []int, limit int) []bool {
	shown := make([]bool, len(widths))
	for c, w := range widths {
		shown[c] = w > 0
	}
	for limit > 0 {
		total, worst := t.width(widths, shown), -1
		for c, col := range t.Columns {
			if shown[c] && col.Rank > 0 && (worst < 0 || col.Rank >= t.Columns[worst].Rank) {
				worst = c
			}
		}
		if total <= limit || worst < 0 {
			break
		}
		shown[worst] = false
	}
	return shown
}
