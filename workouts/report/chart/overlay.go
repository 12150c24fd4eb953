package chart

import (
	"fmt"
	"math"
	"strings"
)

// An Overlay is the reps of one kind, from one common start.
type Overlay struct {
	Unit      Length
	Reps      []OverlayRep
	Low, High float64 // paces asked for, the quicker and the slower, s/km; 0 for none
	Tolerance float64 // s/km
	Planned   float64 // length of a rep, s; 0 when it was planned otherwise
}

// An OverlayRep is the course of a rep.
type OverlayRep struct {
	Name    string    // "3"
	Seconds []float64 // since its start
	Speed   []float64 // m/s; NaN where not known
	Cut     bool      // it ended before its time
	Figures string    // "4:05 /km ±2"
}

// mostTold is how many reps are told apart by shade; of more, the first and the
// last stand out of the others.
const mostTold = 8

// mostDrawn is how many lines can be seen at all, our own choice; of more reps some are drawn,
// at even steps, besides the first, the last and those cut short.
const mostDrawn = 40

// some are the reps that are drawn.
func (o Overlay) some() []OverlayRep {
	n := len(o.Reps)
	if n <= mostDrawn {
		return o.Reps
	}
	every := (n + mostDrawn/2 - 1) / (mostDrawn / 2)
	var list []OverlayRep
	cut := 0
	for i, r := range o.Reps {
		wanted := i%every == 0 || i == n-1
		if r.Cut && cut < mostDrawn/2 {
			wanted, cut = true, cut+1
		}
		if wanted {
			list = append(list, r)
		}
	}
	return list
}

// end is the last known point of the rep.
func (r OverlayRep) end() (x, y float64) {
	x, y = math.NaN(), math.NaN()
	for i := range min(len(r.Seconds), len(r.Speed)) {
		if finite(r.Seconds[i], r.Speed[i]) {
			x, y = r.Seconds[i], r.Speed[i]
		}
	}
	return x, y
}

// shade is the ink and the width of rep i of n: the later, the stronger.
func shade(i, n int) (Ink, float64) {
	inks := [...]Ink{Zone1, Zone2, Zone3, Zone4, Zone5}
	if n > mostTold {
		switch i {
		case 0:
			return Zone3, 2
		case n - 1:
			return Zone5, 3
		}
		return Easy, 0.8
	}
	share := float64(i) / float64(max(n-1, 1))
	return inks[int(math.Round(share*float64(len(inks)-1)))], 1.1 + 1.7*share
}

