package chart

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

var km = Length{"km", 1}

// A Tuesday to begin with; any day will do.
var day0 = time.Date(2026, 9, 7, 0, 0, 0, 0, time.UTC)

// exampleStrip is so many weeks, made up.
func exampleStrip(n int) []StripWeek {
	r := rand.New(rand.NewPCG(1, 2))
	var weeks []StripWeek
	for w := range n {
		x, planned := StripWeek{Note: "2 hard"}, 0.0
		for k := range 7 {
			d := StripDay{Day: day0.AddDate(0, 0, 7*w+k)}
			switch k {
			case 1, 3:
				d.Planned, d.What = 12, "5 x 4:00"
				d.Parts = []StripPart{{Warm, 3}, {Work, 5 + r.Float64()}, {Recovery, 1.5}, {Cool, 2}}
				for i := range 60 {
					d.Trace = append(d.Trace, 3+1.5*float64(i/6%2)+0.2*r.Float64())
				}
			case 2:
				d.Planned, d.Missed = 8, true
			case 5:
				d.Parts, d.Planned = []StripPart{{Easy, 8 + 4*r.Float64()}}, 10
			case 6:
				d.Parts, d.Planned, d.What = []StripPart{{Easy, 18 + float64(w%4)}}, 20, "long"
			}
			x.Run, planned = x.Run+d.run(), planned+d.Planned
			x.Days = append(x.Days, d)
		}
		x.Planned = fmt.Sprintf("%.0f-%.0f", planned-2, planned+2)
		x.Name = "week of " + x.Days[0].Day.Format("2 Jan") + ": less than planned"
		weeks = append(weeks, x)
	}
	return weeks
}

// exampleReps are the courses of n reps of 4 minutes, each quicker; the last
// but one is cut short.
func exampleReps(n int) Overlay {
	r := rand.New(rand.NewPCG(3, 4))
	o := Overlay{Unit: km, Low: 245, High: 255, Tolerance: 4, Planned: 240}
	for i := range n {
		x := OverlayRep{Name: fmt.Sprint(i + 1), Figures: "4:10 /km ±1"}
		long := 240
		if i == n-2 && n > 2 {
			long, x.Cut = 170, true
		}
		for s := range long {
			x.Seconds = append(x.Seconds, float64(s))
			v := 1000 / (260 - 20*float64(i)/float64(n) + 3*math.Sin(float64(s)/20+float64(i)))
			x.Speed = append(x.Speed, v*(1-0.4*math.Exp(-float64(s)/5))+0.02*r.Float64())
		}
		o.Reps = append(o.Reps, x)
	}
	return o
}

func exampleLadder(n int, day time.Time) Ladder {
	r := rand.New(rand.NewPCG(5, uint64(n)))
	l := Ladder{Unit: km, Day: day, Trend: "Quicker from rep to rep: 12 s ±3 in all."}
	for i := range n {
		g := Rung{Name: fmt.Sprint(i + 1), Set: 1 + 2*i/n, Pace: 258 - 12*float64(i)/float64(n) + 3*r.Float64(), Margin: 1 + r.Float64(), Low: 245, High: 250, Tolerance: 4,
			Recovery: 60 + 60*float64(i%3), RecoveryWords: "jog", Fit: 258 - 12*float64(i)/float64(n), Cut: i == n-2}
		if i == n-1 {
			g.Recovery = 0
		}
		l.Reps = append(l.Reps, g)
	}
	return l
}

func exampleInside(n int) Inside {
	r := rand.New(rand.NewPCG(7, 8))
	in := Inside{Unit: km, Drift: HeartDrift{Beats: 6, Margin: 2, Pace: 300}}
	for i := range n {
		s := Stretch{From: float64(i), To: float64(i + 1), Pace: 300 + 8*r.NormFloat64(), Margin: 1.5, Heart: 150 + 8*float64(i)/float64(n) + r.Float64()}
		if i == n-1 {
			s.To = s.From + 0.4
		}
		if i == 2 {
			s.StoodS = 35
		}
		in.Stretches = append(in.Stretches, s)
	}
	return in
}

