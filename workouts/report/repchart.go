package report

import (
	"math"
	"strconv"

	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// A repPoint is a rep as the picture of the reps shows it.
type repPoint struct {
	part
	set    int
	se     float64 // standard error of the pace against the other reps, s/km
	missed bool
	row    int     // which reps it belongs with, from 0
	fit    float64 // of the monotone course of its row, s/km; NaN for none
}

// repChart draws the paces of reps with their margins, targets and the course
// that only quickens or only slows. There is none for fewer than two paces.
func repChart(reps []repPoint, u unit, progression string) []chart.Chart {
	quickest, slowest, paces := math.Inf(1), 0.0, 0
	include := func(p float64) {
		if known(p) && p > 0 && p < standing {
			quickest, slowest = min(quickest, p), max(slowest, p)
		}
	}
	targets, fitted := false, false
	for _, r := range reps {
		if known(r.pace) && r.pace > 0 && r.pace < standing {
			paces++
			include(r.pace)
			include(r.pace - trend.Z95*r.se)
			include(r.pace + trend.Z95*r.se)
		}
		if low := r.target.LowSPerKm - r.target.Tolerance; low > 0 {
			targets = true
			include(low)
			include(r.target.HighSPerKm + r.target.Tolerance)
		}
		fitted = fitted || known(r.fit)
	}
	if paces < 2 {
		return nil
	}
	pad := max(0.08*(slowest-quickest), 1)
	panel := chart.Panel{
		Name: "pace " + u.name + ", quicker is higher", Height: 230,
		Y: chart.Axis{From: slowest + pad, To: quickest - 2.2*pad, Scale: chart.Pace(u.perKm)},
	}
	c := chart.Chart{
		Title: "The reps", Text: repText(reps, u) + " " + progression,
		Caption: repCaption(targets, fitted),
	}
	var ticks []chart.Tick
	points := chart.Points{Ink: chart.Work}
	var fit, setNotes []chart.Layer
	x, before := 0.0, reps[0].set
	setFrom := 0.5
	endSet := func(set int) {
		setNotes = append(setNotes, chart.Note{X: setFrom, Y: math.NaN(), Text: "set " + strconv.Itoa(set), Up: -12, Ink: chart.Faint})
	}
	lines := map[int]*chart.Line{}
	for i, r := range reps {
		x++
		if r.set != before {
			endSet(before)
			x += 0.5
			before, setFrom = r.set, x-0.5
			clear(lines)
		}
		r.StartS, r.EndS = x-0.38, x+0.38 // from here on it lies on the axis of reps
		panel.Layers = append(panel.Layers, targetLayers(r.part, func(p float64) float64 { return p })...)
		name := "+"
		if r.rep > 0 {
			name = strconv.Itoa(r.rep)
		}
		ticks = append(ticks, chart.Tick{At: x, Text: name})
		points.X = append(points.X, x)
		points.Y = append(points.Y, r.pace)
		points.Low, points.High = append(points.Low, r.pace-trend.Z95*r.se), append(points.High, r.pace+trend.Z95*r.se)
		points.Labels = append(points.Labels, u.pace(r.pace))
		if r.missed {
			panel.Layers = append(panel.Layers, chart.Note{X: x, Y: panel.Y.From, Text: "missed", Anchor: chart.Middle, Up: 6, Room: 0.9, Ink: chart.Alert})
		}
		if known(r.fit) {
			if lines[r.row] == nil {
				lines[r.row] = &chart.Line{Ink: chart.Fit, Width: 1.25, Dashed: true}
				fit = append(fit, lines[r.row])
			}
			l := lines[r.row]
			l.X, l.Y = append(l.X, x), append(l.Y, r.fit)
		}
		m := r.mark()
		m.X0, m.X1 = x-0.5, x+0.5
		c.Marks = append(c.Marks, m)
		if i == len(reps)-1 && setNotes != nil {
			endSet(before)
		}
	}
	panel.Layers = append(panel.Layers, fit...)
	panel.Layers = append(append(panel.Layers, points), setNotes...)
	c.Panels = []chart.Panel{panel}
	c.X = chart.Axis{Name: "rep", From: 0.4, To: x + 0.6, Scale: chart.Given(ticks...)}
	return []chart.Chart{c}
}

func repCaption(targets, fitted bool) string {
	s := "Dots are mean paces, with the 95 % margin against the other reps."
	if targets {
		s += " Green bars are the targets, on a band of their tolerance."
	}
	if fitted {
		s += " The dashed line is the closest course that never turns back."
	}
	return s
}

// repText lists the paces, or their range when there are many.
func repText(reps []repPoint, u unit) string {
	const most = 12
	s := plural(len(reps), "rep")
	if len(reps) > most {
		first, last := reps[0], reps[len(reps)-1]
		return s + ", the first at " + u.pace(first.pace) + ", the last at " + u.pace(last.pace) + " " + u.name + "."
	}
	for i, r := range reps {
		if i == 0 {
			s += " at "
		} else {
			s += ", "
		}
		switch text := u.pace(r.pace); {
		case r.missed:
			s += "missed"
		case text == "":
			s += "no pace"
		default:
			s += text + " " + u.margin(r.se)
		}
	}
	return s + " " + u.name + "."
}

// fits sets the monotone course of each row.
func fits(points []repPoint, res *match.Result) {
	for row, p := range res.Progressions {
		if len(p.Fit) != len(p.Reps) || len(p.Reps) < 3 {
			continue
		}
		for k, i := range p.Reps {
			points[i].row, points[i].fit = row, p.Fit[k]
		}
	}
}
