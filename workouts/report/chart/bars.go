package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A LedgerSession is a session taken apart, in the order it was run.
type LedgerSession struct {
	Name  string // "8 Sep, 5 x 4:00"
	Parts []LedgerPart
}

// A LedgerPart is a stretch of a session.
type LedgerPart struct {
	Word     string // "warm-up"
	Kind     string // of its mark; "account" when empty
	Ink      Ink
	Seconds  float64
	Distance string // "3.0 km", or what else stands beneath it; empty for none
	Short    string // less of the same, for narrow places; may be empty
}

// mostParts is how many parts of a session a text names one by one, our own choice; of more
// it gives the sums.
const mostParts = 60

// summed says of each kind of part how many there are and how long they are.
func (s LedgerSession) summed(order []string) (list []string) {
	for _, word := range order {
		n, sum := 0, 0.0
		short, long := math.Inf(1), 0.0
		for _, q := range s.Parts {
			if q.key() == word && q.Seconds > 0 {
				n, sum, short, long = n+1, sum+q.Seconds, min(short, q.Seconds), max(long, q.Seconds)
			}
		}
		text := word + " " + clock(sum)
		if n > 1 {
			text += fmt.Sprintf(" in %d parts of %s", n, clock(short))
			if clock(long) != clock(short) {
				text += " to " + clock(long)
			}
		}
		list = append(list, text)
	}
	return list
}

// LedgerBars draws a bar for each session over its time, part by part in the
// order they were run, with the distances beneath. ok is false when there is
// nothing to draw.
func LedgerBars(sessions []LedgerSession) (c Chart, ok bool) {
	const bar, words = 26.0, 18.0
	long := 0.0
	var legend Keys
	var text []string
	for i, s := range sessions {
		at := 0.0
		var parts []string
		var row ledgerRow
		sums := map[string]float64{} // s by word
		var order []string
		for _, q := range s.Parts {
			if !(q.Seconds > 0) {
				continue
			}
			row = append(row, placedPart{q, at})
			figures := []string{clock(q.Seconds)}
			if q.Distance != "" {
				figures = append(figures, q.Distance)
			}
			if len(sessions) == 1 {
				c.Marks = append(c.Marks, Mark{X0: at, X1: at + q.Seconds, Name: q.Word, Figures: figures, Focus: true, Kind: q.kind(), Panel: i + 2})
			}
			if sums[q.key()] == 0 {
				order = append(order, q.key())
			}
			sums[q.key()] += q.Seconds
			parts = append(parts, q.Word+" "+strings.Join(figures, ", "))
			if !slices.ContainsFunc(legend, func(k Key) bool { return k.Ink == q.Ink }) {
				legend = append(legend, Key{q.Ink, q.key()})
			}
			at += q.Seconds
		}
		if len(sessions) > 1 && at > 0 { // a stop of the Tab key for each part would be too many
			m := Mark{X0: 0, X1: at, Name: s.Name, Focus: true, Kind: "session", Panel: i + 2}
			for _, word := range order {
				m.Figures = append(m.Figures, word+" "+clock(sums[word]))
			}
			c.Marks = append(c.Marks, m)
		}
		long = max(long, at)
		c.Panels = append(c.Panels, Panel{Name: s.Name, Height: bar + words, Layers: []Layer{row}})
		if len(parts) > mostParts {
			parts = s.summed(order)
		}
		text = append(text, strings.TrimPrefix(s.Name+": "+strings.Join(parts, "; ")+".", ": "))
	}
	if long == 0 {
		return Chart{}, false
	}
	c.Panels = append([]Panel{{Height: KeyRow, Layers: []Layer{legend}}}, c.Panels...)
	c.Title, c.Text = "In the order it was run", strings.Join(text, " ")
	c.Caption = "Bars are as long as the time; the figures beneath are distances."
	if len(sessions) > 1 {
		c.Title = "Hard sessions, in the order they were run"
	}
	c.X = Axis{From: 0, To: long, Scale: Clock}
	return c, true
}

func (p LedgerPart) kind() string {
	if p.Kind == "" {
		return "account"
	}
	return p.Kind
}

// key is what the ink of the part stands for.
func (p LedgerPart) key() string {
	if p.Ink == Work {
		return "work"
	}
	return p.Word
}

type placedPart struct {
	LedgerPart
	at float64
}

type ledgerRow []placedPart

