package chart

import "math"

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
	if b.Wash {
		p.s.shapes = append(p.s.shapes, shape{runs: [][]point{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}, ink: b.Ink, filled: true, wash: true})
		return
	}
	half := func(v float64) float64 { return math.Round(2*v) / 2 } // half pixels weigh less
	p.s.shapes = append(p.s.shapes, area(b.Ink, half(x0), half(y0), half(x1), half(y1)))
}

func (q Points) open(i int) bool { return i < len(q.Open) && q.Open[i] }

func (q Points) draw(p *plane) {
	places := make([]point, min(len(q.X), len(q.Y)))
	above := make([]float64, len(places)) // the top of each, with its bar
	end := q.ends(p)
	for i := range places {
		x, y := p.px(q.X[i]), p.py(q.Y[i])
		if places[i], above[i] = (point{x, y}), y-5; !finite(x, y) || y < p.top-1 || y > p.bottom+1 {
			places[i].x = math.NaN()
			continue
		}
		if i < len(q.Low) && i < len(q.High) && finite(q.Low[i], q.High[i]) {
			a, b := clamp(p.py(q.Low[i]), p.top, p.bottom), clamp(p.py(q.High[i]), p.top, p.bottom)
			p.s.line(q.Ink, 1.5, point{x, a}, point{x, b})
			for _, e := range []float64{a, b} {
				if end > 0 {
					p.s.line(q.Ink, 1.5, point{x - end, e}, point{x + end, e})
				}
			}
			above[i] = min(above[i], a, b)
		}
	}
	for i, at := range places {
		if finite(at.x) {
			p.s.dot(q.Ink, at, q.open(i))
		}
	}
	q.label(p, places, above)
}

// ends is half of the width of the ends of the bars, px; none where they would touch.
func (q Points) ends(p *plane) float64 {
	const half = 4.0
	for i := 1; i < len(q.X); i++ {
		if math.Abs(p.px(q.X[i])-p.px(q.X[i-1])) < 2*half+2 {
			return 0
		}
	}
	return half
}

// label prints the labels, if all fit beside each other.
func (q Points) label(p *plane, places []point, above []float64) {
	before := math.Inf(-1)
	for i := range min(len(places), len(q.Labels)) {
		x, half := p.px(q.X[i]), textWidth(q.Labels[i], true)/2
		if !finite(x) || q.Labels[i] == "" {
			continue
		}
		if x-half < before+4 {
			return
		}
		before = x + half
	}
	for i := range min(len(places), len(q.Labels)) {
		if at := places[i]; finite(at.x) {
			w := plainWord(q.Labels[i], at.x, above[i]-5, Middle, Text)
			w.strong = true
			p.s.word(w)
		}
	}
}

// dot is a disc, or a ring with paper in it.
func (s *scene) dot(ink Ink, at point, open bool) {
	if !open {
		s.shapes = append(s.shapes, shape{runs: [][]point{{at}}, radius: 3, ink: ink, filled: true})
		return
	}
	s.shapes = append(s.shapes, shape{runs: [][]point{{at}}, radius: 3.5, ink: Paper, filled: true},
		shape{runs: [][]point{{at}}, radius: 3.5, ink: ink, width: 1.5, ring: true})
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
