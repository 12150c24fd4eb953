package chart

import (
	"fmt"
	"math"
	"strings"
)

// A Stretch is a kilometre or a mile of a run, or what is left at its end.
type Stretch struct {
	From, To     float64 // since the start, in the unit
	Pace, Margin float64 // s/km; the margin is half of its 95 % interval
	Heart        float64 // mean, beats/min; NaN for none
	Seconds      float64 // it took, stops included
	StoodS       float64 // of it standing
}

// An Inside is a long rep or a long run, stretch by stretch.
type Inside struct {
	Unit      Length
	Name      string // "rep 2", or empty for the run
	Stretches []Stretch
	Drift     HeartDrift
}

// A HeartDrift is how many beats the heart gained from the first half to the
// second at equal pace; Beats is NaN where that cannot be told.
type HeartDrift struct {
	Beats, Margin float64 // beats/min
	Pace          float64 // at which it is told, s/km
}

func (d HeartDrift) words(u Length) string {
	if !finite(d.Beats) {
		return ""
	}
	s := fmt.Sprintf("%+.0f", d.Beats)
	if finite(d.Margin) && d.Margin > 0 {
		s += " " + plusMinus(d.Margin)
	}
	s += " beats/min"
	if p := u.pace(d.Pace); p != "" {
		s += " at " + p + " /" + u.Name
	}
	if finite(d.Margin) && d.Margin >= math.Abs(d.Beats) {
		s += ", no more than its margin"
	}
	return s
}

// span names a stretch: "km 3", or "the last 0.4 km".
func (s Stretch) span(u Length) string {
	if s.To-s.From < 0.995 {
		return fmt.Sprintf("the last %.2f %s", s.To-s.From, u.Name)
	}
	return fmt.Sprintf("%s %.0f", u.Name, s.To)
}

// PaceInside draws the pace of each stretch with its margin, and the heart rate
// beneath. ok is false for fewer than two stretches.
// Branches: a stretch may lack a pace, a heart rate or a stop, each with its own words.
func PaceInside(r Inside) (c Chart, ok bool) {
	around := paceRange{math.Inf(1), 0}
	lo, hi := math.Inf(1), math.Inf(-1)
	n := 0
	for _, s := range r.Stretches {
		around.include(s.Pace, s.Pace-s.Margin, s.Pace+s.Margin)
		if finite(s.Pace) && s.Pace > 0 {
			n++
		}
		if finite(s.Heart) {
			lo, hi = min(lo, s.Heart), max(hi, s.Heart)
		}
	}
	if n < 2 {
		return c, false
	}
	u := r.Unit
	what := "Each " + map[bool]string{true: "mile", false: "kilometre"}[u.Km > 1.5]
	c = Chart{Title: what, Caption: "A flat line is the mean pace of each, the bar through its dot the 95 % margin."}
	if r.Name != "" {
		c.Title += " of " + r.Name
	}
	p := Panel{Name: "pace /" + u.Name + ", quicker is higher", Height: 190, Y: around.axis(u)}
	heart := Panel{Name: "heart rate, beats/min", Height: 80, Y: Axis{From: lo - 3, To: hi + 3, Scale: Numbers(0)}}
	points := Points{Ink: Work}
	var steps Line
	beats := Line{Ink: Heart, Width: 2}
	var text []string
	stood := false
	for _, s := range r.Stretches {
		mid := (s.From + s.To) / 2
		steps.X, steps.Y = append(steps.X, s.From, s.To, s.To), append(steps.Y, s.Pace, s.Pace, math.NaN())
		points.X, points.Y = append(points.X, mid), append(points.Y, s.Pace)
		points.Low, points.High = append(points.Low, s.Pace-s.Margin), append(points.High, s.Pace+s.Margin)
		points.Labels = append(points.Labels, u.pace(s.Pace))
		beats.X, beats.Y = append(beats.X, s.From, s.To), append(beats.Y, s.Heart, s.Heart)
		figures := []string{u.paced(s.Pace, s.Margin) + " /" + u.Name}
		if finite(s.Heart) {
			figures = append(figures, fmt.Sprintf("heart rate %.0f", s.Heart))
		}
		if s.StoodS >= 1 {
			stood = true
			figures = append(figures, clock(s.StoodS)+" standing")
		}
		c.Marks = append(c.Marks, Mark{X0: s.From, X1: s.To, Name: s.span(u), Figures: figures, Focus: true, Kind: "stretch"})
		text = append(text, s.span(u)+" "+strings.Join(figures, ", "))
		if s.StoodS >= 1 {
			p.Layers = append(p.Layers, Note{X: mid, Y: p.Y.From, Text: "stood", Anchor: Middle, Up: 5, Room: 0.9 * (s.To - s.From), Ink: Faint})
		}
	}
	if stood {
		p.Y.From += 0.12 * (p.Y.From - p.Y.To) // room for the word
		for i, l := range p.Layers {
			if n, ok := l.(Note); ok {
				n.Y = p.Y.From
				p.Layers[i] = n
			}
		}
	}
	steps.Ink, steps.Width = Trace, 2
	p.Layers = append(p.Layers, steps, points)
	c.Panels = []Panel{p}
	if hi > 0 {
		heart.Layers = []Layer{beats}
		c.Panels = append(c.Panels, heart)
	}
	if stood {
		c.Caption += " Paces are of running; standing is left out."
	}
	from, to := r.Stretches[0].From, r.Stretches[len(r.Stretches)-1].To
	c.X = Axis{Name: u.Name, From: from, To: to, Scale: Numbers(0)}
	c.Text = strings.Join(text, "; ") + "."
	return c, true
}

