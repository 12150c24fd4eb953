package chart

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// A StripWeek is a row of a week strip.
type StripWeek struct {
	Name    string     // "week of 7 Sep: less than planned"
	Days    []StripDay // seven, from its first day
	Run     float64    // the sum, in the unit of the strip
	Planned string     // the same of the plan: "45-50"; empty for none
	Note    string     // of the sums, in a few letters: "2 hard"; may be empty
}

// A StripDay is a cell of a week strip: what was planned against what was run.
type StripDay struct {
	Day     time.Time
	Parts   []StripPart // what was run, from the ground up
	Planned float64     // in the unit of the strip; 0 for none
	What    string      // "5 x 4:00"; may be empty
	Trace   []float64   // speeds of a hard session, at equal steps of time; may be nil
	Missed  bool        // what was planned was not run
	Today   bool        // it is the day of who looks at it
	Figures []string    // more that its mark shows
}

// A StripPart is a share of what was run on a day.
type StripPart struct {
	Ink   Ink
	Value float64 // in the unit of the strip
}

// run is the sum of the parts of a day.
func (d StripDay) run() (sum float64) {
	for _, p := range d.Parts {
		sum += p.Value
	}
	return sum
}

// figures are what the mark of the day says.
func (d StripDay) figures(unit string) []string {
	var f []string
	switch run := d.run(); {
	case run > 0:
		f = append(f, fmt.Sprintf("%.1f %s", run, unit))
	case d.Missed:
		f = append(f, "missed")
	default:
		f = append(f, "no run")
	}
	if d.Planned > 0 {
		f = append(f, fmt.Sprintf("planned %.1f %s", d.Planned, unit))
	}
	if d.What != "" {
		f = append(f, d.What)
	}
	return append(f, d.Figures...)
}

// stripHeight is that of a row, px: a date, a trace, bars, and two lines of words.
const stripHeight = 150

// WeekStrip has a row a week and in it a cell a day: the distance run as a bar,
// the planned one as a line across, a trace of the speed of hard sessions, and
// the sums at the end. unit names the unit of all distances.
func WeekStrip(weeks []StripWeek, unit string) Chart {
	c := Chart{
		Title: "Day by day",
		Caption: "Bars are the distance run in " + unit + ", lines across are the planned distance. " +
			"The small trace is the speed of a hard session from its start to its end.",
		X: Axis{From: 0, To: 8},
	}
	most := 0.0
	used := map[Ink]bool{}
	for _, w := range weeks {
		for _, d := range w.Days {
			most = max(most, d.run(), d.Planned)
			for _, p := range d.Parts {
				used[p.Ink] = true
			}
		}
	}
	if keys := stripKeys(used); len(keys) > 1 {
		c.Panels = append(c.Panels, Panel{Height: KeyRow, Layers: []Layer{keys}})
	}
	var text []string
	for _, w := range weeks {
		c.Panels = append(c.Panels, Panel{Name: w.Name, Height: stripHeight, Layers: []Layer{stripRow{w, most, unit}}})
		var days []string
		for k, d := range w.Days {
			f := d.figures(unit)
			name := d.Day.Format("Mon 2 Jan")
			if d.Today {
				name += ", today"
			}
			c.Marks = append(c.Marks, Mark{X0: float64(k), X1: float64(k + 1), Name: name, Figures: f, Focus: true, Kind: "day", Panel: len(c.Panels)})
			if d.run() > 0 || d.Planned > 0 {
				days = append(days, d.Day.Format("Monday")+" "+strings.Join(f, ", "))
			}
		}
		text = append(text, w.Name+": "+strings.Join(days, "; ")+".")
	}
	c.Text = "A cell for each day. " + strings.Join(text, " ")
	return c
}

// stripKeys are the inks that are used, by what they stand for.
func stripKeys(used map[Ink]bool) (keys Keys) {
	for _, k := range []Key{{Work, "work"}, {Recovery, "recovery"}, {Warm, "warm-up"}, {Cool, "cool-down"}, {Easy, "easy"}} {
		if used[k.Ink] {
			keys = append(keys, k)
		}
	}
	return keys
}