func (r ledgerRow) draw(p *plane) {
	var drawn []Ink // those of one ink after another, as neighbours of one kind weigh less
	for _, q := range r {
		if slices.Contains(drawn, q.Ink) {
			continue
		}
		drawn = append(drawn, q.Ink)
		for _, x := range r {
			if x.Ink == q.Ink {
				p.s.shapes = append(p.s.shapes, area(x.Ink, p.px(x.at), p.top, p.px(x.at+x.Seconds), p.top+26))
			}
		}
	}
	for _, q := range r {
		x0, x1 := p.px(q.at), p.px(q.at+q.Seconds)
		half := textWidth(first(x1-x0+2, false, q.Distance, q.Short), false) / 2
		mid := clamp((x0+x1)/2, half, p.s.width-half)
		p.s.word(plainWord(first(x1-x0+2, false, q.Distance, q.Short), mid, p.top+39, Middle, Text))
	}
}

// A TimeBand is the time spent in a band of pace or of heart rate.
type TimeBand struct {
	Name    string // "4:00 to 4:30", "150 to 160"
	Seconds float64
}

// TimeBands draws the time by pace beside the time by heart rate, the quickest
// and the highest on top, on one scale of time: pace and heart side by side, or
// below each other on a phone. unit is that of pace, "/km". ok is false when
// there is no time in either.
func TimeBands(pace, heart []TimeBand, unit string) (c Chart, ok bool) {
	var sides []bandSide
	for _, s := range []bandSide{{"by pace " + unit, pace, Work, 0}, {"by heart rate, beats/min", heart, Heart, 0}} {
		sum := 0.0
		for _, b := range s.bands {
			sum += b.Seconds
		}
		if sum > 0 {
			sides = append(sides, s)
		}
	}
	if len(sides) == 0 {
		return c, false
	}
	most, rows := 0.0, 0
	var text []string
	for _, s := range sides {
		rows = max(rows, len(s.bands))
		var bands []string
		for _, b := range s.bands {
			most = max(most, b.Seconds)
			bands = append(bands, b.Name+" "+clock(b.Seconds))
		}
		text = append(text, "Time "+s.name+": "+strings.Join(bands, "; ")+".")
	}
	for i := range sides {
		sides[i].most = most
	}
	c = Chart{Title: "Time by pace and by heart rate", Text: strings.Join(text, " "), X: Axis{From: 0, To: 1},
		Caption: "Both sides have one scale of time. Heart rate follows effort with a delay, so the two sides need not agree row by row."}
	if len(sides) == 1 {
		c.Title, c.Caption = "Time "+strings.TrimSuffix(strings.TrimSuffix(sides[0].name, unit), ", beats/min"), "Bars are the time in each band."
		c.Title = strings.TrimSpace(c.Title)
	}
	thin := c
	wide := bandSides{sides}
	c.Panels = []Panel{{Height: bandHeading + float64(rows)*bandRow, Layers: []Layer{wide}}}
	for _, s := range sides {
		thin.Panels = append(thin.Panels, Panel{Height: bandHeading + float64(len(s.bands))*bandRow, Layers: []Layer{bandSides{[]bandSide{s}}}})
	}
	c.Narrow = &thin
	return c, true
}

// Heights of the rows of bands, px.
const (
	bandHeading = 22.0
	bandRow     = 22.0
)

type bandSide struct {
	name  string
	bands []TimeBand
	ink   Ink
	most  float64
}

type bandSides struct{ sides []bandSide }

func (b bandSides) draw(p *plane) {
	const gap = 36.0
	n := float64(len(b.sides))
	wide := (p.right - p.left - gap*(n-1)) / n
	for i, s := range b.sides {
		x := p.left + float64(i)*(wide+gap)
		p.s.word(plainWord(s.name, x, p.top+13, Start, Faint))
		names, times := 0.0, 0.0
		for _, q := range s.bands {
			names, times = max(names, textWidth(q.Name, false)), max(times, textWidth(clock(q.Seconds), true))
		}
		from, to := x+names+8, x+wide-times-6
		for k, q := range s.bands {
			y := p.top + bandHeading + float64(k)*bandRow
			p.s.word(plainWord(q.Name, x+names, y+14, End, Text))
			end := from
			if q.Seconds > 0 && to > from {
				end = from + max(1, (to-from)*q.Seconds/s.most)
				p.s.shapes = append(p.s.shapes, area(s.ink, from, y+2, end, y+bandRow-3))
			}
			w := plainWord(clock(q.Seconds), end+5, y+14, Start, Text)
			w.strong = true
			p.s.word(w)
		}
		p.s.line(Stop, 1, point{from, p.top + bandHeading}, point{from, p.top + bandHeading + float64(len(s.bands))*bandRow})
	}
}
