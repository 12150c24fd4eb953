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
	s := c.layout(width, false)
	b.WriteString(`<svg class="chart" id="` + html.EscapeString(id) + `" viewBox="0 0 `)
	number(b, s.width)
	b.WriteByte(' ')
	number(b, s.height)
	b.WriteString(`" role="group" aria-label="` + escape(c.Title) + `">` + "\n")
	s.body(b, c, id)
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
	s.body(&b, c, "file")
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

// body writes the shapes, as one picture with the text alternative, and the
// marks upon them.
func (s *scene) body(b *strings.Builder, c Chart, id string) {
	id = html.EscapeString(id)
	woven := map[Ink]bool{}
	for _, x := range s.shapes {
		if x.weave != solid && !woven[x.ink] {
			if len(woven) == 0 {
				b.WriteString("<defs>")
			}
			woven[x.ink] = true
			x.pattern(b, id+"-"+string(x.ink), x.ink)
		}
	}
	if len(woven) > 0 {
		b.WriteString("</defs>\n")
	}
	b.WriteString(`<g role="img" aria-label="` + escapeAll(c.Text) + "\">\n")
	for _, x := range s.shapes {
		x.svg(b, id)
	}
	b.WriteString("</g>\n")
	for _, m := range s.marks {
		m.svg(b, s.width)
	}
}

func (x shape) svg(b *strings.Builder, id string) {
	switch {
	case x.text != "":
		b.WriteString(`<text class="` + string(x.ink))
		if x.strong {
			b.WriteString(" b")
		}
		if x.halo {
			b.WriteString(" h")
		}
		if x.hint {
			b.WriteString(" hint")
		}
		b.WriteString(`" x="`)
		number(b, x.runs[0][0].x)
		b.WriteString(`" y="`)
		number(b, x.runs[0][0].y)
		switch x.anchor {
		case Middle:
			b.WriteString(`" text-anchor="middle`)
		case End:
			b.WriteString(`" text-anchor="end`)
		}
		b.WriteString(`">`)
		if rest, ok := strings.CutPrefix(x.text, x.lead); ok && x.lead != "" {
			b.WriteString(`<tspan class="b">` + escape(x.lead) + "</tspan>" + escape(rest) + "</text>\n")
			return
		}
		b.WriteString(escape(x.text) + "</text>\n")
	case x.radius > 0:
		class := `f `
		if x.ring {
			class = `l `
		}
		b.WriteString(`<circle class="` + class + string(x.ink) + `" cx="`)
		number(b, x.runs[0][0].x)
		b.WriteString(`" cy="`)
		number(b, x.runs[0][0].y)
		b.WriteString(`" r="`)
		number(b, x.radius)
		if x.ring {
			b.WriteString(`" stroke-width="`)
			number(b, x.width)
		}
		b.WriteString("\"/>\n")
	default:
		class := "l"
		switch {
		case x.weave != solid:
			class = "t"
		case x.wash:
			class = "w"
		case x.filled:
			class = "f"
		case x.dashed:
			class = "l d"
		}
		b.WriteString(`<path class="` + class + " " + string(x.ink))
		if x.weave != solid {
			b.WriteString(`" fill="url(#` + id + "-" + string(x.ink) + ")")
		}
		if !x.filled && x.width != 1 {
			b.WriteString(`" stroke-width="`)
			number(b, x.width)
		}
		b.WriteString(`" d="`)
		for _, run := range x.runs {
			path(b, run)
		}
		if x.filled {
			b.WriteByte('z')
		}
		b.WriteString("\"/>\n")
	}
}

// path writes a polyline in tenths of px, as moves from point to point, which
// is shorter.
func path(b *strings.Builder, run []point) {
	var x, y int
	for i, p := range run {
		nx, ny := tenths(p.x), tenths(p.y)
		switch {
		case i == 0:
			b.WriteByte('M')
			tenth(b, nx)
			b.WriteByte(' ')
			tenth(b, ny)
			if len(run) == 1 {
				b.WriteString("h.5") // a point alone is seen as a dot
			}
		case nx == x && ny == y:
			continue
		case ny == y:
			b.WriteByte('h')
			tenth(b, nx-x)
		case nx == x:
			b.WriteByte('v')
			tenth(b, ny-y)
		default:
			b.WriteByte('l')
			tenth(b, nx-x)
			if ny >= y {
				b.WriteByte(' ')
			}
			tenth(b, ny-y)
		}
		x, y = nx, ny
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
