package session

import (
	"math"
	"strconv"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// A stepRow is one line of the table of steps: a step that is no work, or all the
// recoveries that are planned alike.
type stepRow struct {
	steps []match.Step
}

// stepTable answers for every planned step that is not work: planned, run, difference.
func stepTable(res *match.Result, u figures.Unit) report.Table {
	var rows []stepRow
	for _, s := range res.Steps {
		k := len(rows) - 1
		for k >= 0 && !(s.Planned.Role == segment.Recovery && rows[k].steps[0].Planned.Step == s.Planned.Step) {
			k--
		}
		if k < 0 {
			rows, k = append(rows, stepRow{}), len(rows)
		}
		rows[k].steps = append(rows[k].steps, s)
	}
	t := report.Tabulate("", rows, []report.ColumnOf[stepRow]{
		{Column: report.Column{Head: "part"}, Cell: func(r stepRow) report.Cell {
			text := roleWords[r.steps[0].Planned.Role]
			if n := len(r.steps); n > 1 {
				text = strconv.Itoa(n) + " recoveries"
			}
			return report.Cell{Text: text}
		}},
		{Column: report.Column{Head: "planned", Align: report.Right}, Cell: func(r stepRow) report.Cell {
			return report.Cell{Text: amountWords(r.steps[0].Planned.Step.Amount) + r.target(u)}
		}},
		{Column: report.Column{Head: "run", Align: report.Right}, Cell: func(r stepRow) report.Cell { return report.Cell{Text: r.ran() + r.pace(u)} }},
		{Column: report.Column{Head: "difference", Align: report.Right}, Cell: func(r stepRow) report.Cell { return report.Cell{Text: r.difference()} }},
		{Column: report.Column{Head: "", Tight: true}, Cell: func(r stepRow) report.Cell { return report.Cell{Text: r.outcome(), Style: report.Alert} }},
	})
	if len(rows) > 0 {
		t.Title = "The rest of the plan"
	}
	return t
}

// amountWords writes a planned amount.
func amountWords(a workouts.Amount) string {
	switch a.Kind {
	case workouts.Time:
		return figures.Clock(a.Seconds)
	case workouts.Distance:
		if a.Mile {
			return strings.Replace(figures.Mile.Length(a.Metres), ".00 ", " ", 1)
		}
		return byMetres(a.Metres)
	}
	return "open"
}

// paced tells whether a row is a single step with a pace that it is held to.
func (r stepRow) paced() bool {
	return len(r.steps) == 1 && figures.Known(r.steps[0].Target.LowSPerKm) && r.steps[0].Target.Kind != match.NoTarget
}

// target is the pace that a step is held to, as " @ 5:00"; empty without one.
func (r stepRow) target(u figures.Unit) string {
	if !r.paced() {
		return ""
	}
	s := r.steps[0]
	return " @ " + targetText(match.Rep{Planned: s.Planned, Target: s.Target}, u)
}

// pace is what that step was run at, likewise.
func (r stepRow) pace(u figures.Unit) string {
	if text := u.Pace(r.steps[0].MovingPace); r.paced() && text != "" {
		return " @ " + text
	}
	return ""
}

// each collects a figure of the steps of a row that were run.
func (r stepRow) each(of func(match.Step) float64) (low, high float64, n int) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, s := range r.steps {
		if v := of(s); s.Outcome != match.Missed && figures.Known(v) {
			low, high, n = min(low, v), max(high, v), n+1
		}
	}
	return low, high, n
}

// ran is what was run for a row, in the unit of its plan.
func (r stepRow) ran() string {
	first := r.steps[0]
	a := first.Planned.Step.Amount
	planned := a.Seconds
	if a.Kind == workouts.Distance {
		planned = a.Metres
	}
	low, high, n := r.each(func(s match.Step) float64 {
		if s.AmountUnit == "" {
			return s.Seconds()
		}
		return planned + s.AmountDrift
	})
	if n == 0 {
		return "none"
	}
	write := figures.Clock
	if a.Kind == workouts.Distance {
		write = func(v float64) string {
			x := workouts.Metres(v)
			x.Mile = a.Mile
			return amountWords(x)
		}
	}
	return between(write(low), write(high))
}

// difference is how much more or less was run than planned.
func (r stepRow) difference() string {
	low, high, n := r.each(func(s match.Step) float64 { return s.AmountDrift })
	if n == 0 {
		return ""
	}
	write := func(v float64) string {
		return overText(v, r.steps[0].AmountUnit, r.steps[0].Planned)
	}
	return between(write(low), write(high))
}

// byMetres writes a distance that was planned in metres or kilometres.
func byMetres(m float64) string {
	if m >= 10000 {
		return figures.Kilometre.Length(m)
	}
	return figures.Kilometre.Stretch(m)
}

// overText writes how much more of an amount was run than planned, in the unit that the
// plan writes the amount in.
func overText(v float64, unit string, p workouts.Planned) string {
	plus := ""
	if v >= 0.5 {
		plus = "+"
	}
	a := p.Step.Amount
	switch {
	case !figures.Known(v):
		return ""
	case unit == "s":
		return plus + figures.Clock(v)
	case a.Mile && v > 0:
		return "+" + figures.Mile.Stretch(v)
	case a.Mile:
		return figures.Mile.Stretch(v)
	case math.Abs(v) >= 1000 || a.Metres >= 10000:
		return plus + figures.Kilometre.Length(v)
	}
	return figures.Signed(v, 0) + " m"
}

// between is a range of two texts, or one when they are the same.
func between(low, high string) string {
	if low == high {
		return low
	}
	return low + " to " + high
}

// outcome counts what was not as planned in a row.
func (r stepRow) outcome() string {
	text := ""
	if s := r.steps[0]; r.paced() && (s.OnTarget == match.Quicker || s.OnTarget == match.Slower) {
		text = map[match.Call]string{match.Quicker: "quick", match.Slower: "slow"}[s.OnTarget]
	}
	for _, o := range []match.Outcome{match.Short, match.Long, match.Missed} {
		n := 0
		for _, s := range r.steps {
			if s.Outcome == o {
				n++
			}
		}
		word := string(o)
		if o == match.Missed {
			word = "not run"
			if r.steps[0].Planned.Role != segment.Recovery {
				word = "not recorded"
			}
		}
		switch {
		case n == 0:
			continue
		case text != "":
			text += ", "
		}
		if len(r.steps) > 1 {
			text += strconv.Itoa(n) + " "
		}
		text += word
	}
	return text
}
