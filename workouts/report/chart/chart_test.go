package chart

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// texts gives the words of ticks.
func texts(ticks []Tick) []string {
	var s []string
	for _, t := range ticks {
		s = append(s, t.Text)
	}
	return s
}

// Clean values are the runner's and the clock's: common practice, no source.
func TestScales(t *testing.T) {
	const mile = 1.609344 // km, exact (international mile, 1959)
	for _, c := range []struct {
		name     string
		scale    Scale
		from, to float64
		most     int
		want     string
	}{
		{"an hour", Clock, 0, 3600, 9, "0:00 10:00 20:00 30:00 40:00 50:00 1:00:00"},
		{"a minute", Clock, 0, 61, 8, "0:00 0:10 0:20 0:30 0:40 0:50 1:00"},
		{"paces of reps, quicker higher", Pace(1), 270, 238, 6, "4:00 4:10 4:20 4:30"},
		{"the same per mile", Pace(mile), 270, 238, 6, "6:30 6:40 6:50 7:00 7:10"},
		{"narrow", Pace(1), 244, 241, 6, "4:01 4:02 4:03 4:04"},
		{"speeds as paces", SpeedAsPace(1), 2.5, 4.3, 8, "6:00 5:30 5:00 4:30 4:00"},
		{"speeds as paces per mile", SpeedAsPace(mile), 2.5, 4.3, 6, "10:00 8:00 7:00 6:15"},
		{"from standing", SpeedAsPace(1), 0, 4.3, 6, "20:00 10:00 6:30 5:00 4:00"},
		{"heart", Numbers(0), 96, 174, 4, "100 120 140 160"},
		{"kilometres", Numbers(1), 0, 1, 6, "0.0 0.2 0.4 0.6 0.8 1.0"},
		{"empty", Numbers(0), 5, 5, 4, ""},
		{"not known", Clock, math.NaN(), 5, 4, ""},
		{"endless", SpeedAsPace(1), 0, math.Inf(1), 4, ""},
		{"given", Given(Tick{1, "a"}, Tick{2, "b"}, Tick{3, "c"}), 0, 4, 2, "a c"},
	} {
		if got := strings.Join(texts(c.scale(c.from, c.to, c.most)), " "); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// Ticks lie on the axis, apart from each other, and their words say where.
func TestScalesAnyAxis(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(0, 6).Draw(t, "slowest")
		hi := lo + rapid.Float64Range(0.05, 6).Draw(t, "range")
		most := rapid.IntRange(2, 12).Draw(t, "most")
		ticks := SpeedAsPace(1)(lo, hi, most)
		for i, x := range ticks {
			m, s, _ := strings.Cut(x.Text, ":")
			minutes, _ := strconv.Atoi(m)
			seconds, _ := strconv.Atoi(s)
			if pace := float64(60*minutes + seconds); math.Abs(1000/x.At-pace) > 1e-6 {
				t.Fatalf("%s at %v m/s", x.Text, x.At)
			}
			if x.At < lo-1e-9 || x.At > hi+1e-9 {
				t.Fatalf("%s is outside %v to %v", x.Text, lo, hi)
			}
			if i > 0 && x.At-ticks[i-1].At < (hi-lo)/float64(most)-1e-9 {
				t.Fatalf("%s and %s touch", ticks[i-1].Text, x.Text)
			}
		}
	})
}

// hostile are texts that a page or a picture must show as text.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onload='x`, `]]></style>--><!--`, "&amp;&lt;",
	"\u202eright to left", "a\x00b\x1b[31m", "\xff\xfe", strings.Repeat("ä", 10_000), "line\nline",
}

