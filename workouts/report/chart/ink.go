package chart

import (
	"fmt"
	"image/color"
	"strings"
)

// An Ink is what a shape stands for; the name is its CSS class.
type Ink string

// Inks. Those of text have a contrast of 4.5:1 with the paper and more.
const (
	Paper Ink = "paper"
	Text  Ink = "text"
	Faint Ink = "faint" // text of less weight
	Alert Ink = "alert" // text that says something is off
	Grid  Ink = "grid"
	Trace Ink = "trace" // a measured course

	Work     Ink = "work" // also of text
	Recovery Ink = "recovery"
	Warm     Ink = "warm"
	Cool     Ink = "cool"
	Easy     Ink = "easy"
	Stop     Ink = "stop"

	Outdoors  Ink = "outdoors" // kinds of place
	Treadmill Ink = "treadmill"
	Track     Ink = "track"
	Trail     Ink = "trail"

	Heart  Ink = "heart"
	Target Ink = "target"
	Fit    Ink = "fit"

	Zone1 Ink = "zone1" // zones, from low to high: one hue, growing stronger
	Zone2 Ink = "zone2"
	Zone3 Ink = "zone3"
	Zone4 Ink = "zone4"
	Zone5 Ink = "zone5"
)

// inks are the colours on light and on dark paper, as 0xRRGGBB. Shapes have the
// colours of Okabe and Ito, "Color Universal Design" (2008), which people of
// all kinds of colour vision can tell apart: blue 0072B2, sky blue 56B4E9,
// orange E69F00, reddish purple CC79A7, bluish green 009E73, vermillion D55E00.
// The values are from memory. Greys and the shades of text are our own, and so are
// the darker ones of these hues on light paper, so that a line of each stands out
// at 3:1. Zones and shades of reps are one blue, growing stronger.
var inks = []struct {
	Ink
	light, dark uint32
}{
	{Paper, 0xFFFFFF, 0x15181C},
	{Text, 0x1B1F24, 0xE8EAED},
	{Faint, 0x5C646E, 0xA3ABB5},
	{Alert, 0xA03C00, 0xFFA366},
	{Grid, 0xDFE3E8, 0x343A42},
	{Trace, 0x59616B, 0xAEB6C0},
	{Work, 0x0072B2, 0x56B4E9},
	{Recovery, 0x3A9BDC, 0x3780B2},
	{Warm, 0xB97700, 0xE69F00},
	{Cool, 0xB4588C, 0xCC79A7},
	{Easy, 0x88919C, 0x75808C},
	{Stop, 0x6B737D, 0x8A929C},
	{Outdoors, 0x008A64, 0x1DBB8E},
	{Treadmill, 0x363D46, 0xDFE4EA},
	{Track, 0xD55E00, 0xE8722A},
	{Trail, 0xA6387E, 0xDC92BC},
	{Heart, 0xD55E00, 0xE8722A},
	{Target, 0x009E73, 0x1DBB8E},
	{Fit, 0x1B1F24, 0xE8EAED},
	{Zone1, 0x54A4DA, 0x2C689C},
	{Zone2, 0x4898D0, 0x3279B6},
	{Zone3, 0x206DB0, 0x5FA6DC},
	{Zone4, 0x084484, 0x9ACBEF},
	{Zone5, 0x041C44, 0xDDEDFA},
}

// CSS gives the colours, as custom properties for light and dark screens and
// for paper, and the rules of charts.
func CSS() string {
	var b strings.Builder
	b.WriteString(":root{color-scheme:light dark")
	for _, x := range inks {
		fmt.Fprintf(&b, ";--%s:#%06x", x.Ink, x.light)
	}
	b.WriteString("}\n@media screen and (prefers-color-scheme:dark){:root{color-scheme:dark")
	for _, x := range inks {
		fmt.Fprintf(&b, ";--%s:#%06x", x.Ink, x.dark)
	}
	b.WriteString("}}\n")
	for _, x := range inks {
		fmt.Fprintf(&b, "svg .%s{color:var(--%s)}\n", x.Ink, x.Ink)
	}
	b.WriteString(rules)
	return b.String()
}

const rules = `svg text{fill:currentColor;font:12px system-ui,-apple-system,"Segoe UI","Liberation Sans","DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums}
svg .b{font-weight:600}
svg text.h{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}
svg .f{fill:currentColor}
svg .t{stroke:currentColor;fill:currentColor;fill-opacity:.13}
svg .w{fill:currentColor;fill-opacity:.13}
svg .p{fill:currentColor;fill-opacity:.18}
svg .l{fill:none;stroke:currentColor;stroke-linejoin:round;stroke-linecap:butt}
svg .o{stroke-linecap:round}
svg .d{stroke-dasharray:4 3}
svg .mark{outline:none;cursor:default}
svg .mark .hit{fill:transparent;stroke:none}
svg .tip rect{fill:var(--paper)}
svg .tip text{fill:var(--text)}
svg .m{text-anchor:middle}
svg .e{text-anchor:end}
svg .mark .tip{visibility:hidden;pointer-events:none}
svg .mark:hover .tip,svg .mark:focus .tip{visibility:visible}
svg .mark:hover .hit{fill:var(--text);fill-opacity:.06}
svg .mark:focus .hit{fill:var(--text);fill-opacity:.06;stroke:var(--text);stroke-width:1.5}
svg:hover .mark:focus:not(:hover) .tip{visibility:hidden}
svg:hover:not(:has(.mark:hover)) .mark:focus .tip{visibility:visible}
@media print{svg .hint,svg .mark{display:none}}
`

// colour is the ink on light paper or on dark.
func (k Ink) colour(dark bool) color.NRGBA {
	for _, x := range inks {
		if x.Ink == k {
			rgb := x.light
			if dark {
				rgb = x.dark
			}
			return color.NRGBA{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), 255}
		}
	}
	return color.NRGBA{A: 255}
}
