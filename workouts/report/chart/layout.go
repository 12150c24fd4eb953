package chart

import (
	"math"
	"slices"
)

// A scene is a chart laid out: shapes with their places in px, from back to
// front.
type scene struct {
	width, height float64
	shapes        []shape
	marks         []placedMark
}

// A shape is a polygon or a polyline, a disc (one point with a radius), or a
// text.
type shape struct {
	runs   [][]point // one polygon, or the pieces of a line
	ink    Ink
	filled bool
	wash   bool
	width  float64 // of the line
	dashed bool
	radius float64

	text   string
	anchor Anchor
	strong bool
	lead   string // the beginning of the text that is strong
	halo   bool   // keeps clear of lines
	hint   bool   // of no use on paper
}

type point struct{ x, y float64 }

// A placedMark is a Mark with its area and its figures broken into lines.
type placedMark struct {
	Mark
	from, to, top, bottom float64
	tip, tipHeight        float64  // where the lines begin, and what they cover
	lead                  string   // the name as it begins the lines
	lines                 []string // the first begins with the name
}

// Measures of the layout, px.
const (
	textSize   = 12
	lineHeight = 17
	left       = 42.0
	right      = 10.0
	panelGap   = 14
	tickGap    = 27 // least between ticks of the y axis
	axisRoom   = 22
)

const shortHint = "touch a part to read its figures"

// border is the margin of a picture that stands alone, px.
const border = 20

const hint = "point at a part, or step to it with Tab, to read its figures"

// A plane maps the values of one panel to places.
type plane struct {
	s           *scene
	x, y        Axis
	left, right float64
	top, bottom float64
}

func (p *plane) px(v float64) float64 { return p.left + p.x.at(v)*(p.right-p.left) }
func (p *plane) py(v float64) float64 { return p.bottom - p.y.at(v)*(p.bottom-p.top) }

func clamp(v, lo, hi float64) float64 { return min(max(v, lo), hi) }

// layout places a chart on so many px of width, with its title or without.
func (c Chart) layout(width float64, titled bool) *scene {
	s := &scene{width: width}
	left, right := left, right
	if !slices.ContainsFunc(c.Panels, func(p Panel) bool { return p.Y.Scale != nil }) {
		left, right = 0, 0
	}
	inner := width - left - right
	y := 0.0
	if titled {
		for i, l := range wrapWords(c.Title, width) {
			if i == 3 { // the rest of a title that long is in the file, unseen
				break
			}
			s.shapes = append(s.shapes, shape{text: l, runs: [][]point{{{0, y + 12}}}, ink: Text, strong: true})
			y += lineHeight
		}
		y += 6
	}
	tips := y
	if len(c.Marks) > 0 {
		most := 1
		for _, m := range c.Marks {
			p := placedMark{Mark: m, tip: tips, lead: cut(Plain(m.Name), width-4), lines: wrapFigures(m, width-4)}
			most = max(most, len(p.lines))
			s.marks = append(s.marks, p)
		}
		y += float64(most) * lineHeight
		name := ""
		if len(c.Panels) > 0 {
			name = c.Panels[0].Name
		}
		switch h := (shape{text: hint, runs: [][]point{{{width, y - 4}}}, anchor: End, ink: Faint, hint: true}); {
		case name == "":
		case textWidth(hint, false)+textWidth(name, false) < width-40:
			s.shapes = append(s.shapes, h)
		case most > 1:
			h.text, h.anchor, h.runs = shortHint, Start, [][]point{{{0, tips + 13}}}
			s.shapes = append(s.shapes, h)
		}
		if len(c.Panels) > 0 && c.Panels[0].Name != "" {
			y -= lineHeight // figures stand in the place of the name
		} else {
			y += 4
		}
	}
	head, top := y, y
	for i, panel := range c.Panels {
		if i > 0 {
			y += panelGap
		}
		if panel.Name != "" {
			for _, l := range nameLines(panel.Name, width) {
				s.label(l, 0, y+13, Start, Faint)
				y += lineHeight
			}
			y += 6
		}
		if i == 0 {
			top = y
		}
		p := &plane{s: s, x: c.X, y: panel.Y, left: left, right: left + inner, top: y, bottom: y + panel.Height}
		p.grid()
		for _, l := range panel.Layers {
			l.draw(p)
		}
		y += panel.Height
	}
	bottom := y
	p := &plane{s: s, x: c.X, left: left, right: left + inner, top: top, bottom: bottom}
	s.height = math.Ceil(p.axis())
	for i := range s.marks {
		m := &s.marks[i]
		m.from, m.to = clamp(p.px(m.X0), p.left, p.right), clamp(p.px(m.X1), p.left, p.right)
		m.top, m.bottom = top, bottom
		m.tipHeight = max(float64(len(m.lines))*lineHeight+6, min(head-m.tip, 2*lineHeight))
	}
	return s
}

