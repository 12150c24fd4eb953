package chart

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

func (k Keys) draw(p *plane) {
	const box, gap, between = 10.0, 5.0, 14.0
	x, y := 0.0, p.top
	for _, key := range k {
		wide := box + gap + textWidth(key.Text, false)
		if x > 0 && x+wide > p.s.width {
			x, y = 0, y+KeyRow
		}
		p.s.shapes = append(p.s.shapes, shape{ink: key.Ink, filled: true,
			runs: [][]point{{{x, y + 1}, {x + box, y + 1}, {x + box, y + 1 + box}, {x, y + 1 + box}}}})
		p.s.label(key.Text, x+box+gap, y+box, Start, Faint)
		x += wide + between
	}
}
