// Package chart draws small charts: panels stacked over one axis, with layers
// of lines, boxes, points and notes, and marks that show their figures when
// pointed at or reached by keyboard. A Chart is data; it is laid out for a
// width and written as SVG for a page (colours from CSS, no script), as an SVG
// file of its own, or as PNG.
//
//	c := chart.Chart{
//		Title: "Distance by week",
//		Text:  "Bars of the distance of two weeks: 44 and 27 km.",
//		X:     chart.Axis{From: 0.5, To: 2.5, Scale: chart.Given(chart.Tick{At: 1, Text: "W37"}, chart.Tick{At: 2, Text: "W38"})},
//		Panels: []chart.Panel{{
//			Name: "km", Height: 120, Y: chart.Axis{From: 0, To: 50, Scale: chart.Numbers(0)},
//			Layers: []chart.Layer{chart.Box{X0: 0.7, X1: 1.3, Y0: 0, Y1: 44, Ink: chart.Work}},
//		}},
//		Marks: []chart.Mark{{X0: 0.5, X1: 1.5, Name: "2026-W37", Figures: []string{"44 km"}, Focus: true}},
//	}
//	c.SVG(&b, "weeks", chart.Wide)
//
// All text goes through Plain and is escaped; values of NaN are not drawn.
//
// Size: one layout, two renderers and the pictures, which share inks, words and marks
// that nothing else needs to know.
package chart

// Widths that pages lay charts out for, in CSS pixels.
const (
	Wide   = 760 // screens and paper
	Narrow = 340 // phones
)

// A Chart is a picture of figures.
type Chart struct {
	Title   string // a heading
	Text    string // the text alternative: what the picture shows, in sentences
	Caption string // how to read it, printed below; may be empty
	X       Axis
	Panels  []Panel // from top to bottom
	Marks   []Mark
	Narrow  *Chart // drawn in its place on less than 500 px, under the same title; may be nil
}

// A Panel is one plane of a chart, as wide as all of it.
type Panel struct {
	Name   string  // what is plotted and its unit, printed above it
	Height float64 // px
	Y      Axis
	Layers []Layer // from back to front
}

// A Layer is a thing drawn on a panel: Line, Box, Points, Note or Row. Places are in
// the units of the axes; what is outside them is cut off.
type Layer interface{ draw(p *plane) }

// A Line joins points; a NaN leaves a gap. Of more points than pixels the
// average in each pixel column is drawn.
type Line struct {
	X, Y   []float64
	Ink    Ink
	Width  float64 // px; 0 is 1.25
	Dashed bool
}

// A Box fills a rectangle. Y0 or Y1 of NaN is the edge of the panel.
type Box struct {
	X0, X1, Y0, Y1 float64
	Ink            Ink
	Wash           bool // faintly, to be drawn on
}

// Points are dots with error bars, from Low to High; nil or NaN for none.
type Points struct {
	X, Y      []float64
	Low, High []float64
	Labels    []string // printed above each when all fit; may be nil
	Open      []bool   // drawn as rings: what is not whole, such as a rep cut short; may be nil
	Ink       Ink
}

// A Note is a word beside a place; a Y of NaN is the top of the panel.
type Note struct {
	X, Y   float64
	Text   string
	Head   string // above the text, of less weight; may be empty
	Anchor Anchor
	Up     float64 // px above the place
	Room   float64 // widest it may be, in units of X, else it is left out; 0 is any
	Ink    Ink
	Strong bool
}

// A Row is words along the top of the panel, each in the middle of its place:
// all of them, or every second, third and so on when they do not fit.
type Row struct {
	X     []float64
	Words []string
	Ink   Ink
}

// Anchor says which part of a text stands at its place.
type Anchor int

// Anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// A Mark is a stretch of the x axis that shows figures when pointed at, or
// when the keyboard reaches it.
type Mark struct {
	X0, X1  float64
	Name    string   // "rep 3"
	Figures []string // "4:13 /km ±1", "4:00", ...
	Focus   bool     // a stop of the Tab key
	Kind    string   // a CSS class of its own, a plain word: "rep"; may be empty
	Panel   int      // the panel it belongs to, from 1; 0 is all
}