// grid draws the ticks of the y axis and the line the panel stands on.
func (p *plane) grid() {
	if p.y.Scale != nil {
		for _, t := range p.y.Scale(p.y.From, p.y.To, int((p.bottom-p.top)/tickGap)) {
			y := p.py(t.At)
			if !(y >= p.top-0.5 && (y <= p.bottom-8 || t.At == p.y.From)) {
				continue
			}
			p.s.line(Grid, 1, point{p.left, y}, point{p.right, y})
			p.s.label(t.Text, p.left-6, y+4, End, Faint)
		}
	}
	if p.y.Scale != nil {
		p.s.line(Stop, 1, point{p.left, p.bottom}, point{p.right, p.bottom})
	}
}

// axis draws the ticks of the x axis below the last panel, and returns where
// the chart ends.
func (p *plane) axis() float64 {
	y := p.bottom + axisRoom
	named := textWidth(p.x.Name, false)
	if p.x.Scale == nil {
		if p.x.Name == "" {
			return p.bottom + 4
		}
		p.s.label(p.x.Name, 0, y-4, Start, Faint)
		return y
	}
	widest := 10.0
	for _, t := range p.x.Scale(p.x.From, p.x.To, 40) {
		widest = max(widest, textWidth(t.Text, false))
	}
	most := int((p.right - p.left) / (widest + 14))
	for _, t := range p.x.Scale(p.x.From, p.x.To, most) {
		x := p.px(t.At)
		if !(x >= p.left-0.5 && x <= p.right+0.5) {
			continue
		}
		half := textWidth(t.Text, false) / 2
		x = clamp(x, half, p.s.width-half)
		p.s.line(Stop, 1, point{p.px(t.At), p.bottom}, point{p.px(t.At), p.bottom + 4})
		p.s.label(t.Text, x, y-4, Middle, Faint)
	}
	if named > p.left-6 {
		y += lineHeight - 2
	}
	if p.x.Name != "" {
		p.s.label(p.x.Name, 0, y-4, Start, Faint)
	}
	return y
}

func (s *scene) label(text string, x, y float64, a Anchor, ink Ink) {
	s.shapes = append(s.shapes, shape{text: text, runs: [][]point{{{x, y}}}, anchor: a, ink: ink})
}

func (s *scene) line(ink Ink, width float64, pts ...point) {
	s.shapes = append(s.shapes, shape{runs: [][]point{pts}, ink: ink, width: width})
}

// finite tells whether all values can be drawn.
func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func (l Line) draw(p *plane) {
	var runs [][]point
	var run []point
	column, n := math.NaN(), 0 // the pixel column of the last point, and how many it averages
	end := func() {
		if len(run) > 0 {
			runs = append(runs, run)
		}
		run, column, n = nil, math.NaN(), 0
	}
	dense := len(l.X) > int(p.right-p.left)
	for i := range min(len(l.X), len(l.Y)) {
		x, y := p.px(l.X[i]), p.py(l.Y[i])
		if !finite(x, y) {
			if !dense || math.IsNaN(column) || math.Floor(x) > column || !finite(x) {
				end()
			}
			continue
		}
		if x < p.left-0.5 || x > p.right+0.5 {
			continue
		}
		y = clamp(y, p.top, p.bottom)
		if dense && math.Floor(x) == column {
			last := &run[len(run)-1]
			n++
			last.x += (x - last.x) / float64(n)
			last.y += (y - last.y) / float64(n)
			continue
		}
		run, column, n = append(run, point{x, y}), math.Floor(x), 1
	}
	end()
	if len(runs) == 0 {
		return
	}
	width := l.Width
	if width == 0 {
		width = 1.25
	}
	p.s.shapes = append(p.s.shapes, shape{runs: runs, ink: l.Ink, width: width, dashed: l.Dashed})
}

