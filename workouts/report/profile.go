package report

import (
	"fmt"
	"math"
	"strings"

	"example.org/rungs/workouts/figures"
)

// A Profile is speed over the time of a run, drawn as a line of bars with the
// reps marked beneath it.
type Profile struct {
	Seconds float64
	Speed   func(from, to float64) float64 // mean over a span of seconds, m/s; 0 for standing, NaN where unknown
	Reps    []Mark                         // in time order
	Unit    figures.Unit
	Scale   bool // say what the bars amount to
}

// A Mark is a rep of a profile.
type Mark struct {
	StartS, EndS float64
	Set          int
	Label, last  string // last is the label of the last rep when several are one mark
	Style        Style
	from, to     int // columns
}

// Widths of a profile in characters: on a page without a limit, and at most.
const (
	usualProfile  = 60
	widestProfile = 120
)

// Bars from the slowest to the quickest: block elements, or characters that are
// the denser the quicker.
const (
	blockBars = "▁▂▃▄▅▆▇█"
	asciiBars = ".:-=+*%@"
)

// Speeds between these shares of the quickest always make a difference, so that
// neither a walk flattens the reps nor noise looks like a session.
const (
	lowestBar  = 0.4
	highestBar = 0.7
)

// text draws the profile; nothing when there is nothing to draw.
func (p *Profile) text(b *strings.Builder, page Page) {
	if p == nil || !(p.Seconds > 0) {
		return
	}
	columns := usualProfile
	if page.Columns > 0 {
		columns = min(page.Columns, widestProfile)
	}
	bars, line := []rune(blockBars), "─"
	if page.ASCII {
		bars, line = []rune(asciiBars), "-"
	}
	speeds, low, high := p.columns(columns)
	if !(high > 0) {
		return
	}
	marks := p.place(columns)
	var cells []Cell
	for c, v := range speeds {
		cell := Cell{Text: " "}
		if len(marks) > 0 {
			cell.Style = Faint
		}
		for _, m := range marks {
			if m.from <= c && c < m.to {
				cell.Style = m.Style
			}
		}
		if v >= figures.Strolling {
			level := int(8 * (v - low) / (high - low))
			cell.Text = string(bars[min(max(level, 0), len(bars)-1)])
		}
		cells = append(cells, cell)
	}
	page.row(b, cells)
	if len(marks) > 0 {
		var under []Cell
		at := 0
		for _, m := range marks {
			under = append(under, Cell{Text: strings.Repeat(" ", m.from-at)}, Cell{Text: m.text(line), Style: m.Style})
			at = m.to
		}
		page.row(b, under)
	}
	if p.Scale {
		page.paragraph(b, fmt.Sprintf("%c %s to %c %s %s; %s a column", bars[0], p.Unit.Pace(1000/low),
			bars[len(bars)-1], p.Unit.Pace(1000/high), p.Unit.Per(), columnText(p.Seconds/float64(columns))), "", Faint)
	}
}

// columnText is the time of a column.
func columnText(s float64) string {
	switch {
	case s < 9.95:
		return figures.Decimal(s, 1) + " s"
	case s < 90:
		return figures.Decimal(s, 0) + " s"
	}
	return figures.Clock(s)
}

// row writes cells of a line next to each other, without spaces at its end.
func (p Page) row(b *strings.Builder, cells []Cell) {
	last := len(cells)
	for last > 0 && strings.TrimSpace(cells[last-1].Text) == "" {
		last--
	}
	for i := 0; i < last; {
		text, style := "", cells[i].Style
		for ; i < last && cells[i].Style == style; i++ {
			text += cells[i].Text
		}
		b.WriteString(p.dress(text, style))
	}
	b.WriteByte('\n')
}

// columns are the speeds of so many columns of equal time, in m/s, and the ends
// of the scale of bars; the upper is 0 when nobody ran.
func (p *Profile) columns(n int) (speeds []float64, low, high float64) {
	low = math.Inf(1)
	for c := range n {
		v := p.Speed(p.Seconds*float64(c)/float64(n), p.Seconds*float64(c+1)/float64(n))
		speeds = append(speeds, v)
		if v >= figures.Strolling {
			low, high = min(low, v), max(high, v)
		}
	}
	return speeds, min(max(low, lowestBar*high), highestBar*high), high
}

// place finds the columns of the marks. Where the reps of a set would touch or
// have no room for their numbers, there is one mark for it, and for all sets of
// reps no longer than these; neighbours that still touch are joined.
func (p *Profile) place(columns int) []Mark {
	perColumn := p.Seconds / float64(columns)
	var sets [][]Mark
	for i, m := range p.Reps {
		m.from = min(max(int(math.Round(m.StartS/perColumn)), 0), columns-1)
		m.to = min(max(int(math.Round(m.EndS/perColumn)), m.from+1), columns)
		if i == 0 || m.Set != p.Reps[i-1].Set {
			sets = append(sets, nil)
		}
		sets[len(sets)-1] = append(sets[len(sets)-1], m)
	}
	short := 0.0 // reps of so many seconds are too short
	for _, set := range sets {
		if !apart(set) {
			short = max(short, longest(set))
		}
	}
	var marks []Mark
	for _, set := range sets {
		for i, m := range set {
			n := len(marks)
			if n > 0 && (m.from <= marks[n-1].to || i > 0 && longest(set) <= short) {
				marks[n-1].join(m)
			} else {
				marks = append(marks, m)
			}
		}
	}
	return marks
}

// apart tells whether marks can be told from each other.
func apart(marks []Mark) bool {
	for i, m := range marks {
		if i > 0 && m.from <= marks[i-1].to || m.to-m.from < len(m.Label) {
			return false
		}
	}
	return true
}

// longest is the length of the longest of the marks in seconds.
func longest(marks []Mark) float64 {
	s := 0.0
	for _, m := range marks {
		s = max(s, m.EndS-m.StartS)
	}
	return s
}

// join adds the next mark to m, which becomes plain if their styles differ.
func (m *Mark) join(next Mark) {
	m.to = max(m.to, next.to)
	m.last = next.Label
	if next.Style != m.Style {
		m.Style = Plain
	}
}

// text is the mark, as wide as it is: its number and a line, or nothing but the
// line.
func (m Mark) text(line string) string {
	room := m.to - m.from - len(m.Label) - len(m.last)
	if room < 0 || m.last != "" && room == 0 {
		return strings.Repeat(line, m.to-m.from)
	}
	return m.Label + strings.Repeat(line, room) + m.last
}