func exampleLedgers(n int) (list []LedgerSession) {
	for i := range n {
		s := LedgerSession{Name: day0.AddDate(0, 0, 7*i).Format("2 Jan") + ", 5 x 4:00"}
		add := func(word string, ink Ink, sec float64, dist string) {
			s.Parts = append(s.Parts, LedgerPart{Word: word, Ink: ink, Seconds: sec, Distance: dist, Short: strings.TrimSuffix(dist, " km")})
		}
		add("warm-up", Warm, 900, "2.7 km")
		add("standing", Stop, 130, "")
		for k := range 4 + i {
			add("work", Work, 240, "0.97 km")
			if k < 3+i {
				add("recovery", Recovery, 90, "0.2 km")
			}
		}
		add("cool-down", Cool, 600, "1.8 km")
		list = append(list, s)
	}
	return list
}

// paceBands are bands of so many seconds per unit between two speeds, the
// quickest first, with the time that at tells of a band between two paces in
// s/km.
func paceBands(quick, slow float64, step float64, u Length, at func(quick, slow float64) float64) (bands []TimeBand) {
	for p := step * math.Floor(quick*u.Km/step); p < slow*u.Km && len(bands) < 40; p += step {
		q, s := p/u.Km, (p+step)/u.Km
		bands = append(bands, TimeBand{fmt.Sprintf("%s to %s", clock(p), clock(p+step)), at(q, s)})
	}
	return bands
}

func exampleBands() (pace, heart []TimeBand) {
	pace = paceBands(235, 420, 30, km, func(q, s float64) float64 { return 1500 * math.Exp(-math.Abs(q-330)/60) })
	for i := range 7 {
		heart = append(heart, TimeBand{fmt.Sprintf("%d to %d", 180-10*i, 190-10*i), float64(100 + 200*i)})
	}
	return pace, heart
}

// pictures are all pictures, over few and many data.
func pictures(t testing.TB) map[string]Chart {
	all := map[string]Chart{}
	put := func(name string) func(Chart, bool) {
		return func(c Chart, ok bool) {
			if !ok {
				t.Fatalf("%s is not drawn", name)
			}
			all[name] = c
		}
	}
	all["strip-1"], all["strip-20"] = WeekStrip(exampleStrip(1), "km"), WeekStrip(exampleStrip(20), "km")
	for _, n := range []int{2, 5, 12, 40} {
		put(fmt.Sprintf("overlaid-%02d", n))(RepsOverlaid(exampleReps(n)))
		put(fmt.Sprintf("ladder-%02d", n))(RepLadder(exampleLadder(n, day0)))
	}
	var ladders []Ladder
	trend := LadderTrend{Words: "quicker by 4 s ±2 in 4 weeks"}
	for i := range 6 {
		l := exampleLadder(5, day0.AddDate(0, 0, 14*i))
		for k := range l.Reps {
			l.Reps[k].Pace -= 2 * float64(i)
		}
		ladders = append(ladders, l)
		trend.Days, trend.Fit, trend.Margin = append(trend.Days, l.Day), append(trend.Fit, 253-2*float64(i)), append(trend.Margin, 2)
	}
	put("weeks-06")(LadderWeeks("5 x 4:00, track", ladders, trend))
	put("inside-08")(PaceInside(exampleInside(8)))
	put("inside-43")(PaceInside(exampleInside(43)))
	put("heart-08")(HeartAgainstPace(exampleInside(8)))
	put("heart-43")(HeartAgainstPace(exampleInside(43)))
	put("ledger-1")(LedgerBars(exampleLedgers(1)))
	put("ledger-3")(LedgerBars(exampleLedgers(3)))
	pace, heart := exampleBands()
	put("bands")(TimeBands(pace, heart, "/km"))
	put("bands-pace")(TimeBands(pace, nil, "/km"))
	return all
}