func (b Box) draw(p *plane) {
	y0, y1 := p.bottom, p.top
	if !math.IsNaN(b.Y0) {
		y0 = clamp(p.py(b.Y0), p.top, p.bottom)
	}
	if !math.IsNaN(b.Y1) {
		y1 = clamp(p.py(b.Y1), p.top, p.bottom)
	}
	x0, x1 := clamp(p.px(b.X0), p.left, p.right), clamp(p.px(b.X1), p.left, p.right)
	if !finite(x0, x1, y0, y1) || x0 == x1 || y0 == y1 {
		return
	}
	p.s.shapes = append(p.s.shapes, shape{runs: [][]point{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}, ink: b.Ink, filled: true, wash: b.Wash})
}

func (q Points) draw(p *plane) {
	labelled, before := len(q.Labels) > 0, math.Inf(-1)
	for i := range min(len(q.X), len(q.Y), len(q.Labels)) { // labels are all or none
		if x, half := p.px(q.X[i]), textWidth(q.Labels[i], true)/2; finite(x) && q.Labels[i] != "" {
			labelled = labelled && x-half >= before+4
			before = x + half
		}
	}
	for i := range min(len(q.X), len(q.Y)) {
		x, y := p.px(q.X[i]), p.py(q.Y[i])
		if !finite(x, y) || y < p.top-1 || y > p.bottom+1 {
			continue
		}
		above := y - 5
		if i < len(q.Low) && i < len(q.High) && finite(q.Low[i], q.High[i]) {
			a, b := clamp(p.py(q.Low[i]), p.top, p.bottom), clamp(p.py(q.High[i]), p.top, p.bottom)
			p.s.line(q.Ink, 1.5, point{x, a}, point{x, b})
			for _, e := range []float64{a, b} {
				p.s.line(q.Ink, 1.5, point{x - 4, e}, point{x + 4, e})
			}
			above = min(above, a, b)
		}
		p.s.shapes = append(p.s.shapes, shape{runs: [][]point{{{x, y}}}, radius: 3, ink: q.Ink, filled: true})
		if labelled && i < len(q.Labels) {
			p.s.shapes = append(p.s.shapes, shape{text: q.Labels[i], runs: [][]point{{{x, above - 5}}}, anchor: Middle, ink: Text, strong: true, halo: true})
		}
	}
}

func (n Note) draw(p *plane) {
	x, y := p.px(n.X), p.top
	if !math.IsNaN(n.Y) {
		y = clamp(p.py(n.Y), p.top, p.bottom)
	}
	wide := max(textWidth(n.Text, n.Strong), textWidth(n.Head, false))
	if !finite(x, y) || n.Text == "" || n.Room > 0 && wide > math.Abs(p.px(n.X+n.Room)-x) {
		return
	}
	switch n.Anchor {
	case Start:
		x = clamp(x, 0, max(0, p.s.width-wide))
	case Middle:
		x = clamp(x, wide/2, max(wide/2, p.s.width-wide/2))
	case End:
		x = clamp(x, wide, max(wide, p.s.width))
	}
	p.s.shapes = append(p.s.shapes, shape{text: n.Text, runs: [][]point{{{x, y - n.Up}}}, anchor: n.Anchor, ink: n.Ink, strong: n.Strong})
	if n.Head != "" {
		p.s.shapes = append(p.s.shapes, shape{text: n.Head, runs: [][]point{{{x, y - n.Up - lineHeight + 1}}}, anchor: n.Anchor, ink: Faint})
	}
}

func (r Row) draw(p *plane) {
	n := min(len(r.X), len(r.Words))
	fits := func(every int) bool {
		end := math.Inf(-1)
		for i := 0; i < n; i += every {
			x, half := p.px(r.X[i]), textWidth(r.Words[i], true)/2
			if finite(x) && x-half < end+4 {
				return false
			}
			end = x + half
		}
		return true
	}
	every := 1
	for every < n && !fits(every) {
		every++
	}
	for i := 0; i < n; i += every {
		if x := p.px(r.X[i]); finite(x) {
			p.s.shapes = append(p.s.shapes, shape{text: r.Words[i], runs: [][]point{{{x, p.top + 13}}}, anchor: Middle, ink: r.Ink, strong: true})
		}
	}
}
