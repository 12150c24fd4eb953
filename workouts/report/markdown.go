package report

import (
	"io"
	"regexp"
	"strings"
)

// Markdown writes the report for people as Markdown: CommonMark 0.31.2 with the
// tables extension of GitHub Flavored Markdown 0.29 (section 4.10). All text
// is escaped, so that it reads as Text has it, and no table is cut to a width;
// a tight column joins the one on its left.
func (r *Report) Markdown(w io.Writer) error {
	var parts []string
	add := func(s string) {
		if s != "" {
			parts = append(parts, s)
		}
	}
	if r.Title != "" {
		add("## " + markdown(r.Title))
	}
	for _, s := range r.Answer {
		add(strongIf(s.Style, markdownLine(s.Text)))
	}
	for _, s := range r.Lead {
		add(markdownLine(s))
	}
	var drawn strings.Builder
	if r.Profile.text(&drawn, Page{}); drawn.Len() > 0 {
		add("```text\n" + drawn.String() + "```")
	}
	for _, t := range append([]Table{r.Table}, r.Further...) {
		if len(t.Rows) == 0 {
			continue
		}
		if t.Title != "" {
			add("### " + markdown(t.Title))
		}
		add(t.markdown())
		add(bullets(t.Notes))
	}
	for _, s := range r.Said {
		add(strongIf(s.Style, markdownLine(s.Text)))
	}
	var warnings []string
	for _, x := range r.Warnings {
		warnings = append(warnings, warningText(x))
	}
	add(bullets(warnings))
	_, err := io.WriteString(w, strings.Join(parts, "\n\n")+"\n")
	return err
}

// bullets is a list, an item a line.
func bullets(items []string) string {
	lines := make([]string, len(items))
	for i, s := range items {
		lines[i] = "- " + markdownLine(s)
	}
	return strings.Join(lines, "\n")
}

// strongIf makes escaped text bold where the style asks for weight.
func strongIf(style Style, s string) string {
	if s == "" || style != Strong && style != Alert {
		return s
	}
	return "**" + s + "**"
}

// A stack is the columns that stand in one column of a table in Markdown.
type stack struct {
	align Align
	cells []string // the head first
}

// markdown lays the table out, the bars below each other where cells are not
// long.
func (t *Table) markdown() string {
	stacks := t.stacks()
	if len(stacks) == 0 {
		return ""
	}
	lines := make([]strings.Builder, 2+len(t.Rows))
	for _, s := range stacks {
		for i, cell := range s.column() {
			lines[i].WriteString("| " + cell + " ")
		}
	}
	var b strings.Builder
	for i := range lines {
		b.WriteString(lines[i].String())
		b.WriteString("|\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// stacks joins each tight column to the one on its left, and leaves empty ones out.
func (t *Table) stacks() (stacks []*stack) {
	widths := t.widths()
	head := make([]Cell, len(t.Columns))
	for c, col := range t.Columns {
		head[c].Text = col.Head
		if widths[c] == 0 {
			continue
		}
		if !col.Tight || len(stacks) == 0 {
			stacks = append(stacks, &stack{align: col.Align, cells: make([]string, 1+len(t.Rows))})
		}
		s := stacks[len(stacks)-1]
		for i, row := range append([][]Cell{head}, t.Rows...) {
			text := strongIf(row[c].Style, markdown(row[c].Text))
			if s.cells[i] != "" && text != "" {
				text = " " + text
			}
			s.cells[i] += text
		}
	}
	return stacks
}

// column is the cells of one width, with the rule below the head.
func (s *stack) column() []string {
	const widestPad = 40
	wide := 3
	for _, cell := range s.cells {
		if n := displayWidth(cell); n <= widestPad {
			wide = max(wide, n)
		}
	}
	rule := strings.Repeat("-", wide)
	if s.align == Right {
		rule = rule[1:] + ":"
	}
	column := append([]string{s.cells[0], rule}, s.cells[1:]...)
	for i, cell := range column {
		pad := strings.Repeat(" ", max(0, wide-displayWidth(cell)))
		if s.align == Right {
			column[i] = pad + cell
		} else {
			column[i] = cell + pad
		}
	}
	return column
}

// marks are the characters with a meaning inside a line: those of CommonMark
// (section 6), the bar of tables, the tilde of GitHub's strikethrough, the
// dollar sign of its formulas, and the hash that may end a heading. A backslash
// takes the meaning from each.
var marks = regexp.MustCompile("[\\\\`*_\\[\\]<>&|~$#]")

// links are what GitHub makes links of without being asked (section 6.9).
var links = regexp.MustCompile(`(?i)(https?|ftp)://|www\.`)

// markdown is one line of foreign text in which nothing has a meaning.
func markdown(s string) string {
	s = marks.ReplaceAllString(strings.TrimSpace(Safe(s)), `\$0`)
	return links.ReplaceAllStringFunc(s, func(link string) string {
		return strings.NewReplacer(":", `\:`, ".", `\.`).Replace(link)
	})
}

// begins matches what makes a list or a rule of a line that begins so.
var begins = regexp.MustCompile(`^(?:[+=-]|\d{1,9}([.)])(?:\s|$))`)

// markdownLine is markdown for a line of its own.
func markdownLine(s string) string {
	s = markdown(s)
	m := begins.FindStringSubmatchIndex(s)
	switch {
	case m == nil:
		return s
	case m[2] >= 0: // the stop behind a number
		return s[:m[2]] + `\` + s[m[2]:]
	}
	return `\` + s
}