// A stripRow draws a week.
type stripRow struct {
	StripWeek
	most float64
	unit string
}

func (r stripRow) draw(p *plane) {
	const dates, traces, words = 16.0, 26.0, 34.0
	ground, roof := p.bottom-words, p.top+dates+traces+15
	high := func(v float64) float64 { return ground - v/r.most*(ground-roof) }
	cell := p.px(1) - p.px(0)
	p.s.line(Stop, 1, point{p.px(0), ground}, point{p.px(7) - 4, ground})
	for k, d := range r.Days {
		x0, x1 := p.px(float64(k)), p.px(float64(k+1))
		mid := (x0 + x1 - 4) / 2
		if k > 0 {
			p.s.line(Grid, 1, point{x0 - 2, p.top}, point{x0 - 2, p.bottom})
		}
		date := d.Day.Format("Mon 2")
		if textWidth("Wed 30", false) > cell-4 { // the same form for all
			date = d.Day.Format("Mon")
		}
		head := plainWord(date, mid, p.top+11, Middle, Faint)
		if d.Today {
			head.ink, head.strong = Text, true
			p.s.line(Text, 2, point{x0 + 2, p.top + 15}, point{x1 - 6, p.top + 15})
		}
		p.s.word(head)
		d.drawTrace(p.s, x0+2, x1-8, p.top+dates, p.top+dates+traces)
		half := min(cell*0.24, 16)
		y := 0.0
		for _, q := range d.Parts {
			if q.Value > 0 && r.most > 0 {
				p.s.shapes = append(p.s.shapes, area(q.Ink, mid-half, high(y), mid+half, high(y+q.Value)))
				y += q.Value
			}
		}
		if y > 0 {
			amount := plainWord(fmt.Sprintf("%.1f", y), mid, ground+14, Middle, Text)
			amount.strong = true
			p.s.word(amount)
		} else if d.Missed {
			p.s.word(plainWord(first(cell-2, false, "missed", "miss", "–"), mid, ground+14, Middle, Alert))
		}
		if d.Planned > 0 && r.most > 0 {
			at := high(d.Planned)
			p.s.line(Text, 2, point{mid - half - 5, at}, point{mid + half + 5, at})
			p.s.word(plainWord(trimmed(d.Planned), mid, min(at, high(y))-5, Middle, Faint))
		}
		p.s.word(plainWord(first(cell-5, false, d.What), mid, ground+29, Middle, Faint))
	}
	at := p.px(7) + 2
	sum := plainWord(fmt.Sprintf("%.1f", r.Run), at, ground+14, Start, Text)
	sum.strong = true
	p.s.word(sum)
	if r.Planned != "" {
		p.s.word(plainWord(first(p.s.width-at, false, "of "+r.Planned, r.Planned), at, ground+29, Start, Faint))
	}
	p.s.word(plainWord(first(p.s.width-at, false, r.Note), at, ground-4, Start, Faint))
	p.s.word(plainWord(first(p.s.width-at, false, "in all, "+r.unit, r.unit), at, p.top+11, Start, Faint))
}

// drawTrace draws the speed of a day into a rectangle, from its slowest to its quickest.
func (d StripDay) drawTrace(s *scene, x0, x1, y0, y1 float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range d.Trace {
		if finite(v) {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if !(hi > lo) {
		return
	}
	p := &plane{s: s, x: Axis{From: 0, To: float64(len(d.Trace) - 1)}, y: Axis{From: lo, To: hi}, left: x0, right: x1, top: y0, bottom: y1}
	l := Line{Y: d.Trace, Ink: Work, Width: 1.4}
	for i := range d.Trace {
		l.X = append(l.X, float64(i))
	}
	l.draw(p)
}

// trimmed prints with one decimal where it is not 0.
func trimmed(v float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
}

// plusMinus prints a margin in whole seconds, rounded up.
func plusMinus(v float64) string { return fmt.Sprintf("±%.0f", math.Max(1, math.Ceil(v-1e-9))) }
