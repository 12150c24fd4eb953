package chart

import (
	"html"
	"strconv"
	"strings"
)

// SVG writes the chart as an element of a page that has the rules of CSS. id
// tells it from other charts of the page, and width is for which it is laid
// out, in px: Wide or Narrow.
func (c Chart) SVG(b *strings.Builder, id string, width float64) {
	c.SVGBeside(b, id, width, "")
}

// SVGBeside is SVG of a picture whose text alternative stands already in another of the same
// page, such as the one for a wide screen, which has that id.
func (c Chart) SVGBeside(b *strings.Builder, id string, width float64, other string) {
	s := c.layout(width, false)
	b.WriteString(`<svg class="chart" id="` + html.EscapeString(id) + `" viewBox="0 0 `)
	number(b, s.width)
	b.WriteByte(' ')
	number(b, s.height)
	b.WriteString(`" role="group" aria-label="` + escape(c.Title) + `">` + "\n")
	named := `aria-label="` + escapeAll(c.Text)
	if other != "" {
		named = `aria-labelledby="` + html.EscapeString(other) + "-text"
	}
	s.body(b, named, id)
	b.WriteString("</svg>")
}

// File is the chart as an SVG file of its own, under its title.
func (c Chart) File(width float64) []byte {
	s := c.layout(width-2*border, true)
	var b strings.Builder
	size := func(v float64) string { return strconv.Itoa(int(v + 0.5)) }
	w, h, edge := size(s.width+2*border), size(s.height+2*border), size(border)
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="` + w + `" height="` + h +
		`" viewBox="-` + edge + " -" + edge + " " + w + " " + h + `" role="group" aria-labelledby="title desc">` +
		"\n<title id=\"title\">" + escape(c.Title) + "</title>\n<desc id=\"desc\">" + escapeAll(c.Text) + "</desc>\n" +
		"<style>" + html.EscapeString(CSS()) + "</style>\n" +
		`<rect class="f paper" x="-` + edge + `" y="-` + edge + `" width="` + w + `" height="` + h + "\"/>\n")
	s.body(&b, `aria-label="`+escapeAll(c.Text), "file")
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

// body writes the shapes, as one picture with the text alternative, and the
// marks upon them; named is the attribute that holds the text or tells where it is.
func (s *scene) body(b *strings.Builder, named, id string) {
	id = html.EscapeString(id)
	b.WriteString(`<g role="img" id="` + id + `-text" ` + named + "\">\n")
	areas := map[Ink][]shape{} // with a texture
	for _, x := range s.shapes {
		if x.weave != solid {
			areas[x.ink] = append(areas[x.ink], x)
		}
	}
	for i := 0; i < len(s.shapes); {
		x := s.shapes[i]
		switch style := x.style(); {
		case x.text != "":
			x.word(b)
			i++
		case x.weave != solid:
			if list := areas[x.ink]; list != nil { // all at the place of the first
				woven(b, list, id)
				areas[x.ink] = nil
			}
			i++
		default: // neighbours that look alike are one element
			n := 1
			for i+n < len(s.shapes) && s.shapes[i+n].style() == style {
				n++
			}
			alike(b, style, s.shapes[i:i+n])
			i += n
		}
	}
	b.WriteString("</g>\n")
	for _, m := range s.marks {
		m.svg(b, s.width)
	}
}

// word writes a text.
func (x shape) word(b *strings.Builder) {
	b.WriteString(`<text class="` + string(x.ink))
	for _, c := range []struct {
		so   bool
		name string
	}{{x.strong, " b"}, {x.halo, " h"}, {x.hint, " hint"}, {x.anchor == Middle, " m"}, {x.anchor == End, " e"}} {
		if c.so {
			b.WriteString(c.name)
		}
	}
	b.WriteString(`" x="`)
	number(b, x.runs[0][0].x)
	b.WriteString(`" y="`)
	number(b, x.runs[0][0].y)
	b.WriteString(`">` + escape(x.text) + "</text>\n")
}