// sample is a chart with some of everything, in which all text is s.
func sample(s string) Chart {
	x, y := make([]float64, 4000), make([]float64, 4000)
	for i := range x {
		x[i], y[i] = float64(i), 50+40*math.Sin(float64(i)/300)
		if i > 1000 && i < 1200 {
			y[i] = math.NaN()
		}
	}
	nan := math.NaN()
	return Chart{
		Title: s, Text: "A picture of " + s, Caption: s,
		X: Axis{Name: s, From: 0, To: 4000, Scale: Clock},
		Panels: []Panel{
			{Name: s, Height: 100, Y: Axis{From: 0, To: 100, Scale: Numbers(0)}, Layers: []Layer{
				Box{X0: 500, X1: 900, Y0: nan, Y1: nan, Ink: Work, Wash: true},
				Line{X: x, Y: y, Ink: Trace},
				Line{X: []float64{0, 4000}, Y: []float64{20, 30}, Ink: Fit, Dashed: true},
				Note{X: 700, Y: nan, Text: s, Head: s, Anchor: Middle, Ink: Text},
			}},
			{Height: 60, Y: Axis{From: 10, To: 0, Scale: Given(Tick{5, s})}, Layers: []Layer{
				Points{X: []float64{100, 2000}, Y: []float64{5, 6}, Low: []float64{4, nan}, High: []float64{6, nan}, Labels: []string{s, s}, Ink: Work},
			}},
		},
		Marks: []Mark{{X0: 500, X1: 900, Name: s, Figures: []string{s, "4:00"}, Focus: true, Kind: "rep"}},
	}
}

// parsed reads an SVG as XML, and gives the names of its elements, all that
// stands between tags, and the values of its attributes.
func parsed(t testing.TB, svg []byte) (elements, words []string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return elements, words
		}
		if err != nil {
			t.Fatalf("not well formed: %v in %s", err, svg)
		}
		switch x := token.(type) {
		case xml.StartElement:
			elements = append(elements, x.Name.Local)
			for _, a := range x.Attr {
				if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || strings.Contains(a.Name.Local, "href") && !strings.HasPrefix(a.Value, "#file-") { // its own textures
					t.Errorf("attribute %s", a.Name.Local)
				}
				words = append(words, a.Value)
			}
		case xml.CharData:
			words = append(words, string(x))
		}
	}
}

// Whatever the text is, a picture is well-formed XML (XML 1.0, W3C) with the
// same elements, and shows it.
func TestHostileText(t *testing.T) {
	for _, width := range []float64{Wide, Narrow} {
		var plain strings.Builder
		sample("plain").SVG(&plain, "id", width)
		want, _ := parsed(t, []byte(plain.String()))
		want = slices.Compact(slices.Sorted(slices.Values(want)))
		for _, s := range hostile {
			var b strings.Builder
			c := sample(s)
			c.SVG(&b, "id", width)
			elements, words := parsed(t, []byte(b.String()))
			if got := slices.Compact(slices.Sorted(slices.Values(elements))); !slices.Equal(got, want) {
				t.Errorf("%.20q: elements %q, want %q", s, got, want)
			}
			if !slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, Plain(s)+": ") }) {
				t.Errorf("%.20q is not the name of a mark", s)
			}
			elements, words = parsed(t, c.File(900))
			if slices.Contains(elements, "script") || !slices.Contains(words, Plain(s)) {
				t.Errorf("%.20q: as a file it has elements %q", s, slices.Compact(elements))
			}
		}
	}
}

// The same chart gives the same bytes.
func TestSameBytes(t *testing.T) {
	draw := func() []byte {
		c := sample("x")
		var b strings.Builder
		c.SVG(&b, "id", Wide)
		p, err := c.PNG(900, 2)
		if err != nil {
			t.Fatal(err)
		}
		return slices.Concat([]byte(b.String()), c.File(900), p)
	}
	if !bytes.Equal(draw(), draw()) {
		t.Error("two drawings differ")
	}
}

