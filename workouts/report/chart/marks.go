package chart

import (
	"fmt"
	"html"
	"slices"
	"strings"
)

// A placedMark is a Mark with its area and its figures broken into lines.
type placedMark struct {
	Mark
	from, to, top, bottom float64
	tip, tipHeight        float64 // where the lines begin, and what they cover
	lines                 []tipLine
	label                 string
}

// A tipLine is a line of figures; lead is the name as it begins them.
type tipLine struct{ lead, text string }

// target is the least width of a mark where fingers are to hit it, px
// (success criterion 2.5.5 of WCAG 2.2, W3C Recommendation, 2023).
const target = 44

// Of more marks in a row than mostMarks, each is at least pointed px wide, so that a mouse can
// point at it; our own choice.
const (
	mostMarks = 120
	pointed   = 9
)

// mostNamed is how many marks one that joins them names, our own choice; of more it names
// the first and the last.
const mostNamed = 12

const (
	hint      = "point at a part, or step to it with Tab, to read its figures"
	shortHint = "touch a part to read its figures"
)

// tipLines are the name and the figures of a mark.
func (m Mark) tipLines(width float64) (lines []tipLine) {
	for i, l := range wrapFigures(m, width-4) {
		t := tipLine{text: l}
		if i == 0 {
			t.lead = cut(Plain(m.Name), width-4)
		}
		lines = append(lines, t)
	}
	return lines
}

// reserve places the marks along the axis of p, keeps room from y on for their
// figures, above everything that these could cover, and says how to come by
// them; it returns where the panels begin. Marks too small to be touched, or to be pointed
// at, are one with their neighbours.
func (s *scene) reserve(marks []Mark, p *plane, y float64) float64 {
	if len(marks) == 0 {
		return y
	}
	for _, m := range marks {
		x := placedMark{Mark: m, lines: m.tipLines(s.width), label: m.label()}
		x.from, x.to = clamp(p.px(m.X0), p.left, p.right), clamp(p.px(m.X1), p.left, p.right)
		s.marks = append(s.marks, x)
	}
	h := shape{text: hint, runs: [][]point{{{0, y + 13}}}, ink: Faint, hint: true}
	least := 0.0
	if s.width < narrow {
		least, h.text = target, shortHint
	}
	s.marks = joined(s.marks, least, s.width)
	s.shapes = append(s.shapes, h)
	most := 1
	for _, m := range s.marks {
		if m.Panel < 2 {
			most = max(most, len(m.lines))
		}
	}
	s.tips, s.tipRoom = y, float64(most)*lineHeight+4
	return y + s.tipRoom
}

// place gives the marks their height: all panels, or one.
func (s *scene) place(all *plane, planes []*plane) {
	for i := range s.marks {
		m := &s.marks[i]
		p := all
		m.tip, m.tipHeight = s.tips, s.tipRoom
		if m.Panel > 0 && m.Panel <= len(planes) {
			p = planes[m.Panel-1]
			if m.Panel > 1 { // over the panel above, as the top may be out of sight
				m.tipHeight = float64(len(m.lines))*lineHeight + 6
				m.tip = p.top - m.tipHeight - lineHeight - 6
			}
		}
		m.top, m.bottom = p.top, p.bottom
	}
}

// joined makes marks of one panel that lie beside each other one, until each has the least
// width.
func joined(marks []placedMark, least, width float64) (wide []placedMark) {
	for from := 0; from < len(marks); {
		to := from + 1
		for to < len(marks) && marks[to].Panel == marks[from].Panel && marks[to].from >= marks[to-1].from {
			to++
		}
		wide = append(wide, joinRow(marks[from:to], least, width)...)
		from = to
	}
	return wide
}

// joinRow joins the marks of a row.
func joinRow(row []placedMark, least, width float64) (wide []placedMark) {
	if len(row) > mostMarks {
		least = max(least, pointed)
	}
	var groups [][]placedMark
	open := false // the last group is too small yet
	for _, m := range row {
		n := len(groups)
		if !open {
			groups = append(groups, nil)
			n++
		}
		groups[n-1] = append(groups[n-1], m)
		open = m.to-groups[n-1][0].from < least
	}
	if n := len(groups); open && n > 1 {
		groups[n-2] = append(groups[n-2], groups[n-1]...)
		groups = groups[:n-1]
	}
	for _, g := range groups {
		wide = append(wide, join(g, width))
	}
	return wide
}

// join makes one mark of several, with the first number of each: of those that the
// keyboard reaches, or of all, when it reaches none.
func join(group []placedMark, width float64) placedMark {
	if len(group) == 1 {
		return group[0]
	}
	m := group[0]
	m.to = group[len(group)-1].to
	if slices.ContainsFunc(group, func(x placedMark) bool { return x.Focus }) {
		group = slices.DeleteFunc(slices.Clone(group), func(x placedMark) bool { return !x.Focus })
	}
	m.Focus, m.Kind, m.lines = group[0].Focus, group[0].Kind, nil
	between := len(group) - 2
	if len(group) > mostNamed {
		group = []placedMark{group[0], group[between+1]}
	}
	var parts, pieces []string
	for _, x := range group {
		piece := x.Name
		for _, f := range x.Figures { // up to the first number
			piece += " " + f
			if strings.ContainsAny(f, "0123456789") {
				break
			}
		}
		pieces, parts = append(pieces, piece), append(parts, cut(Plain(piece), width-4))
	}
	if len(group) < between+2 {
		pieces, parts = slices.Insert(pieces, 1, fmt.Sprintf("%d between them", between)), slices.Insert(parts, 1, fmt.Sprintf("%d between them", between))
	}
	for _, l := range wrapPieces(pieces, " · ", width-4) {
		m.lines = append(m.lines, tipLine{text: l})
	}
	m.label = strings.Join(parts, ", ")
	return m
}

// label is the text alternative of a mark.
func (m Mark) label() string {
	s := Plain(m.Name)
	for i, f := range m.Figures {
		if i == 0 {
			s += ": "
		} else {
			s += ", "
		}
		s += Plain(f)
	}
	return s
}

func (m placedMark) svg(b *strings.Builder, width float64) {
	class := "mark"
	if m.Kind != "" {
		class += " " + html.EscapeString(m.Kind)
	}
	b.WriteString(`<g class="` + class + `"`)
	if m.Focus {
		b.WriteString(` tabindex="0"`)
	}
	b.WriteString(` role="img" aria-label="` + html.EscapeString(m.label))
	b.WriteString(`"><rect class="hit" x="`)
	number(b, m.from)
	b.WriteString(`" y="`)
	number(b, m.top)
	b.WriteString(`" width="`)
	number(b, max(m.to-m.from, 1))
	b.WriteString(`" height="`)
	number(b, m.bottom-m.top)
	b.WriteString(`"/><g class="tip"><rect y="`)
	number(b, m.tip)
	b.WriteString(`" width="`)
	number(b, width)
	b.WriteString(`" height="`)
	number(b, m.tipHeight)
	b.WriteString(`"/>`)
	for i, l := range m.lines {
		b.WriteString(`<text y="`)
		number(b, m.tip+13+float64(i)*lineHeight)
		b.WriteString(`">`)
		rest, led := strings.CutPrefix(l.text, l.lead)
		if led && l.lead != "" {
			b.WriteString(`<tspan class="b">` + escape(l.lead) + "</tspan>")
		}
		b.WriteString(escape(rest) + "</text>")
	}
	b.WriteString("</g></g>\n")
}