// HeartAgainstPace draws the heart rate of each stretch over its pace: rings for the first half, discs for the second, so that a
// drift is seen. ok is false for fewer than four stretches with both.
func HeartAgainstPace(r Inside) (c Chart, ok bool) {
	var known []Stretch
	around, lo, hi := paceRange{math.Inf(1), 0}, math.Inf(1), math.Inf(-1)
	for _, s := range r.Stretches {
		if finite(s.Pace, s.Heart) && s.Pace > 0 && s.Pace < 3600 {
			known = append(known, s)
			around.include(s.Pace)
			lo, hi = min(lo, s.Heart), max(hi, s.Heart)
		}
	}
	if len(known) < 4 {
		return c, false
	}
	u := r.Unit
	pad := max(0.08*(around.slow-around.quick), 2)
	c = Chart{Title: "Heart rate against pace", X: Axis{Name: "/" + u.Name, From: around.slow + pad, To: around.quick - pad, Scale: Pace(u.Km)},
		Caption: "A point for each " + u.Name + ": rings are the first half, dots the second."}
	if r.Name != "" {
		c.Title += " in " + r.Name
	}
	p := Panel{Name: "heart rate, beats/min", Height: 210, Y: Axis{From: lo - 3, To: hi + 5, Scale: Numbers(0)}}
	points := Points{Ink: Heart}
	var text []string
	for i, s := range known {
		points.X, points.Y, points.Open = append(points.X, s.Pace), append(points.Y, s.Heart), append(points.Open, i < len(known)/2)
		text = append(text, fmt.Sprintf("%s %s, %.0f", s.span(u), u.pace(s.Pace), s.Heart))
	}
	p.Layers = []Layer{points, pathEnds{known}}
	c.Panels = []Panel{p}
	c.Text = "Pace /" + u.Name + " and heart rate: " + strings.Join(text, "; ") + "."
	if w := r.Drift.words(u); w != "" {
		c.Caption += " From the first half to the second: " + w + "."
		c.Text += " Drift from the first half to the second: " + w + "."
	}
	return c, true
}

// pathEnds names the first and the last point of a way.
type pathEnds struct{ stretches []Stretch }

func (e pathEnds) draw(p *plane) {
	n := len(e.stretches)
	for _, q := range []struct {
		at   Stretch
		text string
	}{{e.stretches[n-1], "last"}, {e.stretches[0], "first"}} {
		x, y := p.px(q.at.Pace), p.py(q.at.Heart)
		for _, d := range []point{{8, -7}, {8, 15}, {-8, -7}, {-8, 15}} {
			a := Start
			if d.x < 0 {
				a = End
			}
			if p.s.word(plainWord(q.text, x+d.x, y+d.y, a, Text)) {
				break
			}
		}
	}
}