// A line of many points is drawn as the mean of each pixel column, here found
// the slow way.
func TestLineMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(800, 5000).Draw(t, "n")
		gapFrom := rapid.IntRange(0, n).Draw(t, "gap")
		gapTo := min(n, gapFrom+rapid.IntRange(0, 300).Draw(t, "long"))
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(i)+0.5, rapid.Float64Range(0, 100).Draw(t, "y")
			if i >= gapFrom && i < gapTo {
				y[i] = math.NaN()
			}
		}
		p := &plane{s: &scene{}, x: Axis{From: 0, To: float64(n)}, y: Axis{From: 0, To: 100}, left: 40, right: 740, top: 0, bottom: 200}
		Line{X: x, Y: y, Ink: Trace}.draw(p)
		got := map[int]float64{}
		points := 0
		for _, s := range p.s.shapes {
			for _, run := range s.runs {
				for _, q := range run {
					got[int(q.x)], points = q.y, points+1
				}
			}
		}
		sums, counts := map[int]float64{}, map[int]int{}
		for i := range x {
			if !math.IsNaN(y[i]) {
				column := int(p.px(x[i]))
				sums[column], counts[column] = sums[column]+p.py(y[i]), counts[column]+1
			}
		}
		if len(got) != len(counts) || points != len(got) {
			t.Fatalf("%d points in %d columns, want %d", points, len(got), len(counts))
		}
		for column, n := range counts {
			if want := sums[column] / float64(n); math.Abs(got[column]-want) > 1e-6 {
				t.Fatalf("column %d: %v, want %v", column, got[column], want)
			}
		}
	})
}

// A row shows every word, or as many at even steps as do not touch.
func TestRow(t *testing.T) {
	for _, c := range []struct {
		n    int
		want string
	}{
		{1, "1"}, {4, "1 2 3 4"}, {12, "1 3 5 7 9 11"}, {100, "1 15 29 43 57 71 85 99"},
	} {
		r := Row{Ink: Text}
		for i := range c.n {
			r.X, r.Words = append(r.X, float64(i)+0.5), append(r.Words, strconv.Itoa(i+1))
		}
		p := &plane{s: &scene{width: 160}, x: Axis{From: 0, To: float64(c.n)}, left: 0, right: 160, bottom: 100}
		r.draw(p)
		var words []string
		end := math.Inf(-1)
		for _, s := range p.s.shapes {
			words = append(words, s.text)
			if x, half := s.runs[0][0].x, textWidth(s.text, true)/2; x-half < end {
				t.Errorf("%d: %s touches the one before", c.n, s.text)
			} else {
				end = x + half
			}
		}
		if got := strings.Join(words, " "); got != c.want {
			t.Errorf("%d: %s, want %s", c.n, got, c.want)
		}
	}
}

// A path of relative moves leads through the same points, however many lines and polygons
// it has.
func TestPath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		q := pen{b: &b}
		var want []point
		for range rapid.IntRange(1, 4).Draw(t, "runs") {
			closed := rapid.Bool().Draw(t, "closed")
			var run []point
			for range rapid.IntRange(2, 12).Draw(t, "n") {
				run = append(run, point{rapid.Float64Range(-5, 900).Draw(t, "x"), rapid.Float64Range(-5, 900).Draw(t, "y")})
			}
			q.run(run, closed)
			for i, p := range run {
				r := point{math.Round(p.x*10) / 10, math.Round(p.y*10) / 10}
				if i == 0 || math.Hypot(r.x-want[len(want)-1].x, r.y-want[len(want)-1].y) > 0.05 {
					want = append(want, r)
				}
			}
		}
		got := follow(t, b.String())
		if len(got) != len(want) {
			t.Fatalf("%d points, want %d: %s", len(got), len(want), b.String())
		}
		for i := range got {
			if math.Hypot(got[i].x-want[i].x, got[i].y-want[i].y) > 0.11 {
				t.Fatalf("point %d is %v, want %v", i, got[i], want[i])
			}
		}
	})
}

// follow reads path data (SVG 1.1, section 8.3: M, m, l, h, v, z).
func follow(t *rapid.T, s string) (points []point) {
	var at, first point
	for len(s) > 0 {
		command := s[0]
		s = s[1:]
		read := func() float64 {
			s = strings.TrimPrefix(s, " ")
			n := 0
			for n < len(s) && (s[n] >= '0' && s[n] <= '9' || s[n] == '.' && !strings.Contains(s[:n], ".") || n == 0 && s[n] == '-') {
				n++
			}
			v, err := strconv.ParseFloat(s[:n], 64)
			if err != nil {
				t.Fatalf("%v before %q", err, s)
			}
			s = s[n:]
			return v
		}
		switch command {
		case 'M':
			at = point{read(), read()}
			first = at
		case 'm':
			dx := read()
			at = point{at.x + dx, at.y + read()}
			first = at
		case 'z':
			at = first
			continue
		case 'l':
			dx := read()
			at = point{at.x + dx, at.y + read()}
		case 'h':
			at.x += read()
		case 'v':
			at.y += read()
		default:
			t.Fatalf("command %q", command)
		}
		points = append(points, at)
	}
	return points
}

