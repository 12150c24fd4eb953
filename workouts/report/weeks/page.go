package weeks

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/chart"
)

// A weekAxis has a place for each week, in the order of Weeks, with room where
// weeks are left out.
type weekAxis struct {
	at   []float64
	half float64 // width of a bar; few bars are slim
	axis chart.Axis
}

func (b teller) axis() weekAxis {
	var a weekAxis
	var ticks []chart.Tick
	layout := "2 Jan"
	if first, last := b.Weeks[0].Start, b.Weeks[len(b.Weeks)-1].Start; first.Year() != last.Year() {
		layout = "2 Jan 06"
	}
	x := 0.0
	for i, w := range b.Weeks {
		if i > 0 {
			x++
			if w.Start.Sub(b.Weeks[i-1].Start) > 8*24*time.Hour {
				x++
			}
		}
		a.at = append(a.at, x)
		ticks = append(ticks, chart.Tick{At: x, Text: w.Start.Format(layout)})
	}
	a.axis = chart.Axis{From: -0.6, To: x + 0.6, Scale: chart.Given(ticks...)}
	a.half = 0.36 * min(1, (x+2)/8)
	return a
}

// A piece of a bar.
type piece struct {
	name  string
	ink   chart.Ink
	value float64
}

// stack draws the bar of week i from the bottom up, and returns its height.
func (a weekAxis) stack(p *chart.Panel, i int, pieces []piece) float64 {
	y := 0.0
	for _, q := range pieces {
		if q.value > 0 {
			p.Layers = append(p.Layers, chart.Box{X0: a.at[i] - a.half, X1: a.at[i] + a.half, Y0: y, Y1: y + q.value, Ink: q.ink})
			y += q.value
		}
	}
	return y
}

// keys makes a panel that says what is plotted below it, and what the inks of the pieces
// stand for.
func keys(name string, pieces []piece) chart.Panel {
	var k chart.Keys
	for _, q := range pieces {
		k = append(k, chart.Key{Ink: q.ink, Text: q.name})
	}
	return chart.Panel{Name: name + "; weeks by their first day", Height: chart.KeyRow, Layers: []chart.Layer{k}}
}

// markOf is the mark of a week, with what is told of it.
func markOf(w block.Week, x float64, told ...string) chart.Mark {
	return chart.Mark{X0: x - 0.5, X1: x + 0.5, Name: w.Name, Figures: told, Focus: true, Kind: "week"}
}

// made takes the distance of a week apart, in the unit: that of hard sessions
// by what it was for, and all else as easy.
func made(w block.Week, u figures.Unit) []piece {
	metres := func(i int) float64 { return w.Ledger[i].DistanceM / u.Metres }
	pieces := []piece{
		{"work", chart.Work, metres(0)}, {"recovery", chart.Recovery, metres(1)}, {"warm-up, cool-down", chart.Warm, metres(2) + metres(3)},
	}
	easy := w.DistanceM / u.Metres
	for _, p := range pieces {
		easy -= p.value
	}
	return append(pieces, piece{"easy", chart.Easy, max(0, easy)})
}

// labelShare is the height of a total above a bar, as a share of the highest bar: 16 of
// about 180 px.
const labelShare = 0.1

// volumes are the planned distances by the first day of their week.
func volumes(kept []block.KeptWeek) map[time.Time]block.Volume {
	planned := map[time.Time]block.Volume{}
	for _, k := range kept {
		if v := k.Planned.Volume; v.High > 0 && !v.InTime {
			planned[k.Start] = v
		}
	}
	return planned
}

// toldOf is what a bar stands for, in words.
func toldOf(w block.Week, pieces []piece, u figures.Unit) []string {
	told := []string{u.Distance(w.DistanceM)}
	for _, q := range pieces {
		if q.value > 0 {
			told = append(told, q.name+" "+u.Distance(q.value*u.Metres))
		}
	}
	return append(told, fmt.Sprintf("%s, %d hard", figures.Plural(w.Sessions, "session"), w.Hard))
}

