package chart

import (
	"math"
	"testing"
)

type triple [3]float64

func (m matrix) times(v triple) (w triple) {
	for i, row := range m {
		for k, x := range row {
			w[i] += x * v[k]
		}
	}
	return w
}

type matrix [3]triple

// visions are what is left of linear red, green and blue for people without one
// of the three cones (Machado, Oliveira and Fernandes 2009, IEEE Trans. Vis.
// Comput. Graph. 15(6), severity 1.0; from memory).
var visions = map[string]matrix{
	"all cones":    {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// lab is a colour as CIELAB (white D65) sees it through a vision.
func lab(rgb uint32, vision matrix) triple {
	var linear triple
	for i := range linear {
		c := float64(rgb>>(16-8*i)&255) / 255
		if linear[i] = c / 12.92; c > 0.04045 { // sRGB, IEC 61966-2-1
			linear[i] = math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	linear = vision.times(linear)
	for i := range linear {
		linear[i] = min(max(linear[i], 0), 1)
	}
	toXYZ := matrix{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}
	xyz, white := toXYZ.times(linear), toXYZ.times(triple{1, 1, 1})
	var f triple
	for i := range f {
		if t := xyz[i] / white[i]; t > 0.008856 {
			f[i] = math.Cbrt(t)
		} else {
			f[i] = 7.787*t + 16.0/116
		}
	}
	return triple{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
}

// Inks that stand beside each other differ to every kind of colour vision, by
// several times what can just be seen: about 2.3 in CIELAB (common practice, no
// source).
func TestInksApart(t *testing.T) {
	const least = 14
	if white := lab(0xFFFFFF, visions["all cones"]); math.Abs(white[0]-100) > 0.01 || math.Hypot(white[1], white[2]) > 0.01 {
		t.Fatalf("white is %v, not (100, 0, 0)", white)
	}
	for _, together := range [][]Ink{
		{Work, Recovery, Warm, Easy, Paper},
		{Outdoors, Treadmill, Track, Trail, Easy, Paper},
		{Zone2, Zone3, Zone4, Zone5},
	} {
		for name, vision := range visions {
			var light, dark []triple
			for _, ink := range together {
				for _, x := range inks {
					if x.Ink == ink {
						light, dark = append(light, lab(x.light, vision)), append(dark, lab(x.dark, vision))
					}
				}
			}
			for scheme, colours := range map[string][]triple{"light": light, "dark": dark} {
				for i, a := range colours {
					for k, b := range colours[:i] {
						if d := math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]); d < least {
							t.Errorf("%s, %s: %s and %s differ by %.0f, want %d", name, scheme, together[k], together[i], d, least)
						}
					}
				}
			}
		}
	}
}
