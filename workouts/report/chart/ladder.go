package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A Ladder is the reps of a session, with what was asked of each and the
// recovery after it.
type Ladder struct {
	Unit  Length
	Day   time.Time // of the session, where several are drawn
	Reps  []Rung
	Trend string // of the reps, in words; may be empty
	Text  string // says the paces in the text equivalent; made of the reps when empty
}

// mostBars is how many reps have a bar each for their margin, our own choice; the bars of more
// would cover each other, so that they have a band.
const mostBars = 60

// A Rung is a rep of a ladder.
type Rung struct {
	Name          string  // "3"
	Whole         string  // "set 2, rep 3"; "rep " and the name when empty
	Set           int     // reps of different sets stand apart
	Row           int     // reps of one row and set share a course
	Pace          float64 // s/km; NaN for none
	Margin        float64 // half of its 95 % interval, s/km; NaN for none
	Low, High     float64 // paces asked for, the quicker and the slower, s/km; 0 for none
	Tolerance     float64 // s/km
	Cut, Missed   bool
	Fit           float64  // of a course through the reps, s/km; NaN for none
	Recovery      float64  // after it, s; 0 for none
	Figures       []string // of its mark; made of the rest when nil
	RecoveryWords string   // "jog"; may be empty
}

// paceRange is the quickest and the slowest of what a ladder shows, s/km.
type paceRange struct{ quick, slow float64 }

func (r *paceRange) include(paces ...float64) {
	for _, p := range paces {
		if finite(p) && p > 0 && p < 3600 {
			r.quick, r.slow = min(r.quick, p), max(r.slow, p)
		}
	}
}

func (r *paceRange) add(g Rung) {
	r.include(g.Pace, g.Pace-g.Margin, g.Pace+g.Margin)
	if g.Low > g.Tolerance {
		r.include(g.Low-g.Tolerance, g.High+g.Tolerance)
	}
}

// axis is a pace axis, quicker higher, with room for labels on top.
func (r paceRange) axis(u Length) Axis {
	pad := max(0.08*(r.slow-r.quick), 1)
	return Axis{From: r.slow + pad, To: r.quick - 2.2*pad, Scale: Pace(u.Km)}
}

