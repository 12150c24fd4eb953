package chart_test

import (
	"fmt"
	"strings"

	"example.org/rungs/workouts/report/chart"
)

// Bars of two weeks, as an SVG file of its own.
func Example() {
	c := chart.Chart{
		Title: "Distance by week",
		Text:  "Bars of the distance of two weeks: 44 and 27 km.",
		X:     chart.Axis{From: 0.5, To: 2.5, Scale: chart.Given(chart.Tick{At: 1, Text: "W37"}, chart.Tick{At: 2, Text: "W38"})},
		Panels: []chart.Panel{{
			Name: "km", Height: 120, Y: chart.Axis{From: 0, To: 50, Scale: chart.Numbers(0)},
			Layers: []chart.Layer{
				chart.Box{X0: 0.7, X1: 1.3, Y0: 0, Y1: 44, Ink: chart.Work},
				chart.Box{X0: 1.7, X1: 2.3, Y0: 0, Y1: 27, Ink: chart.Work},
			},
		}},
	}
	file := string(c.File(chart.Wide))
	fmt.Println(strings.HasPrefix(file, "<svg"), strings.Contains(file, c.Text), strings.Contains(file, "W38"))
	// Output: true true true
}
