package chart

import (
	"math"
	"strings"
)

// A texture tells areas apart where there is no colour: on grey paper, or to
// eyes that see none. The areas of an ink have one of their own.
type texture struct {
	weave weave
	gap   float64 // from line to line or dot to dot, px
	width float64 // of the lines, or across a dot, px
}

type weave int

const (
	solid   weave = iota
	hollow        // nothing but the frame
	rising        // lines like /
	falling       // lines like \
	level         // lines like -
	upright       // lines like |
	dotted
	crossed // rising and falling
)

// textures of the inks of areas; all others are solid. Zones grow denser from
// low to high. The measures are our own, so that lines are seen apart at 100 %.
var textures = map[Ink]texture{
	Recovery:  {dotted, 5, 1.7},
	Warm:      {rising, 6, 1.4},
	Cool:      {falling, 6, 1.4},
	Easy:      {weave: hollow},
	Stop:      {crossed, 5, 0.9},
	Treadmill: {level, 5, 1.4},
	Track:     {rising, 5, 1.8},
	Trail:     {dotted, 5, 2},
	Zone1:     {dotted, 6, 1.6},
	Zone2:     {falling, 6, 1.2},
	Zone3:     {rising, 4.5, 1.6},
	Zone4:     {crossed, 5, 1.7},
}

// seam is the paper left between neighbours, px on each side of an edge.
const seam = 0.6

// thin is the least side of an area with a texture, px; smaller ones are pale, so that they
// stand out of solid ones beside them.
const thin = 7

// area is a filled rectangle in the texture of its ink.
func area(ink Ink, x0, y0, x1, y1 float64) shape {
	x0, x1, y0, y1 = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
	if x1-x0 > thin {
		x0, x1 = x0+seam, x1-seam
	}
	if y1-y0 > thin {
		y0, y1 = y0+seam, y1-seam
	}
	s := shape{ink: ink, filled: true}
	if t := textures[ink]; t.weave != solid {
		if x1-x0 >= thin-2*seam && y1-y0 >= thin-2*seam {
			s.texture = t
			x0, x1, y0, y1 = x0+0.5, x1-0.5, y0+0.5, y1-0.5 // the frame is drawn along the edge
		} else {
			s.pale = true
		}
	}
	s.runs = [][]point{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
	return s
}

// woven writes the areas of an ink that have a texture: their frames upon a faint ground, and
// over them lines that are clipped to them. A pattern (SVG 1.1, section 13.3) would do for
// screens; but browsers print each area of one as an image of its own, so that a page takes
// megabytes on paper.
func woven(b *strings.Builder, areas []shape, id string) {
	t, class := areas[0].texture, string(areas[0].ink)
	id += "-" + class
	b.WriteString(`<clipPath id="` + id + `"><path id="` + id + `-a" d="`)
	outline := pen{b: b}
	for _, x := range areas {
		outline.run(x.runs[0], true)
	}
	b.WriteString(`"/></clipPath><use class="t ` + class + `" href="#` + id + "-a\"/>")
	if t.weave != hollow {
		b.WriteString(`<path class="l ` + class + `" clip-path="url(#` + id + `)" stroke-width="`)
		number(b, t.width)
		if t.weave == dotted { // a dash as long as it is wide is a dot
			b.WriteString(`" stroke-dasharray="`)
			number(b, t.width)
			b.WriteByte(' ')
			number(b, t.gap-t.width)
		}
		b.WriteString(`" d="`)
		hatch := pen{b: b}
		for _, l := range t.cover(areas) {
			hatch.run(l, false)
		}
		b.WriteString(`"/>`)
	}
	b.WriteByte('\n')
}

// cover are lines of the texture that cover areas and lie where those of lines do. They are
// one raster of lines that are all alike, which weighs little once packed; but rows of dots
// are drawn for each area, as every dot weighs on paper.
func (t texture) cover(areas []shape) (list [][]point) {
	if t.weave == dotted {
		for _, x := range areas {
			r := x.runs[0]
			from := (math.Floor(r[0].x/t.gap)+0.5)*t.gap - t.width/2
			for k := math.Floor(r[0].y / t.gap); k*t.gap < r[2].y; k++ {
				list = append(list, []point{{from, (k + 0.5) * t.gap}, {r[2].x, (k + 0.5) * t.gap}})
			}
		}
		return list
	}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, x := range areas {
		r := x.runs[0]
		x0, y0, x1, y1 = min(x0, r[0].x), min(y0, r[0].y), max(x1, r[2].x), max(y1, r[2].y)
	}
	if t.weave != rising && t.weave != falling && t.weave != crossed {
		return t.lines(x0, y0, x1, y1)
	}
	each := func(from, to float64, do func(v float64)) {
		for k := math.Ceil(from / t.gap); k*t.gap <= to; k++ {
			do(k * t.gap)
		}
	}
	if t.weave != falling {
		each(x0+y0, x1+y1, func(v float64) { list = append(list, []point{{v - y1, y1}, {v - y0, y0}}) })
	}
	if t.weave != rising {
		each(x0-y1, x1-y0, func(v float64) { list = append(list, []point{{v + y0, y0}, {v + y1, y1}}) })
	}
	return list
}

// lines are the lines of the texture within a rectangle, on one raster for all
// areas.
func (t texture) lines(x0, y0, x1, y1 float64) (lines [][]point) {
	if t.gap <= 0 {
		return nil
	}
	each := func(from, to float64, do func(v float64)) {
		for k := math.Ceil(from / t.gap); k*t.gap <= to; k++ {
			do(k * t.gap)
		}
	}
	switch t.weave {
	case level:
		each(y0-t.gap/2, y1-t.gap/2, func(y float64) { lines = append(lines, []point{{x0, y + t.gap/2}, {x1, y + t.gap/2}}) })
	case upright:
		each(x0-t.gap/2, x1-t.gap/2, func(x float64) { lines = append(lines, []point{{x + t.gap/2, y0}, {x + t.gap/2, y1}}) })
	}
	if t.weave == rising || t.weave == crossed {
		each(x0+y0, x1+y1, func(v float64) { // x + y = v
			a, b := max(x0, v-y1), min(x1, v-y0)
			if b > a {
				lines = append(lines, []point{{a, v - a}, {b, v - b}})
			}
		})
	}
	if t.weave == falling || t.weave == crossed {
		each(x0-y1, x1-y0, func(v float64) { // x - y = v
			a, b := max(x0, v+y0), min(x1, v+y1)
			if b > a {
				lines = append(lines, []point{{a, a - v}, {b, b - v}})
			}
		})
	}
	return lines
}

// dots are the middles of the dots of the texture within a rectangle.
func (t texture) dots(x0, y0, x1, y1 float64) (dots []point) {
	if t.weave != dotted || t.gap <= 0 {
		return nil
	}
	for i := math.Floor(x0 / t.gap); i*t.gap < x1; i++ {
		for k := math.Floor(y0 / t.gap); k*t.gap < y1; k++ {
			q := point{(i + 0.5) * t.gap, (k + 0.5) * t.gap}
			if q.x > x0 && q.x < x1 && q.y > y0 && q.y < y1 {
				dots = append(dots, q)
			}
		}
	}
	return dots
}
