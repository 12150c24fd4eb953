package chart

import (
	"image"
	"math"
	"slices"
	"testing"
)

// areaInks are the inks of areas that stand beside each other.
var areaInks = [][]Ink{
	{Work, Recovery, Warm, Cool, Easy, Stop},
	{Outdoors, Treadmill, Track, Trail, Easy},
	{Zone1, Zone2, Zone3, Zone4, Zone5, Easy},
}

// drawn draws a chart on light paper or on dark.
func drawn(t testing.TB, c Chart, width, scale float64, dark bool) image.Image {
	t.Helper()
	img, err := c.image(width, scale, dark)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// grey is the luminance of a pixel.
func grey(img image.Image, x, y int) float64 {
	r, g, b, _ := img.At(x, y).RGBA()
	return luminance(r>>8<<16 | g>>8<<8 | b>>8)
}

// mean is the mean luminance of a rectangle.
func meanGrey(img image.Image, x0, y0, x1, y1 int) float64 {
	sum, n := 0.0, 0.0
	for x := x0; x < x1; x++ {
		for y := y0; y < y1; y++ {
			sum, n = sum+grey(img, x, y), n+1
		}
	}
	return sum / n
}

// Areas that touch are told apart in grey, on light paper and on dark: on the way over the
// edge the contrast is 3 (success criterion 1.4.11 of WCAG 2.2), and no two have one texture
// and one grey.
func TestAreasApart(t *testing.T) {
	const scale, side = 4, 60
	for _, dark := range []bool{false, true} {
		for _, together := range areaInks {
			for i, a := range together {
				for _, b := range together[i+1:] {
					img := drawn(t, beside(a, b, 1), 2*side+2*border, scale, dark)
					edge := int((border + side) * scale)
					for y := int((border + 30) * scale); y < int((border+side)*scale); y++ {
						lo, hi := 1.0, 0.0
						for x := edge - 2*scale; x < edge+2*scale; x++ {
							v := grey(img, x, y)
							lo, hi = min(lo, v), max(hi, v)
						}
						if (hi+0.05)/(lo+0.05) < 2.9 { // 3, but for the rounding of edges between pixels
							t.Errorf("%s beside %s, dark %v: contrast of the edge is %.2f", a, b, dark, (hi+0.05)/(lo+0.05))
							break
						}
					}
					in := 5 * scale
					top, bottom := int((border+30)*scale), int((border+side)*scale)
					p := meanGrey(img, int(border*scale)+in, top, edge-in, bottom)
					q := meanGrey(img, edge+in, top, edge+side*scale-in, bottom)
					if textures[a].weave == textures[b].weave && math.Abs(p-q) < 0.1 {
						t.Errorf("%s and %s, dark %v, have one texture and nearly one grey, %.2f and %.2f", a, b, dark, p, q)
					}
				}
			}
		}
	}
}

// beside is a chart of two areas that touch; the second is so much of the half.
func beside(a, b Ink, share float64) Chart {
	return Chart{X: Axis{From: 0, To: 2}, Panels: []Panel{{Height: 60, Y: Axis{From: 0, To: 1}, Layers: []Layer{
		Box{X0: 0, X1: 1, Y0: 0, Y1: 1, Ink: a}, Box{X0: 1, X1: 1 + share, Y0: 0, Y1: 1, Ink: b}}}}}
}

// Areas too thin for their texture, such as the recoveries of many reps, stand out in grey of
// the solid ones beside them.
func TestThinAreasApart(t *testing.T) {
	const scale, side = 4, 60
	for _, dark := range []bool{false, true} {
		for _, pair := range [][2]Ink{{Work, Recovery}, {Work, Warm}, {Work, Cool}, {Outdoors, Track}, {Outdoors, Trail}, {Zone5, Zone4}} {
			img := drawn(t, beside(pair[0], pair[1], 3.0/side), 2*side+2*border, scale, dark)
			y, edge := (border+45)*scale, int((border+side)*scale)
			a, b := grey(img, edge-10*scale, y), grey(img, edge+3*scale/2, y)
			if c := (max(a, b) + 0.05) / (min(a, b) + 0.05); c < 2.9 {
				t.Errorf("3 px of %s beside %s, dark %v: contrast %.2f", pair[1], pair[0], dark, c)
			}
		}
	}
}

// Whatever areas touch in a picture are among those that are held apart above.
func TestNeighboursAreHeldApart(t *testing.T) {
	pairs := map[[2]Ink]bool{}
	for name, c := range pictures(t) {
		for _, width := range []float64{Narrow, Wide} {
			var areas []shape
			for _, x := range c.layout(width, false).shapes {
				if x.filled && !x.wash && x.radius == 0 && len(x.runs) == 1 && len(x.runs[0]) == 4 {
					areas = append(areas, x)
				}
			}
			for i, x := range areas {
				for _, y := range areas[i+1:] {
					if x.ink == y.ink || !touch(x.runs[0], y.runs[0]) {
						continue
					}
					pairs[[2]Ink{x.ink, y.ink}] = true
					if !slices.ContainsFunc(areaInks, func(together []Ink) bool { return slices.Contains(together, x.ink) && slices.Contains(together, y.ink) }) {
						t.Errorf("%s: %s touches %s, which no test holds apart", name, x.ink, y.ink)
					}
				}
			}
		}
	}
	if len(pairs) < 6 {
		t.Errorf("only %d pairs touch, so this tests little", len(pairs))
	}
}

// touch tells whether two rectangles lie against each other.
func touch(a, b []point) bool {
	const near = 2*seam + 1.5 // px
	return a[0].x-near < b[2].x && b[0].x-near < a[2].x && a[0].y-near < b[2].y && b[0].y-near < a[2].y
}

// The same holds without the PNG, for both papers: the ink of a frame has 3:1.
func TestAreaInksOnPaper(t *testing.T) {
	for _, ink := range slices.Concat(areaInks...) {
		for _, x := range inks {
			if x.Ink != ink {
				continue
			}
			if a, b := contrast(x.light, inks[0].light), contrast(x.dark, inks[0].dark); min(a, b) < 2.6 {
				t.Errorf("%s: %.2f on light paper, %.2f on dark", ink, a, b)
			}
		}
	}
}
