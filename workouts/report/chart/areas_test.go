package chart

import (
	"bytes"
	"image"
	"image/png"
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

// drawn decodes the PNG of a chart.
func drawn(t testing.TB, c Chart, width, scale float64) image.Image {
	t.Helper()
	b, err := c.PNG(width, scale)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
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

// Areas that touch are told apart in grey: on the way over the edge the contrast
// is 3 (success criterion 1.4.11 of WCAG 2.2), and no two have one texture and
// one grey.
func TestAreasApart(t *testing.T) {
	const scale, side = 4, 60
	for _, together := range areaInks {
		for i, a := range together {
			for _, b := range together[i+1:] {
				c := Chart{X: Axis{From: 0, To: 2}, Panels: []Panel{{Height: side, Y: Axis{From: 0, To: 1}, Layers: []Layer{
					Box{X0: 0, X1: 1, Y0: 0, Y1: 1, Ink: a}, Box{X0: 1, X1: 2, Y0: 0, Y1: 1, Ink: b}}}}}
				img := drawn(t, c, 2*side+2*border, scale)
				edge := int((border + side) * scale)
				least, most := 1.0, 0.0
				for y := int((border + 30) * scale); y < int((border+side)*scale); y++ {
					lo, hi := 1.0, 0.0
					for x := edge - 2*scale; x < edge+2*scale; x++ {
						v := grey(img, x, y)
						lo, hi = min(lo, v), max(hi, v)
					}
					least, most = min(least, (hi+0.05)/(lo+0.05)), max(most, (hi+0.05)/(lo+0.05))
					if (hi+0.05)/(lo+0.05) < 2.9 { // 3, but for the rounding of edges between pixels
						t.Errorf("%s beside %s: contrast of the edge is %.2f", a, b, (hi+0.05)/(lo+0.05))
						break
					}
				}
				x, y := textures[a], textures[b]
				in := 5 * scale
				top, bottom := int((border+30)*scale), int((border+side)*scale)
				p := meanGrey(img, int(border*scale)+in, top, edge-in, bottom)
				q := meanGrey(img, edge+in, top, edge+side*scale-in, bottom)
				if x.weave == y.weave && math.Abs(p-q) < 0.1 {
					t.Errorf("%s and %s have one texture and nearly one grey, %.2f and %.2f", a, b, p, q)
				}
			}
		}
	}
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
