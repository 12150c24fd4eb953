package chart

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// PNG is the chart as a PNG file under its title, on light paper, width px wide
// times the scale. The error is of fonts or of a picture too large.
func (c Chart) PNG(width, scale float64) ([]byte, error) {
	img, err := c.image(width, scale, false)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = png.Encode(&b, img)
	return b.Bytes(), err
}

// image draws the chart on light paper or on dark.
func (c Chart) image(width, scale float64, dark bool) (*image.RGBA, error) {
	c.Marks = nil // nothing can point at it
	s := c.layout(width-2*border, true)
	p, err := newPixels(s, scale, dark)
	if err != nil {
		return nil, err
	}
	for _, x := range s.shapes {
		if !x.hint {
			p.draw(x)
		}
	}
	return p.img, nil
}

// pixels is a picture that shapes are drawn on.
type pixels struct {
	img           *image.RGBA
	scale         float64
	dark          bool // the paper
	regular, bold font.Face
}

func newPixels(s *scene, scale float64, dark bool) (*pixels, error) {
	p := &pixels{scale: scale, dark: dark}
	size := func(v float64) int { return int(math.Ceil((v + 2*border) * scale)) }
	p.img = image.NewRGBA(image.Rect(0, 0, size(s.width), size(s.height)))
	draw.Draw(p.img, p.img.Bounds(), image.NewUniform(Paper.colour(p.dark)), image.Point{}, draw.Src)
	for _, f := range []struct {
		face *font.Face
		ttf  []byte
	}{{&p.regular, goregular.TTF}, {&p.bold, gobold.TTF}} {
		parsed, err := opentype.Parse(f.ttf)
		if err != nil {
			return nil, err
		}
		if *f.face, err = opentype.NewFace(parsed, &opentype.FaceOptions{Size: textSize * scale, DPI: 72, Hinting: font.HintingNone}); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func (p *pixels) at(q point) point {
	return point{(q.x + border) * p.scale, (q.y + border) * p.scale}
}

// draw draws one shape.
func (p *pixels) draw(x shape) {
	ink := x.ink.colour(p.dark)
	switch {
	case x.text != "":
		face := p.regular
		if x.strong {
			face = p.bold
		}
		q := p.at(x.runs[0][0])
		d := font.Drawer{Dst: p.img, Src: image.NewUniform(ink), Face: face}
		text := Plain(x.text)
		switch wide := float64(d.MeasureString(text)) / 64; x.anchor {
		case Middle:
			q.x -= wide / 2
		case End:
			q.x -= wide
		}
		at := func(dx, dy float64) {
			d.Dot = fixed.Point26_6{X: fixed.Int26_6((q.x + dx) * 64), Y: fixed.Int26_6((q.y + dy) * 64)}
		}
		if x.halo {
			d.Src = image.NewUniform(Paper.colour(p.dark))
			for i := range 8 {
				sin, cos := math.Sincos(float64(i) * math.Pi / 4)
				at(1.5*p.scale*cos, 1.5*p.scale*sin)
				d.DrawString(text)
			}
			d.Src = image.NewUniform(ink)
		}
		at(0, 0)
		d.DrawString(text)
	case x.ring:
		edge := circle(x.runs[0][0], x.radius)
		p.stroke(ink, append(edge, edge[0]), x.width, false)
	case x.radius > 0:
		p.fill(ink, circle(x.runs[0][0], x.radius))
	case x.weave != solid:
		p.weave(ink, x)
	case x.filled:
		switch {
		case x.wash:
			ink.A = 33 // 13 %
		case x.pale:
			ink.A = 46 // 18 %
		}
		p.fill(ink, x.runs[0])
	default:
		for _, run := range x.runs {
			p.stroke(ink, run, x.width, x.dashed)
		}
	}
}

func circle(at point, radius float64) (outline []point) {
	for i := range 24 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 12)
		outline = append(outline, point{at.x + radius*cos, at.y + radius*sin})
	}
	return outline
}

// weave draws a rectangle in its texture, within a frame.
func (p *pixels) weave(ink color.NRGBA, x shape) {
	r, faint := x.runs[0], ink
	faint.A = 33 // 13 %
	p.fill(faint, r)
	for _, l := range x.lines(r[0].x, r[0].y, r[2].x, r[2].y) {
		p.stroke(ink, l, x.texture.width, false)
	}
	for _, q := range x.dots(r[0].x, r[0].y, r[2].x, r[2].y) {
		p.fill(ink, circle(q, x.texture.width/2))
	}
	p.stroke(ink, append(r[:len(r):len(r)], r[0], r[1]), 1, false)
}

// stroke draws a line as a box for each piece with a disc at each bend.
func (p *pixels) stroke(ink color.NRGBA, run []point, width float64, dashed bool) {
	const dash, gap = 4.0, 3.0
	var pieces [][]point
	gone := 0.0
	for i := 1; i < len(run); i++ {
		a, b := run[i-1], run[i]
		long := math.Hypot(b.x-a.x, b.y-a.y)
		if long == 0 {
			continue
		}
		if !dashed {
			pieces = append(pieces, []point{a, b})
			continue
		}
		for at := -math.Mod(gone, dash+gap); at < long; at += dash + gap {
			from, to := max(at, 0), min(at+dash, long)
			if to > from {
				along := func(t float64) point { return point{a.x + (b.x-a.x)*t/long, a.y + (b.y-a.y)*t/long} }
				pieces = append(pieces, []point{along(from), along(to)})
			}
		}
		gone += long
	}
	if len(run) == 1 {
		pieces = [][]point{{{run[0].x - 0.5, run[0].y}, {run[0].x + 0.5, run[0].y}}}
	}
	var polygons [][]point
	for i, s := range pieces {
		a, b := s[0], s[1]
		long := math.Hypot(b.x-a.x, b.y-a.y)
		nx, ny := (a.y-b.y)/long*width/2, (b.x-a.x)/long*width/2
		polygons = append(polygons, []point{{a.x + nx, a.y + ny}, {a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}})
		if i > 0 && !dashed {
			var disc []point
			for k := range 8 {
				sin, cos := math.Sincos(float64(k) * math.Pi / 4)
				disc = append(disc, point{a.x + width/2*cos, a.y - width/2*sin})
			}
			polygons = append(polygons, disc)
		}
	}
	p.fill(ink, polygons...)
}

// fill fills polygons of one turning sense, which may overlap.
func (p *pixels) fill(ink color.NRGBA, polygons ...[]point) {
	box := image.Rectangle{}
	for _, g := range polygons {
		for _, q := range g {
			at := p.at(q)
			box = box.Union(image.Rect(int(at.x)-1, int(at.y)-1, int(at.x)+2, int(at.y)+2))
		}
	}
	box = box.Intersect(p.img.Bounds())
	if box.Empty() {
		return
	}
	z := vector.NewRasterizer(box.Dx(), box.Dy())
	for _, g := range polygons {
		area := 0.0
		for i, q := range g {
			r := g[(i+1)%len(g)]
			area += q.x*r.y - r.x*q.y
		}
		for i := range g {
			k := i
			if area < 0 {
				k = len(g) - 1 - i
			}
			at := p.at(g[k])
			x, y := float32(at.x-float64(box.Min.X)), float32(at.y-float64(box.Min.Y))
			if i == 0 {
				z.MoveTo(x, y)
			} else {
				z.LineTo(x, y)
			}
		}
		z.ClosePath()
	}
	z.Draw(p.img, box, image.NewUniform(ink), image.Point{})
}