// workChart is the distance of the weeks, by what it was for.
func (b teller) workChart(weeks weekAxis, kept []block.KeptWeek, u figures.Unit) []chart.Chart {
	most := 0.0
	for _, w := range b.Weeks {
		most = max(most, w.DistanceM/u.Metres)
	}
	if most == 0 {
		return nil
	}
	c := chart.Chart{
		Title:   "What the weeks were made of",
		Caption: "Hard sessions are taken apart; all other running is easy.",
		X:       weeks.axis,
		Text:    "Bars of the distance of each week.",
	}
	p := chart.Panel{Height: 220}
	planned := volumes(kept)
	for _, v := range planned {
		most = max(most, v.High/u.Metres)
	}
	for i, w := range b.Weeks {
		x, pieces := weeks.at[i], made(w, u)
		top := weeks.stack(&p, i, pieces)
		told := toldOf(w, pieces, u)
		const up = 5.0
		label := top // where the total stands: on the bar, unless a planned line is in its way
		if v, ok := planned[w.Start]; ok {
			for _, edge := range []float64{v.Low / u.Metres, v.High / u.Metres} {
				p.Layers = append(p.Layers, chart.Line{X: []float64{x - 1.3*weeks.half, x + 1.3*weeks.half}, Y: []float64{edge, edge}, Ink: chart.Text, Width: 1.5})
				if edge > label-0.02*most && edge < label+labelShare*most {
					label = edge
				}
			}
			told = append(told, "planned "+v.String())
		}
		if top > 0 {
			p.Layers = append(p.Layers, chart.Note{X: x, Y: label, Text: fmt.Sprintf("%.1f", w.DistanceM/u.Metres), Anchor: chart.Middle, Up: up, Room: 0.95, Ink: chart.Text, Strong: true})
		}
		if w.Before != nil && w.Before.Jump {
			jump := fmt.Sprintf("%+.0f %%", 100*w.Before.Share)
			p.Layers = append(p.Layers, chart.Note{X: x, Y: label, Text: jump, Anchor: chart.Middle, Up: up + 16, Ink: chart.Alert, Strong: true})
			told = append(told, jump+" on the week before")
			if !strings.Contains(c.Caption, "jump") {
				c.Caption += " A percentage above a bar is a jump from the week before that calls for caution."
			}
		}
		c.Marks = append(c.Marks, markOf(w, x, told...))
		c.Text += " " + w.Name + ": " + strings.Join(told, ", ") + "."
	}
	if len(planned) > 0 {
		c.Caption += " Lines across a bar are the planned distance."
	}
	p.Y = chart.Axis{From: 0, To: 1.22 * most, Scale: scaleOf(most)}
	c.Panels = []chart.Panel{keys("distance, "+u.Name, made(b.Whole, u)), p}
	return []chart.Chart{c}
}

// scaleOf has as many decimals as distances of up to so many units need.
func scaleOf(most float64) chart.Scale {
	if most < 4 {
		return chart.Numbers(1)
	}
	return chart.Numbers(0)
}

var placeInks = map[recording.Place]chart.Ink{recording.Outdoors: chart.Outdoors, recording.Treadmill: chart.Treadmill,
	recording.Track: chart.Track, recording.Trail: chart.Trail, recording.PlaceUnknown: chart.Easy}

