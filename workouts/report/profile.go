package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
)

// A profile is speed over the time of a run, drawn as a line of bars with the
// reps marked beneath it.
type profile struct {
	seconds float64
	speed   func(from, to float64) float64 // mean over a span of seconds, m/s; 0 for standing, NaN where unknown
	reps    []mark                         // in time order
	unit    figures.Unit
	scale   bool // say what the bars amount to
}

// A mark is a rep of a profile.
type mark struct {
	startS, endS float64
	set          int
	label, last  string // last is the label of the last rep when several are one mark
	style        Style
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
// neither a walk flattens the reps nor noise looks like a session. Slower than
// strolling is standing.
const (
	lowestBar  = 0.4
	highestBar = 0.7
	strolling  = 0.5 // m/s
)

// text draws the profile; nothing when there is nothing to draw.
func (p *profile) text(b *strings.Builder, page Page) {
	if p == nil || !(p.seconds > 0) {
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
				cell.Style = m.style
			}
		}
		if v >= strolling {
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
			under = append(under, Cell{Text: strings.Repeat(" ", m.from-at)}, Cell{Text: m.text(line), Style: m.style})
			at = m.to
		}
		page.row(b, under)
	}
	if p.scale {
		page.paragraph(b, fmt.Sprintf("%c %s to %c %s %s; %s a column", bars[0], p.unit.Pace(1000/low),
			bars[len(bars)-1], p.unit.Pace(1000/high), p.unit.Per(), columnText(p.seconds/float64(columns))), "", Faint)
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
func (p *profile) columns(n int) (speeds []float64, low, high float64) {
	low = math.Inf(1)
	for c := range n {
		v := p.speed(p.seconds*float64(c)/float64(n), p.seconds*float64(c+1)/float64(n))
		speeds = append(speeds, v)
		if v >= strolling {
			low, high = min(low, v), max(high, v)
		}
	}
	return speeds, min(max(low, lowestBar*high), highestBar*high), high
}

// place finds the columns of the marks. Where the reps of a set would touch or
// have no room for their numbers, there is one mark for it, and for all sets of
// reps no longer than these; neighbours that still touch are joined.
func (p *profile) place(columns int) []mark {
	perColumn := p.seconds / float64(columns)
	var sets [][]mark
	for i, m := range p.reps {
		m.from = min(max(int(math.Round(m.startS/perColumn)), 0), columns-1)
		m.to = min(max(int(math.Round(m.endS/perColumn)), m.from+1), columns)
		if i == 0 || m.set != p.reps[i-1].set {
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
	var marks []mark
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
func apart(marks []mark) bool {
	for i, m := range marks {
		if i > 0 && m.from <= marks[i-1].to || m.to-m.from < len(m.label) {
			return false
		}
	}
	return true
}

// longest is the length of the longest of the marks in seconds.
func longest(marks []mark) float64 {
	s := 0.0
	for _, m := range marks {
		s = max(s, m.endS-m.startS)
	}
	return s
}

// join adds the next mark to m, which is plain then if they differ.
func (m *mark) join(next mark) {
	m.to = max(m.to, next.to)
	m.last = next.label
	if next.style != m.style {
		m.style = Plain
	}
}

// text is the mark, as wide as it is: its number and a line, or nothing but the
// line.
func (m mark) text(line string) string {
	room := m.to - m.from - len(m.label) - len(m.last)
	if room < 0 || m.last != "" && room == 0 {
		return strings.Repeat(line, m.to-m.from)
	}
	return m.label + strings.Repeat(line, room) + m.last
}

// sessionProfile draws the speeds of a session; nil when it has none.
func sessionProfile(s *segment.Session, reps []mark, u figures.Unit) *profile {
	tr := s.Trace
	if tr == nil || tr.Source == signal.Nothing || tr.Len() == 0 {
		return nil
	}
	return &profile{
		seconds: float64(tr.Len()), unit: u, scale: true,
		reps: reps,
		speed: func(from, to float64) float64 {
			sum, n := 0.0, 0
			for i := int(from); i < int(math.Ceil(to)) && i < tr.Len(); i++ {
				if tr.Known[i] {
					sum += tr.Speed[i]
					n++
				}
			}
			return sum / float64(n) // NaN for none
		},
	}
}

// foundReps marks the reps that were found.
func foundReps(s *segment.Session) (reps []mark) {
	for _, x := range s.Segments {
		if x.Role == segment.Work {
			reps = append(reps, mark{startS: x.StartS, endS: x.EndS, set: x.Set, label: strconv.Itoa(x.Rep)})
		}
	}
	return reps
}

// checkedReps marks the reps that were run, those with an alert in the table
// likewise.
func checkedReps(res *match.Result) (reps []mark) {
	for _, r := range res.Reps {
		if !figures.Known(r.StartS) || !(r.EndS > r.StartS) {
			continue
		}
		m := mark{startS: r.StartS, endS: r.EndS, set: r.Set, label: "+"}
		if r.Rep > 0 {
			m.label = strconv.Itoa(r.Rep)
		}
		if r.Outcome != match.Done || driftStyle(r) == Alert {
			m.style = Alert
		}
		reps = append(reps, m)
	}
	slices.SortStableFunc(reps, func(a, b mark) int { return int(math.Copysign(1, a.startS-b.startS)) })
	return reps
}

// outlineProfile draws the speeds of a plan.
func outlineProfile(o athlete.Outline) *profile {
	p := &profile{seconds: o.Seconds.Value, speed: o.Speed}
	for _, s := range o.Steps {
		if s.Role == segment.Work && s.Seconds.Value > 0 {
			p.reps = append(p.reps, mark{startS: s.BeginsS.Value, endS: s.BeginsS.Value + s.Seconds.Value, set: s.Set, label: strconv.Itoa(s.Rep)})
		}
	}
	return p
}
