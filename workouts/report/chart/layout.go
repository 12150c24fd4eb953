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
	tips, tipRoom float64 // where figures of marks are shown, and how high that is
}

// A shape is a polygon or a polyline, a disc (one point with a radius), or a
// text.
type shape struct {
	runs   [][]point // one polygon, or the pieces of a line
	ink    Ink
	filled bool
	wash   bool
	pale   bool    // too thin for its texture
	width  float64 // of the line
	dashed bool
	radius float64
	ring   bool // a circle instead of a disc
	texture

	text   string
	anchor Anchor
	strong bool
	halo   bool // keeps clear of lines
	hint   bool // of no use on paper
}

type point struct{ x, y float64 }

// Measures of the layout, px.
const (
	textSize   = 12
	lineHeight = 17
	left       = 42.0
	right      = 10.0
	panelGap   = 14
	tickGap    = 27 // least between ticks of the y axis
	axisRoom   = 22
	narrow     = 500 // a width below which it is laid out for a phone
)

// border is the margin of a picture that stands alone, px.
const border = 20

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
	if c.Narrow != nil && width < narrow {
		c.Narrow.Title = c.Title
		return c.Narrow.layout(width, titled)
	}
	s := &scene{width: width}
	left, right := left, right
	if !slices.ContainsFunc(c.Panels, func(p Panel) bool { return p.Y.Scale != nil }) {
		left, right = 0, 0
	}
	inner := width - left - right
	y := 0.0
	if titled {
		for i, l := range wrapWords(c.Title, width/1.12) { // strong words are wider
			if i == 3 { // the rest of a title that long is in the file, unseen
				break
			}
			s.shapes = append(s.shapes, shape{text: l, runs: [][]point{{{0, y + 12}}}, ink: Text, strong: true})
			y += lineHeight
		}
		y += 6
	}
	y = s.reserve(c.Marks, &plane{s: s, x: c.X, left: left, right: left + inner}, y)
	top := y
	var planes []*plane
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
		p := &plane{s: s, x: c.X, y: panel.Y, left: left, right: left + inner, top: y, bottom: y + panel.tall(width)}
		planes = append(planes, p)
		p.grid()
		for _, l := range panel.Layers {
			l.draw(p)
		}
		y = p.bottom
	}
	bottom := y
	p := &plane{s: s, x: c.X, left: left, right: left + inner, top: top, bottom: bottom}
	s.height = math.Ceil(p.axis())
	s.place(p, planes)
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
