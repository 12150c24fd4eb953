package chart

import "math"

// Keys say what inks stand for, in rows of KeyRow px at the top of a panel of
// their own, in the order given.
type Keys []Key

// A Key is an ink and what it stands for.
type Key struct {
	Ink  Ink
	Text string
}

// KeyRow is the height of a row of keys, px.
const KeyRow = 18

// box is the side of a key, px: room for the texture to be seen.
const box = 13.0

func (k Keys) draw(p *plane) {
	const gap, between = 5.0, 14.0
	x, y := 0.0, p.top
	for _, key := range k {
		wide := box + gap + textWidth(key.Text, false)
		if x > 0 && x+wide > p.s.width {
			x, y = 0, y+KeyRow
		}
		p.s.shapes = append(p.s.shapes, area(key.Ink, x, y, x+box, y+box))
		p.s.label(key.Text, x+box+gap, y+box-2, Start, Faint)
		x += wide + between
	}
}

// height is what the rows of keys need on so many px of width.
func (k Keys) height(width float64) float64 {
	s := &scene{width: width}
	k.draw(&plane{s: s, right: width})
	tall := 0.0
	for _, x := range s.shapes {
		tall = max(tall, x.runs[0][0].y)
	}
	return math.Floor(tall/KeyRow)*KeyRow + KeyRow
}

// tall is the height of the panel on so many px of width: that of its keys, if
// they need more than its own.
func (p Panel) tall(width float64) float64 {
	h := p.Height
	for _, l := range p.Layers {
		if k, ok := l.(Keys); ok {
			h = max(h, k.height(width))
		}
	}
	return h
}