// RepLadder draws the pace of each rep with its margin against target and
// tolerance, and the recoveries beneath, each as wide as it is long. ok is false
// when fewer than two reps have a pace.
// Branches: a rep may lack a target, a pace, a fit or a recovery, and begin a set.
func RepLadder(l Ladder) (c Chart, ok bool) {
	around := paceRange{math.Inf(1), 0}
	paces := 0
	longest := 0.0
	for _, g := range l.Reps {
		around.add(g)
		if finite(g.Pace) {
			paces++
		}
		longest = max(longest, g.Recovery)
	}
	if paces < 2 {
		return c, false
	}
	c = Chart{Title: "Rep by rep"}
	top := Panel{Name: "pace /" + l.Unit.Name + ", quicker is higher", Height: 210, Y: around.axis(l.Unit)}
	low := Panel{Name: "recovery after each rep, the wider the longer", Height: 34, Y: Axis{From: 0, To: 1}}
	points := Points{Ink: Work}
	var goals, fits, sets []Layer
	var fit *Line
	rests := restRow{}
	var ticks []Tick
	var text []string
	targets, cut, missed := false, false, false
	x := 0.0
	for i, g := range l.Reps {
		x++
		if i > 0 && g.Set != l.Reps[i-1].Set {
			x += 0.5
			fit = nil
		}
		if several := l.Reps[0].Set != l.Reps[len(l.Reps)-1].Set; several && (i == 0 || g.Set != l.Reps[i-1].Set) {
			wide := 0 // reps of the set
			for wide < len(l.Reps)-i && l.Reps[i+wide].Set == g.Set {
				wide++
			}
			sets = append(sets, Note{X: x - 0.5, Y: math.NaN(), Text: fmt.Sprintf("set %d", g.Set), Up: -12, Room: float64(wide) + 0.5, Ink: Faint})
		}
		if g.Low > g.Tolerance {
			targets = true
			top.Layers = append(top.Layers, Box{X0: x - 0.4, X1: x + 0.4, Y0: g.Low - g.Tolerance, Y1: g.High + g.Tolerance, Ink: Target, Wash: true})
			for _, v := range slices.Compact([]float64{g.Low, g.High}) {
				goals = append(goals, Line{X: []float64{x - 0.4, x + 0.4}, Y: []float64{v, v}, Ink: Target, Width: 1.5})
			}
		}
		points.X, points.Y = append(points.X, x), append(points.Y, g.Pace)
		points.Low, points.High = append(points.Low, g.Pace-g.Margin), append(points.High, g.Pace+g.Margin)
		points.Labels, points.Open = append(points.Labels, l.Unit.pace(g.Pace)), append(points.Open, g.Cut)
		if finite(g.Fit) {
			if fit == nil || g.Row != l.Reps[i-1].Row {
				fit = &Line{Ink: Fit, Dashed: true, Width: 1.25}
				fits = append(fits, fit)
			}
			fit.X, fit.Y = append(fit.X, x), append(fit.Y, g.Fit)
		}
		cut, missed = cut || g.Cut, missed || g.Missed
		if g.Missed {
			top.Layers = append(top.Layers, Note{X: x, Y: top.Y.From, Text: "missed", Anchor: Middle, Up: 6, Room: 0.9, Ink: Alert})
		}
		ticks = append(ticks, Tick{x, g.Name})
		if g.Recovery > 0 {
			wide := 0.9 * g.Recovery / longest
			rests = append(rests, rest{x + 0.5, wide, clock(g.Recovery)})
		}
		c.Marks = append(c.Marks, Mark{X0: x - 0.5, X1: x + 0.5, Name: g.whole(), Figures: g.told(l.Unit), Focus: true, Kind: "rep"})
		text = append(text, g.whole()+" "+strings.Join(g.told(l.Unit), ", "))
	}
	if len(l.Reps) > mostBars {
		top.Layers = append(top.Layers, Band{X: points.X, Low: points.Low, High: points.High, Ink: Work})
		points.Low, points.High = nil, nil
	}
	top.Layers = slices.Concat(top.Layers, goals, fits, []Layer{points}, sets)
	c.Panels = []Panel{top}
	if len(rests) > 0 {
		low.Layers = []Layer{rests}
		c.Panels = append(c.Panels, low)
	}
	c.X = Axis{Name: "rep", From: 0.4, To: x + 0.6 + 0.45*b2f(len(rests) > 0 && l.Reps[len(l.Reps)-1].Recovery > 0), Scale: Given(ticks...)}
	c.Caption = ladderCaption(targets, cut, l.Trend)
	if len(l.Reps) > mostBars {
		c.Caption = strings.Replace(c.Caption, "with their 95 % margins", "on a band of their 95 % margins", 1)
	}
	if c.Text = l.Text; c.Text == "" {
		c.Text = strings.Join(text, "; ") + "."
	}
	if l.Trend != "" {
		c.Text += " " + l.Trend
	}
	return c, true
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func ladderCaption(targets, cut bool, trend string) string {
	s := "Dots are mean paces with their 95 % margins."
	if targets {
		s += " Green lines are the targets, on a band of their tolerance."
	}
	if cut {
		s += " A ring is a rep that was cut short."
	}
	if trend != "" {
		s += " " + trend
	}
	return s
}

func (g Rung) whole() string {
	if g.Whole != "" {
		return g.Whole
	}
	return "rep " + g.Name
}

// told is what is said of a rep.
func (g Rung) told(u Length) []string {
	if g.Figures != nil {
		return g.Figures
	}
	var f []string
	switch {
	case g.Missed:
		f = append(f, "missed")
	case g.Cut:
		f = append(f, "cut short")
	}
	if s := u.paced(g.Pace, g.Margin); s != "" {
		f = append(f, s+" /"+u.Name)
	}
	if g.Low > 0 {
		s := "target " + u.pace(g.Low)
		if g.High > g.Low {
			s += " to " + u.pace(g.High)
		}
		if g.Tolerance > 0 {
			s += fmt.Sprintf(", %.0f s either way is on target", g.Tolerance*u.Km)
		}
		f = append(f, s)
	}
	if g.Recovery > 0 {
		f = append(f, strings.TrimSpace("then "+clock(g.Recovery)+" "+g.RecoveryWords))
	}
	return f
}

// A restRow draws recoveries between the reps: a bar as wide as it is long and
// its time beneath.
type restRow []rest

type rest struct {
	x, wide float64
	text    string
}

func (r restRow) draw(p *plane) {
	fits, slim, end := true, false, math.Inf(-1)
	shortest, longest := r[0], r[0]
	for _, q := range r {
		x, half := p.px(q.x), textWidth(q.text, false)/2
		fits, end = fits && x-half > end+3, x+half
		slim = slim || p.px(q.x+q.wide)-p.px(q.x) < thin+2
		if q.wide < shortest.wide {
			shortest = q
		}
		if q.wide > longest.wide {
			longest = q
		}
	}
	for _, q := range r {
		x0, x1 := clamp(p.px(q.x-q.wide/2), p.left, p.right), clamp(p.px(q.x+q.wide/2), p.left, p.right)
		a := area(Recovery, x0, p.top, x1, p.top+14)
		if slim { // all of them alike
			a.texture, a.pale = texture{}, false
		}
		p.s.shapes = append(p.s.shapes, a)
		if fits {
			p.s.word(plainWord(q.text, clamp(p.px(q.x), 16, p.s.width-16), p.top+29, Middle, Text))
		}
	}
	if !fits {
		text := shortest.text
		if longest.text != text {
			text += " to " + longest.text
		}
		p.s.word(plainWord(text, p.left, p.top+29, Start, Text))
	}
}

// A LadderTrend is a course fitted through sessions.
type LadderTrend struct {
	Days        []time.Time
	Fit, Margin []float64 // s/km; the margin is half of the 95 % interval
	Words       string    // "quicker by 4 s ±2 in 4 weeks"
}

// LadderWeeks draws the ladders of one workout over the weeks on one scale, the
// reps of each from left to right, and the fitted trend with its margin behind.
// ok is false for fewer than two sessions with a pace.
func LadderWeeks(name string, ladders []Ladder, trend LadderTrend) (c Chart, ok bool) {
	around := paceRange{math.Inf(1), 0}
	told := 0
	for _, l := range ladders {
		paces := 0
		for _, g := range l.Reps {
			around.add(g)
			if finite(g.Pace) {
				paces++
			}
		}
		if paces > 0 {
			told++
		}
	}
	if told < 2 {
		return c, false
	}
	for i := range min(len(trend.Fit), len(trend.Margin)) {
		around.include(trend.Fit[i]-trend.Margin[i], trend.Fit[i]+trend.Margin[i])
	}
	u := ladders[0].Unit
	c = Chart{Title: name, Caption: "Each group is a session with its reps in order, all on one scale. Dots are mean paces with their 95 % margins."}
	p := Panel{Name: "pace /" + u.Name + ", quicker is higher", Height: 230, Y: around.axis(u)}
	var ticks []Tick
	var text []string
	for i, l := range ladders {
		at := float64(i) + 0.5
		n := float64(len(l.Reps))
		points := Points{Ink: Work}
		var paces []string
		for k, g := range l.Reps {
			half := 0.4 / n
			x := at + 0.8*((float64(k)+0.5)/n-0.5)
			if g.Low > g.Tolerance {
				p.Layers = append(p.Layers, Box{X0: x - half, X1: x + half, Y0: g.High + g.Tolerance, Y1: g.Low - g.Tolerance, Ink: Target, Wash: true})
			}
			points.X, points.Y, points.Open = append(points.X, x), append(points.Y, g.Pace), append(points.Open, g.Cut)
			points.Low, points.High = append(points.Low, g.Pace-g.Margin), append(points.High, g.Pace+g.Margin)
			if s := u.pace(g.Pace); s != "" {
				paces = append(paces, s)
			}
		}
		if i > 0 {
			p.Layers = append(p.Layers, Line{X: []float64{float64(i), float64(i)}, Y: []float64{p.Y.From, p.Y.To}, Ink: Grid, Width: 1})
		}
		p.Layers = append(p.Layers, points)
		day := l.Day.Format("2 Jan")
		ticks = append(ticks, Tick{at, day})
		c.Marks = append(c.Marks, Mark{X0: float64(i), X1: float64(i + 1), Name: day, Figures: append([]string{strings.Join(paces, ", ") + " /" + u.Name}, l.words()...), Focus: true, Kind: "session"})
		text = append(text, day+": "+strings.Join(paces, ", "))
	}
	p.Layers = append(trend.layers(ladders), p.Layers...)
	if trend.Words != "" {
		c.Caption += " The dashed line is the trend, in its margin: " + trend.Words + "."
	}
	c.Panels, c.X = []Panel{p}, Axis{From: 0, To: float64(len(ladders)), Scale: Given(ticks...)}
	c.Text = name + ", pace /" + u.Name + " of each rep. " + strings.Join(text, "; ") + "."
	if trend.Words != "" {
		c.Text += " Trend: " + trend.Words + "."
	}
	return c, true
}

func (l Ladder) words() []string {
	if l.Trend == "" {
		return nil
	}
	return []string{l.Trend}
}

// layers draw the trend behind the sessions of its days.
func (t LadderTrend) layers(ladders []Ladder) []Layer {
	line, band := Line{Ink: Fit, Dashed: true, Width: 1.5}, Band{Ink: Fit}
	for i, l := range ladders {
		for k := range min(len(t.Days), len(t.Fit), len(t.Margin)) {
			if t.Days[k].Equal(l.Day) {
				x := float64(i) + 0.5
				line.X, line.Y = append(line.X, x), append(line.Y, t.Fit[k])
				band.X, band.Low, band.High = append(band.X, x), append(band.Low, t.Fit[k]+t.Margin[k]), append(band.High, t.Fit[k]-t.Margin[k])
				break
			}
		}
	}
	return []Layer{band, line}
}
