package chart

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
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
		x := StripWeek{Note: "2 hard"}
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
			x.Run, x.Planned = x.Run+d.run(), x.Planned+d.Planned
			x.Days = append(x.Days, d)
		}
		x.Name = fmt.Sprintf("Week of %s: %.1f of %.0f km", x.Days[0].Day.Format("2 Jan"), x.Run, x.Planned)
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
		if i == n-2 {
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
			s.Parts = append(s.Parts, LedgerPart{word, ink, sec, dist, strings.TrimSuffix(dist, " km")})
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

func exampleBands() (pace, heart []TimeBand) {
	pace = PaceBands(235, 420, 30, km, func(q, s float64) float64 { return 1500 * math.Exp(-math.Abs(q-330)/60) })
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
			b, err := c.PNG(width, 1.5)
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