// TestDrawPictures keeps the pictures in the folder that RUNGS_PICTURES names,
// to be looked at, and holds that each can be drawn as SVG and as PNG.
func TestDrawPictures(t *testing.T) {
	folder := os.Getenv("RUNGS_PICTURES")
	for name, c := range pictures(t) {
		for _, width := range []float64{Narrow, 900} {
			svg := c.File(width)
			parsed(t, svg)
			scale := 0.5
			if folder != "" {
				scale = 1.5
			}
			b, err := c.PNG(width, scale)
			if err != nil || len(b) == 0 {
				t.Errorf("%s: %v", name, err)
			}
			if folder == "" {
				continue
			}
			file := filepath.Join(folder, fmt.Sprintf("%s-%.0f", name, width))
			if err := os.WriteFile(file+".png", b, 0o666); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file+".svg", svg, 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// words are the texts of a scene with their places, without those that give
// way to others when a mark is pointed at.
func words(s *scene) (list []shape) {
	for _, x := range s.shapes {
		if x.text != "" && !x.hint {
			list = append(list, x)
		}
	}
	return list
}

// No word of a picture touches another or reaches beyond the picture, few data
// or many, wide or narrow; and no reading of a mark covers the first panel.
func TestPicturesWordsApart(t *testing.T) {
	for name, c := range pictures(t) {
		for _, width := range []float64{280, Narrow, Wide, 1100} {
			s := c.layout(width, true)
			list := words(s)
			if len(list) < 3 {
				t.Errorf("%s has %d words", name, len(list))
			}
			for i, a := range list {
				f := a.frame()
				f.y0, f.y1 = f.y0+1, f.y1-1 // the line of 17 px has room to spare
				if f.x0 < -1 || f.x1 > width+1 {
					t.Errorf("%s at %.0f: %q reaches from %.0f to %.0f", name, width, a.text, f.x0, f.x1)
				}
				for _, b := range list[:i] {
					if f.meets(b.frame()) {
						t.Errorf("%s at %.0f: %q and %q overlap", name, width, a.text, b.text)
					}
				}
			}
			for _, m := range s.marks {
				if m.Panel < 2 && m.tip+m.tipHeight > m.top {
					t.Errorf("%s at %.0f: the reading of %s covers its panel", name, width, m.Name)
				}
			}
		}
	}
}

// A finger finds every mark of a phone: 44 px (success criterion 2.5.5 of WCAG
// 2.2).
func TestPicturesTargets(t *testing.T) {
	for name, c := range pictures(t) {
		s := c.layout(Narrow, false)
		for _, m := range s.marks {
			if wide := m.to - m.from; wide < target {
				t.Errorf("%s: %s is %.0f px wide", name, m.label, wide)
			}
		}
	}
}

// Every picture says in words what it shows, with the figures of each datum.
func TestPicturesText(t *testing.T) {
	all := pictures(t)
	for name, wants := range map[string][]string{
		"strip-1":     {"Tuesday 12.", "planned 12.0 km", "Wednesday missed, planned 8.0 km"},
		"overlaid-05": {"5 reps", "target of 4:05 to 4:15 /km", "rep 4 4:10 /km ±1, cut short"},
		"ladder-05":   {"rep 1", "target 4:05 to 4:10", "4 s either way", "then 1:00 jog", "cut short"},
		"weeks-06":    {"7 Sep", "16 Nov", "Trend: quicker by 4 s ±2 in 4 weeks"},
		"inside-08":   {"km 3", "0:35 standing", "the last 0.40 km"},
		"heart-08":    {"+6 ±2 beats/min at 5:00 /km"},
		"ledger-3":    {"warm-up 15:00, 2.7 km", "standing 2:10", "14 Sep"},
		"bands":       {"Time by pace /km: 3:30 to 4:00", "180 to 190 1:40"},
	} {
		for _, want := range wants {
			if !strings.Contains(all[name].Text, want) {
				t.Errorf("%s does not say %q: %s", name, want, all[name].Text)
			}
		}
	}
	for name, c := range all {
		if c.Title == "" || c.Caption == "" || c.Text == "" {
			t.Errorf("%s: title %q, caption %q, text %q", name, c.Title, c.Caption, c.Text)
		}
	}
}

// areasOf are the areas of an ink, as rectangles.
func areasOf(s *scene, ink Ink) (list []frame) {
	for _, x := range s.shapes {
		if x.filled && !x.wash && x.ink == ink && x.radius == 0 {
			r := x.runs[0]
			list = append(list, frame{r[0].x, r[0].y, r[2].x, r[2].y})
		}
	}
	return list
}

// Lengths in the pictures are those of the data, to the seams: bars by time of
// the ledger and of the bands, bars by distance of the strip, recoveries.
func TestPicturesLengths(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 2.5 {
			t.Errorf("%s is %.1f px, want %.1f", what, got, want)
		}
	}
	sessions := exampleLedgers(1)
	c, _ := LedgerBars(sessions)
	s := c.layout(Wide, false)
	total := 0.0
	for _, p := range sessions[0].Parts {
		total += p.Seconds
	}
	// the first of each ink is the key
	near("warm-up of 900 s", areasOf(s, Warm)[1].x1-areasOf(s, Warm)[1].x0, 900/total*Wide)
	near("cool-down of 600 s", areasOf(s, Cool)[1].x1-areasOf(s, Cool)[1].x0, 600/total*Wide)
	near("end of the bar", areasOf(s, Cool)[1].x1, Wide)

	pace, heart := exampleBands()
	c, _ = TimeBands(pace, heart, "/km")
	s = c.layout(Wide, false)
	long := areasOf(s, Heart)
	if len(long) != len(heart) {
		t.Fatalf("%d bars for %d bands", len(long), len(heart))
	}
	whole := (long[6].x1 - long[6].x0) / heart[6].Seconds
	for i, b := range heart {
		near(b.Name, long[i].x1-long[i].x0, b.Seconds*whole)
	}
	by := areasOf(s, Work)
	for i, b := range pace { // the same scale only where the two have the same room for bars
		near(b.Name, by[i].x1-by[i].x0, b.Seconds*(by[4].x1-by[4].x0)/pace[4].Seconds)
	}

	weeks := exampleStrip(1)
	s = WeekStrip(weeks, "km").layout(Wide, false)
	easy := areasOf(s, Easy) // the first is the key
	days := weeks[0].Days
	near("Saturday against Sunday", easy[1].y1-easy[1].y0, (easy[2].y1-easy[2].y0)*days[5].run()/days[6].run())

	l := exampleLadder(5, day0)
	c, _ = RepLadder(l)
	s = c.layout(Wide, false)
	rests := areasOf(s, Recovery)
	if len(rests) != 4 {
		t.Fatalf("%d recoveries, want 4", len(rests))
	}
	near("1:00 against 3:00", rests[0].x1-rests[0].x0, (rests[2].x1-rests[2].x0)/3)
	rings := 0
	for _, x := range s.shapes {
		if x.ring {
			rings++
		}
	}
	if rings != 1 {
		t.Errorf("%d rings for one rep cut short", rings)
	}
}

// The course of a rep ends where its time ended, in the shade of its turn.
func TestOverlayEnds(t *testing.T) {
	o := exampleReps(5)
	c, _ := RepsOverlaid(o)
	s := c.layout(Wide, false)
	at := &plane{x: c.X, left: left, right: Wide - right}
	for i, r := range o.Reps {
		ink, _ := shade(i, len(o.Reps))
		end := math.Inf(-1)
		for _, x := range s.shapes {
			if x.ink == ink && !x.filled && x.text == "" {
				for _, run := range x.runs {
					end = max(end, run[len(run)-1].x)
				}
			}
		}
		if want := at.px(r.Seconds[len(r.Seconds)-1]); math.Abs(end-want) > 0.6 {
			t.Errorf("rep %s ends at %.1f px, want %.1f", r.Name, end, want)
		}
	}
	if _, ok := RepsOverlaid(exampleReps(1)); ok {
		t.Error("one rep is laid over itself")
	}
}

// Sets are named where there is room for their names: of 7, 1, 1 and 21 reps, on a phone, those of one are not.
func TestNamesOfSets(t *testing.T) {
	l := exampleLadder(30, day0)
	for i := range l.Reps {
		switch {
		case i < 7:
			l.Reps[i].Set = 1
		case i < 9:
			l.Reps[i].Set = i - 5
		default:
			l.Reps[i].Set = 4
		}
	}
	c, _ := RepLadder(l)
	var named []string
	for _, x := range c.layout(Narrow, false).shapes {
		if strings.HasPrefix(x.text, "set ") {
			named = append(named, x.text)
		}
	}
	if !slices.Equal(named, []string{"set 1", "set 4"}) {
		t.Errorf("%q are named", named)
	}
}