// The PNG has the size asked for, and the ink of the line where the line is.
func TestPNG(t *testing.T) {
	c := Chart{
		X:      Axis{From: 0, To: 1},
		Panels: []Panel{{Height: 100, Y: Axis{From: 0, To: 1}, Layers: []Layer{Box{X0: 0, X1: 0.5, Y0: 0, Y1: 1, Ink: Work}}}},
	}
	b, err := c.PNG(400, 2)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if got := img.Bounds().Dx(); got != 800 {
		t.Errorf("%d px wide, want 800", got)
	}
	hex := func(x, y int) string {
		r, g, b, _ := img.At(x, y).RGBA()
		return fmt.Sprintf("%02X%02X%02X", r>>8, g>>8, b>>8)
	}
	y := 2 * (border + 60)
	if got := hex(200, y); got != "0072B2" { // Okabe and Ito's blue
		t.Errorf("left half: %s", got)
	}
	if got := hex(600, y); got != "FFFFFF" {
		t.Errorf("right half: %s", got)
	}
}

// luminance and contrast are those of WCAG 2.2 (W3C Recommendation, 2023).
func luminance(rgb uint32) float64 {
	channel := func(shift int) float64 {
		v := float64(rgb>>shift&255) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*channel(16) + 0.7152*channel(8) + 0.0722*channel(0)
}

func contrast(a, b uint32) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Inks of text have 4.5:1 (success criterion 1.4.3) on either paper, those of
// lines 3:1 (1.4.11).
func TestInksContrast(t *testing.T) {
	if got := contrast(0x000000, 0xFFFFFF); math.Abs(got-21) > 1e-9 {
		t.Fatalf("black on white = %v, want 21, the largest there is", got)
	}
	least := map[Ink]float64{Text: 4.5, Faint: 4.5, Alert: 4.5, Work: 4.5, Trace: 3, Heart: 3, Target: 3, Fit: 3,
		Recovery: 3, Warm: 3, Cool: 3, Easy: 3, Stop: 3, Outdoors: 3, Treadmill: 3, Track: 3, Trail: 3,
		Zone1: 2.7, Zone2: 3, Zone3: 3, Zone4: 3, Zone5: 3}
	for _, x := range inks {
		for _, c := range []struct{ ink, paper uint32 }{{x.light, inks[0].light}, {x.dark, inks[0].dark}} {
			if got := contrast(c.ink, c.paper); got < least[x.Ink] {
				t.Errorf("%s %06x on %06x: %.2f, want %v", x.Ink, c.ink, c.paper, got, least[x.Ink])
			}
		}
		delete(least, x.Ink)
	}
	if len(least) > 0 {
		t.Errorf("no such inks: %v", least)
	}
}

// A line of an hour, a point a second, and one of three hours.
func BenchmarkSVG(b *testing.B) {
	for _, n := range []int{3600, 10800} {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(i), 50+40*math.Sin(float64(i)/300)+float64(i%7)
		}
		c := Chart{
			X:      Axis{From: 0, To: float64(n), Scale: Clock},
			Panels: []Panel{{Height: 230, Y: Axis{From: 0, To: 100, Scale: Numbers(0)}, Layers: []Layer{Line{X: x, Y: y, Ink: Trace}}}},
		}
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			size := 0
			for b.Loop() {
				var w strings.Builder
				c.SVG(&w, "id", Wide)
				size = w.Len()
			}
			b.ReportMetric(float64(size), "bytes/chart")
		})
	}
}
