package session

import (
	"strings"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
)

// explainFront opens the page of a plan: the plan itself, its sums, its picture. With the
// steps it is one sheet to take along.
func explainFront(w workouts.Workout, a athlete.Athlete, outline athlete.Outline, u figures.Unit) report.Front {
	f := report.Front{Byline: w.Name, Answer: notation.Print(w), Lines: []string{}, Heading: "Step by step", Lead: []report.Sentence{{Text: askedText(outline, u)}}}
	if f.Byline == "" {
		f.Byline = "Planned session"
	}
	f.Figures = sumFigures(outline, u)
	if c, err := PlotPlan(w, a); err == nil {
		c.Title = "In running order"
		f.Charts = []chart.Chart{c}
	}
	return f
}

// Asked is what a workout comes to: in a sentence or two, in key figures, and the notes on
// how to read them.
func Asked(w workouts.Workout, a athlete.Athlete) (said string, sums []report.Figure, notes []string) {
	resolved, _ := a.Resolve(w)
	u := planUnit(resolved, Options{Miles: a.Miles})
	outline := a.Outline(w)
	notes = outlineNotes(outline)
	for _, x := range outline.Warnings {
		notes = append(notes, report.WarningSentence(x))
	}
	return askedText(outline, u), sumFigures(outline, u), notes
}

// sumFigures are the work, the time and the distance of a plan.
func sumFigures(outline athlete.Outline, u figures.Unit) (sums []report.Figure) {
	work, _, reps := likeness.Work(outline)
	add := func(value, name string) {
		if strings.TrimLeft(value, "≈") != "" {
			sums = append(sums, report.Figure{Value: value, Name: name})
		}
	}
	if reps > 0 {
		add(roughly(work, figures.Clock), "of work in "+figures.Plural(reps, "rep"))
	}
	add(roughly(outline.Seconds, figures.Clock), "time in all")
	add(roughly(outline.Metres, u.Length), "distance in all")
	return sums
}