// RepsOverlaid draws reps from a common start; ok is false when fewer than two
// have a course.
// Branches: target, planned end and cut-short ends are each drawn only where there is one.
func RepsOverlaid(o Overlay) (c Chart, ok bool) {
	all := len(o.Reps)
	o.Reps = o.some()
	lo, hi, long := math.Inf(1), math.Inf(-1), o.Planned
	var text []string
	n := 0
	for _, r := range o.Reps {
		known := 0
		for i := range min(len(r.Seconds), len(r.Speed)) {
			if v := r.Speed[i]; finite(v) && v > 0.5 {
				known++
				if r.Seconds[i] > 6 { // the way up to speed would set the scale
					lo = min(lo, v)
				}
				hi, long = max(hi, v), max(long, r.Seconds[i])
			}
		}
		if known > 1 {
			n++
		}
		s := "rep " + r.Name + " " + r.Figures
		if r.Cut {
			s += ", cut short"
		}
		text = append(text, s)
	}
	if n < 2 || !(hi > lo) {
		return c, false
	}
	quick, slow := 1000/(o.Low-o.Tolerance), 1000/(o.High+o.Tolerance)
	target := o.Low > o.Tolerance && o.High >= o.Low
	if target {
		lo, hi = min(lo, slow), max(hi, quick)
	}
	pad := max(0.08*(hi-lo), 0.05)
	p := Panel{Name: "pace /" + o.Unit.Name + " from the start of each rep, quicker is higher", Height: 230,
		Y: Axis{From: max(0, lo-pad), To: hi + 2*pad, Scale: SpeedAsPace(o.Unit.Km)}}
	c = Chart{Title: "The reps over each other", X: Axis{From: 0, To: long * 1.09, Scale: Clock}}
	c.Caption = "Each line is a rep, from the first, light and thin, to the last, dark and strong; its number stands at its end."
	if len(o.Reps) > mostTold {
		c.Caption = "The first rep is the lighter strong line, the last the darker; thin grey lines are those between."
	}
	if n := len(o.Reps); n < all {
		c.Caption = fmt.Sprintf("Of %d reps %d are drawn. ", all, n) + c.Caption
	}
	if target {
		p.Layers = append(p.Layers, Box{X0: 0, X1: long, Y0: slow, Y1: quick, Ink: Target, Wash: true})
		for _, v := range []float64{o.Low, o.High} {
			p.Layers = append(p.Layers, Line{X: []float64{0, long}, Y: []float64{1000 / v, 1000 / v}, Ink: Target, Width: 1.5})
		}
		c.Caption += " The green band is the target with its tolerance."
	}
	if o.Planned > 0 {
		p.Layers = append(p.Layers, Line{X: []float64{o.Planned, o.Planned}, Y: []float64{p.Y.From, p.Y.To}, Ink: Text, Dashed: true, Width: 1})
		c.Caption += " The dashed line is where a rep was to end."
	}
	for _, last := range []bool{false, true} { // the first and the last upon the others
		for i, r := range o.Reps {
			if top := i == 0 || i == len(o.Reps)-1; top == last {
				ink, width := shade(i, len(o.Reps))
				p.Layers = append(p.Layers, Line{X: r.Seconds, Y: above(r.Speed, p.Y.From), Ink: ink, Width: width})
			}
		}
	}
	p.Layers = append(p.Layers, overlayEnds(o.Reps))
	for _, r := range o.Reps {
		if r.Cut {
			c.Caption += " A ring ends a rep that was cut short."
			break
		}
	}
	c.Panels = []Panel{p}
	c.Text = fmt.Sprintf("%d reps over each other from a common start", all)
	if len(o.Reps) < all {
		c.Text += fmt.Sprintf(", of which %d are drawn", len(o.Reps))
	}
	if target {
		c.Text += ", on the target of " + o.Unit.pace(o.Low)
		if o.High > o.Low {
			c.Text += " to " + o.Unit.pace(o.High)
		}
		c.Text += " /" + o.Unit.Name
	}
	c.Text += ": " + strings.Join(text, "; ") + "."
	return c, true
}

// above leaves out what lies below the axis: the way up to speed.
func above(values []float64, least float64) (some []float64) {
	for _, v := range values {
		if v < least {
			v = math.NaN()
		}
		some = append(some, v)
	}
	return some
}

// overlayEnds names the lines at their ends: those cut short, the last, the
// first, then the others, as many as there is room for.
type overlayEnds []OverlayRep

func (reps overlayEnds) draw(p *plane) {
	order := []int{len(reps) - 1, 0}
	for i := 1; i < len(reps)-1; i++ {
		order = append(order, i)
	}
	name := func(r OverlayRep) {
		x, y := r.end()
		at := point{p.px(x), clamp(p.py(y), p.top, p.bottom)}
		if !finite(at.x, at.y) || r.Name == "" {
			return
		}
		texts := []string{r.Name}
		if r.Cut {
			p.s.dot(Alert, at, true)
			texts = []string{r.Name + " cut", r.Name}
		}
		for _, t := range texts {
			for _, dy := range []float64{4, -8, 16, -20, 28} {
				w := plainWord(t, at.x+6, at.y+dy, Start, Text)
				w.strong = true
				if p.s.word(w) {
					return
				}
			}
		}
	}
	for _, cut := range []bool{true, false} {
		for k, i := range order {
			if reps[i].Cut == cut && (cut || k < 2 || len(reps) <= mostTold) {
				name(reps[i])
			}
		}
	}
}