// placeChart is the distance of the weeks by kind of place; none when there is
// only one.
func (b teller) placeChart(weeks weekAxis, u figures.Unit) []chart.Chart {
	pieces := func(w block.Week) (list []piece) {
		for i, p := range block.Places {
			if b.Whole.Where[i].DistanceM > 0 {
				list = append(list, piece{placeHeads[p], placeInks[p], w.Where[i].DistanceM / u.Metres})
			}
		}
		return list
	}
	if len(pieces(b.Whole)) < 2 {
		return nil
	}
	c := chart.Chart{Title: "Where it was run", X: weeks.axis, Text: "Bars of the distance of each week."}
	p := chart.Panel{Height: 150}
	most := 0.0
	for i, w := range b.Weeks {
		most = max(most, weeks.stack(&p, i, pieces(w)))
		var told []string
		for _, q := range pieces(w) {
			if q.value > 0 {
				told = append(told, q.name+" "+u.Distance(q.value*u.Metres)+" ("+figures.Percent(q.value*u.Metres/w.DistanceM)+")")
			}
		}
		c.Marks = append(c.Marks, markOf(w, weeks.at[i], told...))
		c.Text += " " + w.Name + ": " + strings.Join(told, ", ") + "."
	}
	var shares []string
	for _, q := range pieces(b.Whole) {
		shares = append(shares, q.name+" "+figures.Percent(q.value*u.Metres/b.Whole.DistanceM))
	}
	c.Caption = "In all: " + strings.Join(shares, ", ") + "."
	p.Y = chart.Axis{From: 0, To: 1.06 * most, Scale: scaleOf(most)}
	c.Panels = []chart.Panel{keys("distance, "+u.Name, pieces(b.Whole)), p}
	return []chart.Chart{c}
}

var zoneInks = [...]chart.Ink{chart.Zone1, chart.Zone2, chart.Zone3, chart.Zone4, chart.Zone5}

// zoneChart is the shares of time by zone of heart rate.
func (b teller) zoneChart(weeks weekAxis) []chart.Chart {
	n := len(b.Zones.Lower)
	if n < 2 || b.Whole.Heart.KnownS == 0 {
		return nil
	}
	pieces := func(w block.Week) []piece {
		h := w.Heart
		list := []piece{{"below", chart.Easy, 100 * h.BelowS / h.KnownS}}
		for i, s := range h.ZonesS {
			ink := zoneInks[int(math.Round(float64(i*(len(zoneInks)-1))/float64(n-1)))]
			list = append(list, piece{fmt.Sprintf("zone %d", i+1), ink, 100 * s / h.KnownS})
		}
		return list
	}
	c := chart.Chart{
		Title: "Time by heart rate", X: weeks.axis, Text: "Bars of the shares of time in each week.",
		Caption: "The figure above a bar is the share of the upper two zones.",
	}
	if s := b.heartSentences(); len(s) > 0 {
		c.Caption += " " + s[0]
	}
	p := chart.Panel{Height: 170, Y: chart.Axis{From: 0, To: 112, Scale: chart.Given(
		chart.Tick{At: 0, Text: "0"}, chart.Tick{At: 25, Text: "25"}, chart.Tick{At: 50, Text: "50"}, chart.Tick{At: 75, Text: "75"}, chart.Tick{At: 100, Text: "100"})}}
	for i, w := range b.Weeks {
		if !(w.Heart.KnownS > 0) {
			continue
		}
		top := weeks.stack(&p, i, pieces(w))
		upper := figures.Percent(w.Heart.UpperTwoS() / w.Heart.KnownS)
		p.Layers = append(p.Layers, chart.Note{X: weeks.at[i], Y: top, Text: upper, Anchor: chart.Middle, Up: 5, Room: 0.95, Ink: chart.Text, Strong: true})
		told := []string{"upper two " + upper}
		for _, q := range pieces(w) {
			if q.value > 0 {
				told = append(told, q.name+" "+figures.Percent(q.value/100))
			}
		}
		c.Marks = append(c.Marks, markOf(w, weeks.at[i], told...))
		c.Text += " " + w.Name + ": " + strings.Join(told, ", ") + "."
	}
	legend := pieces(b.Whole)
	for i := range legend[2:] {
		legend[i+2].name = fmt.Sprint(i + 2)
	}
	c.Panels = []chart.Panel{keys("% of the time with a heart rate", legend), p}
	return []chart.Chart{c}
}
