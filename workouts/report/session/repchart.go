package session

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// A repPoint is a rep as the picture of the reps shows it.
type repPoint struct {
	part
	set      int
	se       float64 // standard error of the pace against the other reps, s/km
	missed   bool
	cut      bool    // it ended before its time or distance
	recovery float64 // after it, s; 0 for none
	plannedS float64 // what it was to last, s; 0 when it was planned otherwise
	row      int     // which reps it belongs with, from 0
	fit      float64 // of the monotone course of its row, s/km; NaN for none
}

// repChart draws the paces of reps with their margins, targets, the course
// that only quickens or only slows, and the recoveries. There is none for fewer
// than two paces.
func repChart(reps []repPoint, u figures.Unit, progression string) []chart.Chart {
	l := chart.Ladder{Unit: drawnUnit(u), Text: strings.TrimSpace(repText(reps, u) + " " + progression)}
	fitted := false
	for _, r := range reps {
		g := chart.Rung{
			Name: "+", Whole: r.name, Set: r.set, Row: r.row, Pace: r.pace, Margin: trend.Z95 * r.se, Fit: r.fit,
			Cut: r.cut, Missed: r.missed, Recovery: r.recovery, Figures: r.figures,
		}
		if r.rep > 0 {
			g.Name = strconv.Itoa(r.rep)
		}
		if t := r.target; figures.Known(t.LowSPerKm) && t.LowSPerKm > t.Tolerance {
			g.Low, g.High, g.Tolerance = t.LowSPerKm, t.HighSPerKm, t.Tolerance
		}
		if !(g.Pace < figures.Standing) {
			g.Pace = math.NaN()
		}
		if r.recovery > 0 {
			g.Figures = append(slices.Clone(r.figures), "then "+figures.Clock(r.recovery)+" of recovery")
		}
		fitted = fitted || figures.Known(r.fit)
		l.Reps = append(l.Reps, g)
	}
	c, ok := chart.RepLadder(l)
	if !ok {
		return nil
	}
	c.Title = "The reps"
	if fitted {
		c.Caption += " The dashed line is the best fit that only gets quicker, or only slower, from rep to rep."
	}
	return []chart.Chart{c}
}

// drawnUnit is the unit as charts have it.
func drawnUnit(u figures.Unit) chart.Length {
	return chart.Length{Name: u.Name, Km: u.PerKm()}
}

// repText lists the paces, or their range when there are many.
func repText(reps []repPoint, u figures.Unit) string {
	const most = 12
	s := figures.Plural(len(reps), "rep")
	if len(reps) > most {
		first, last := reps[0], reps[len(reps)-1]
		return s + ", the first at " + u.Pace(first.pace) + ", the last at " + u.Pace(last.pace) + " " + u.Per() + "."
	}
	for i, r := range reps {
		if i == 0 {
			s += " at "
		} else {
			s += ", "
		}
		switch text := u.Pace(r.pace); {
		case r.missed:
			s += "missed"
		case text == "":
			s += "no pace"
		default:
			s += text + " " + u.Margin(r.se)
		}
	}
	return s + " " + u.Per() + "."
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
