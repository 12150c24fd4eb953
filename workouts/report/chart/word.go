package chart

// A frame is the place that a word takes, px.
type frame struct{ x0, y0, x1, y1 float64 }

func (f frame) meets(g frame) bool { return f.x0 < g.x1 && g.x0 < f.x1 && f.y0 < g.y1 && g.y0 < f.y1 }

// frame is the place of a text shape.
func (x shape) frame() frame {
	at, wide := x.runs[0][0], textWidth(x.text, x.strong)
	switch x.anchor {
	case Middle:
		at.x -= wide / 2
	case End:
		at.x -= wide
	}
	return frame{at.x, at.y - 10, at.x + wide, at.y + 2}
}

// word writes a text if there is room for it: within the picture and clear of
// all words before it. It tells whether it did.
func (s *scene) word(x shape) bool {
	f := x.frame()
	if x.text == "" || f.x0 < -0.5 || f.x1 > s.width+0.5 {
		return false
	}
	for i := range s.shapes {
		if y := &s.shapes[i]; y.text != "" && f.meets(y.frame()) {
			return false
		}
	}
	s.shapes = append(s.shapes, x)
	return true
}

// plainWord is a word of an ink at a place.
func plainWord(text string, x, y float64, a Anchor, ink Ink) shape {
	return shape{text: text, runs: [][]point{{{x, y}}}, anchor: a, ink: ink, halo: true}
}

// first is the first of the texts that is no wider than the room, or none.
func first(room float64, strong bool, texts ...string) string {
	for _, t := range texts {
		if textWidth(t, strong) <= room {
			return t
		}
	}
	return ""
}

// A Band is the room between two courses, shaded: a margin around a line.
type Band struct {
	X, Low, High []float64
	Ink          Ink
}

func (b Band) draw(p *plane) {
	var up, down []point
	for i := range min(len(b.X), len(b.Low), len(b.High)) {
		x, lo, hi := p.px(b.X[i]), p.py(b.Low[i]), p.py(b.High[i])
		if finite(x, lo, hi) {
			up, down = append(up, point{x, clamp(hi, p.top, p.bottom)}), append(down, point{x, clamp(lo, p.top, p.bottom)})
		}
	}
	if len(up) < 2 {
		return
	}
	for i := len(down) - 1; i >= 0; i-- {
		up = append(up, down[i])
	}
	p.s.shapes = append(p.s.shapes, shape{runs: [][]point{up}, ink: b.Ink, filled: true, wash: true})
}

// A Length is a unit of distance: its name, and how many kilometres it is.
type Length struct {
	Name string // "km"
	Km   float64
}

// pace prints a pace in s/km in the unit: 4:05.
func (u Length) pace(sPerKm float64) string {
	if !finite(sPerKm) || sPerKm <= 0 {
		return ""
	}
	return clock(sPerKm * u.Km)
}

// paced prints a pace with its margin: 4:05 ±2.
func (u Length) paced(sPerKm, margin float64) string {
	s := u.pace(sPerKm)
	if s != "" && finite(margin) && margin > 0 {
		s += " " + plusMinus(margin*u.Km)
	}
	return s
}
