// Package draft tells a plan while it is being written: its picture, what it comes to,
// and its mistakes. It is quick enough to be asked at every key.
package draft

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf16"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/report/session"
)

// A Draft is a plan as far as it is written. Without mistakes it has a plan, unless
// nothing is written yet; with mistakes it has those alone. Words are as Safe has them,
// ready to be shown as text; the pictures are SVG in which all words are escaped.
type Draft struct {
	Plan     string    `json:"plan"` // in the notation as it is kept, on one line
	Said     string    `json:"said"` // what it comes to, in a sentence or two
	Figures  []Figure  `json:"figures"`
	Wide     string    `json:"wide"`   // picture for a page
	Narrow   string    `json:"narrow"` // picture for a phone
	Notes    []string  `json:"notes"`  // what has to be known besides
	Mistakes []Mistake `json:"mistakes"`

	Workout workouts.Workout `json:"-"`
}

// A Figure is a key figure and its name.
type Figure struct {
	Value string `json:"value"`
	Name  string `json:"name"`
}

// A Mistake is one in the text: where, what, and what to do.
type Mistake struct {
	Line    int    `json:"line"`   // from 1
	Column  int    `json:"column"` // from 1, in characters
	Length  int    `json:"length"` // in characters, at least 1
	Offset  int    `json:"offset"` // of the mistake, in UTF-16 units as browsers count, each line end as one
	End     int    `json:"end"`    // likewise
	Message string `json:"message"`
	Hint    string `json:"hint"`  // may be empty
	Shown   string `json:"shown"` // the line with a caret below it
}

// Limits of what is told as one types, of our own choice.
const (
	// MostTyped is the most bytes of a text. A file may have more (workouts.MaxBytes), but
	// nobody types that, and its mistakes take a tenth of a second.
	MostTyped = 8 << 10

	mostDrawn = 200   // steps of a picture, each a few px wide at most
	mostSaid  = 1000  // characters of a plan on one line
	id        = "now" // of the picture
)

// Of reads a text as one types it. The athlete knows the paces that names stand for.
func Of(text string, a athlete.Athlete) Draft {
	d := Draft{Figures: []Figure{}, Notes: []string{}, Mistakes: []Mistake{}}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n") // as a text area has it
	switch {
	case strings.TrimSpace(text) == "":
		return d
	case len(text) > MostTyped:
		d.Mistakes = append(d.Mistakes, Mistake{Line: 1, Column: 1, Length: 1, Message: fmt.Sprintf("the text has %d bytes; while one types it may have %d", len(text), MostTyped),
			Hint: "shorten it, or write it into a file of the library"})
		return d
	}
	w, err := notation.Parse("", text)
	if err != nil {
		d.Mistakes = MistakesIn(text, err)
		return d
	}
	d.Workout, d.Plan = w, clip(report.Safe(notation.Print(w)))
	said, sums, notes := session.Asked(w, a)
	d.Said = report.Safe(said)
	for _, f := range sums {
		d.Figures = append(d.Figures, Figure{report.Safe(f.Value), report.Safe(f.Name)})
	}
	for _, n := range notes {
		d.Notes = append(d.Notes, report.Safe(n))
	}
	if steps := len(w.Expand()); steps > mostDrawn {
		d.Notes = append(d.Notes, fmt.Sprintf("It has %s, too many for a picture.", figures.Plural(steps, "step")))
		return d
	}
	if c, err := session.PlotPlan(w, a); err == nil { // else no step has a length to draw
		c.Title = "In running order"
		d.Wide, d.Narrow = drawn(c, "wide", chart.Wide), drawn(c, "narrow", chart.Narrow)
	}
	return d
}

func drawn(c chart.Chart, name string, width float64) string {
	var b strings.Builder
	c.SVG(&b, id+"-"+name, width)
	return b.String()
}

// clip shortens a plan that is far too long to be read on one line.
func clip(s string) string {
	if r := []rune(s); len(r) > mostSaid {
		return string(r[:mostSaid]) + "…"
	}
	return s
}

// MistakesIn are the mistakes of a text that an error tells, mostly workouts.Diagnostics;
// none without an error.
func MistakesIn(text string, err error) (out []Mistake) {
	var found workouts.Diagnostics
	switch {
	case err == nil:
		return nil
	case !errors.As(err, &found):
		return []Mistake{{Line: 1, Column: 1, Length: 1, Message: report.Safe(err.Error())}}
	}
	lines := strings.Split(text, "\n")
	for _, x := range found {
		m := Mistake{Line: x.Line, Column: x.Column, Length: x.Length, Message: report.Safe(x.Message), Hint: report.Safe(x.Hint)}
		shown := strings.Split(x.String(), "\n") // summary, line, caret, hint
		for _, s := range shown[1:min(3, len(shown))] {
			m.Shown += strings.TrimPrefix(s, "    ") + "\n"
		}
		before, line := strings.Join(lines[:min(x.Line-1, len(lines))], "\n"), ""
		if x.Line > 1 {
			before += "\n"
		}
		if x.Line <= len(lines) {
			line = lines[x.Line-1]
		}
		runes := []rune(line)
		from := min(x.Column-1, len(runes))
		to := min(from+x.Length, len(runes))
		m.Offset = units(before) + units(string(runes[:from]))
		m.End = m.Offset + units(string(runes[from:to]))
		out = append(out, m)
	}
	return out
}

// units is the length of a text in UTF-16.
func units(s string) (n int) {
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n
}
