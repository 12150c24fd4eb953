package chart

import (
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
// them; it returns where the panels begin. On a phone marks too small to be
// touched are one with their neighbours.
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
	if s.width < narrow {
		s.marks, h.text = joined(s.marks, s.width), shortHint
	}
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

// joined makes marks of one panel that lie beside each other one, until each is
// wide enough to be touched.
func joined(marks []placedMark, width float64) (wide []placedMark) {
	for from := 0; from < len(marks); {
		to := from + 1
		for to < len(marks) && marks[to].Panel == marks[from].Panel && marks[to].from >= marks[to-1].from {
			to++
		}
		wide = append(wide, joinRow(marks[from:to], width)...)
		from = to
	}
	return wide
}

// joinRow joins the marks of a row.
func joinRow(row []placedMark, width float64) (wide []placedMark) {
	var groups [][]placedMark
	open := false // the last group is too small yet
	for _, m := range row {
		n := len(groups)
		if !open {
			groups = append(groups, nil)
			n++
		}
		groups[n-1] = append(groups[n-1], m)
		open = m.to-groups[n-1][0].from < target
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
	b.WriteString(`"/><g class="tip"><rect class="f paper" y="`)
	number(b, m.tip)
	b.WriteString(`" width="`)
	number(b, width)
	b.WriteString(`" height="`)
	number(b, m.tipHeight)
	b.WriteString(`"/>`)
	for i, l := range m.lines {
		x := shape{text: l.text, lead: l.lead, runs: [][]point{{{0, m.tip + 13 + float64(i)*lineHeight}}}, ink: Text}
		x.svg(b, "")
	}
	b.WriteString("</g></g>\n")
}
