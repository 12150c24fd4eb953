package weeks

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// mostTrends is how many workouts have a picture; the table has all.
const mostTrends = 8

// trendChart is the pace of each workout that was run more than once, one above
// the other over the same dates.
func trendChart(trends []block.Trend, u figures.Unit) []chart.Chart {
	if len(trends) == 0 {
		return nil
	}
	c := chart.Chart{
		Title:   "The same workout, time after time",
		Caption: "Mean pace of the work, with its 95 % margin from run to run; quicker is higher. Level is a trend that cannot be told from none.",
	}
	if n := len(trends); n > mostTrends {
		trends = trends[:mostTrends]
		c.Caption += fmt.Sprintf(" The %d run most often of %d; the table has the others.", mostTrends, n)
	}
	byDay := map[time.Time][]string{}
	var days []time.Time
	for _, x := range trends {
		for _, y := range x.Times {
			if !slices.Contains(days, y.Day) {
				days = append(days, y.Day)
			}
		}
	}
	slices.SortFunc(days, time.Time.Compare)
	at := func(day time.Time) float64 { return day.Sub(days[0]).Hours() / 24 }
	for _, x := range trends {
		p, text := trendPanel(x, u, at)
		c.Panels = append(c.Panels, p)
		c.Text += sentenceSpace(c.Text) + text
		for _, y := range x.Times {
			byDay[y.Day] = append(byDay[y.Day], fmt.Sprintf("%s: %s /%s %s", nameOf(x), u.Pace(y.Pace), u.Name, u.Margin(y.SE)))
		}
	}
	last := at(days[len(days)-1])
	room := max(1, 0.06*last)
	c.X = chart.Axis{From: -room, To: last + room, Scale: chart.Dates(days)}
	for i, day := range days {
		from, to := -room, last+room
		if i > 0 {
			from = (at(days[i-1]) + at(day)) / 2
		}
		if i+1 < len(days) {
			to = (at(day) + at(days[i+1])) / 2
		}
		c.Marks = append(c.Marks, chart.Mark{X0: from, X1: to, Name: day.Format(time.DateOnly), Figures: byDay[day], Focus: true, Kind: "day"})
	}
	return []chart.Chart{c}
}

func sentenceSpace(before string) string {
	if before == "" {
		return ""
	}
	return " "
}

// name is the workout with its place.
func nameOf(x block.Trend) string {
	if x.Place == "" {
		return x.Workout
	}
	return x.Workout + ", " + string(x.Place)
}

// called says the trend in a few words.
func called(x block.Trend, u figures.Unit) string {
	per := u.Metres / 1000
	switch x.Call {
	case match.Quicker, match.Slower:
		return fmt.Sprintf("%s by %.0f %s s/%s in 4 weeks", x.Call, math.Abs(x.SlopeSPerKm)*per, u.Margin(x.SlopeSE), u.Name)
	case match.Level:
		return "level"
	}
	return ""
}

// trendPanel draws one workout.
func trendPanel(x block.Trend, u figures.Unit, at func(time.Time) float64) (chart.Panel, string) {
	times := slices.Clone(x.Times)
	slices.SortStableFunc(times, func(a, b block.Time) int { return cmp.Compare(a.Day.Unix(), b.Day.Unix()) })
	points := chart.Points{Ink: chart.Work}
	quickest, slowest := math.Inf(1), 0.0
	text := nameOf(x) + ":"
	for i, y := range times {
		points.X, points.Y = append(points.X, at(y.Day)), append(points.Y, y.Pace)
		low, high := y.Pace-trend.Z95*y.SE, y.Pace+trend.Z95*y.SE
		points.Low, points.High = append(points.Low, low), append(points.High, high)
		points.Labels = append(points.Labels, u.Pace(y.Pace))
		quickest, slowest = min(quickest, low), max(slowest, high)
		if i > 0 {
			text += ","
		}
		text += " " + y.Day.Format(time.DateOnly) + " " + u.Pace(y.Pace)
	}
	name := strings.TrimSuffix(nameOf(x)+": "+called(x, u), ": ")
	pad := max(0.1*(slowest-quickest), 2)
	p := chart.Panel{
		Name: name, Height: 76, Y: chart.Axis{From: slowest + pad, To: quickest - 2.4*pad, Scale: chart.Pace(u.Metres / 1000)},
		Layers: []chart.Layer{chart.Line{X: points.X, Y: points.Y, Ink: chart.Recovery, Width: 1.5}, points},
	}
	return p, text + " /" + u.Name + "; " + strings.TrimSuffix(name[len(nameOf(x)):], ".") + "."
}