// style is the classes and other attributes of a shape that is no text, which tell what it
// looks like; empty for a text and an area with a texture.
func (x shape) style() string {
	class, width := "l ", x.width
	switch {
	case x.text != "" || x.weave != solid:
		return ""
	case x.ring:
	case x.radius > 0: // a disc is the round end of a line without length
		class, width = "l o ", 2*x.radius
	case x.wash:
		class = "w "
	case x.pale:
		class = "p "
	case x.filled:
		class = "f "
	case x.dashed:
		class = "l d "
	}
	class += string(x.ink)
	if (!x.filled || x.radius > 0) && width != 1 {
		var n strings.Builder
		number(&n, width)
		class += `" stroke-width="` + n.String()
	}
	return class
}

// alike writes shapes of one style as one element.
func alike(b *strings.Builder, style string, list []shape) {
	b.WriteString(`<path class="` + style + `" d="`)
	q := pen{b: b}
	for _, x := range list {
		switch {
		case x.ring: // two arcs (SVG 1.1, section 8.3.8)
			at, r := x.runs[0][0], tenths(x.radius)
			q.to(point{at.x - x.radius, at.y}, true)
			for _, sweep := range []int{2 * r, -2 * r} {
				b.WriteByte('a')
				tenth(b, r)
				b.WriteByte(' ')
				tenth(b, r)
				b.WriteString(" 0 1 0 ")
				tenth(b, sweep)
				b.WriteString(" 0")
			}
		case x.radius > 0:
			q.to(x.runs[0][0], true)
			b.WriteString("h0")
		default:
			for _, run := range x.runs {
				q.run(run, x.filled)
			}
		}
	}
	b.WriteString("\"/>\n")
}

// A pen writes the data of a path in tenths of px, as moves from point to point: they are
// short, and those of a raster repeat, so that they weigh little once packed.
type pen struct {
	b    *strings.Builder
	x, y int // tenths of px, where it is
	down bool
}

// to goes to a point, with a line or without.
func (q *pen) to(p point, lifted bool) {
	x, y := tenths(p.x), tenths(p.y)
	dx, dy := x-q.x, y-q.y
	switch {
	case lifted && !q.down:
		q.b.WriteByte('M')
		q.pair(dx, dy)
	case lifted:
		q.b.WriteByte('m')
		q.pair(dx, dy)
	case dx == 0 && dy == 0:
	case dy == 0:
		q.b.WriteByte('h')
		tenth(q.b, dx)
	case dx == 0:
		q.b.WriteByte('v')
		tenth(q.b, dy)
	default:
		q.b.WriteByte('l')
		q.pair(dx, dy)
	}
	q.x, q.y, q.down = x, y, true
}

func (q *pen) pair(x, y int) {
	tenth(q.b, x)
	if y >= 0 {
		q.b.WriteByte(' ')
	}
	tenth(q.b, y)
}

// run writes a polyline or, closed, a polygon.
func (q *pen) run(run []point, closed bool) {
	for i, p := range run {
		q.to(p, i == 0)
	}
	if len(run) == 1 {
		q.b.WriteString("h.5") // a point alone is seen as a dot
		q.x += 5
	}
	if closed && len(run) > 0 {
		q.b.WriteByte('z')
		q.x, q.y = tenths(run[0].x), tenths(run[0].y)
	}
}

func tenths(v float64) int {
	if v < 0 {
		return -int(-v*10 + 0.5)
	}
	return int(v*10 + 0.5)
}

// tenth writes a count of tenths as a decimal number.
func tenth(b *strings.Builder, n int) {
	if n < 0 {
		b.WriteByte('-')
		n = -n
	}
	if n >= 10 || n == 0 {
		b.WriteString(strconv.Itoa(n / 10))
	}
	if n%10 != 0 {
		b.WriteByte('.')
		b.WriteByte(byte('0' + n%10))
	}
}

func number(b *strings.Builder, v float64) { tenth(b, tenths(v)) }

func escape(s string) string { return html.EscapeString(Plain(s)) }

// escapeAll is escape for a text alternative, which may be long.
func escapeAll(s string) string {
	var parts []string
	for s != "" {
		n := 0
		for i := range s {
			if n == longest {
				parts, s, n = append(parts, escape(s[:i])), s[i:], 0
				break
			}
			n++
		}
		if n > 0 {
			return strings.Join(append(parts, escape(s)), "")
		}
	}
	return strings.Join(parts, "")
}
