package report

import (
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report/chart"
)

// explainFront opens the page of a plan: the plan itself, its sums, its picture. With the
// steps it is one sheet to take along.
func explainFront(w workouts.Workout, a workouts.Athlete, outline workouts.Outline, u unit) Front {
	f := Front{Byline: w.Name, Answer: notation.Print(w), Lines: []string{}, Heading: "Step by step", Lead: []Sentence{{Text: askedText(outline, u)}}}
	if f.Byline == "" {
		f.Byline = "Planned session"
	}
	reps, work := 0, workouts.Estimate{}
	for _, s := range outline.Steps {
		if s.Role == segment.Work {
			reps++
			work = workouts.Estimate{Value: work.Value + s.Seconds.Value, Rough: work.Rough || s.Seconds.Rough}
		}
	}
	add := func(value, name string) {
		if strings.TrimLeft(value, "≈") != "" {
			f.Figures = append(f.Figures, Figure{value, name})
		}
	}
	if reps > 0 {
		add(roughly(work, clock), "of work in "+plural(reps, "rep"))
	}
	add(roughly(outline.Seconds, clock), "time in all")
	add(roughly(outline.Metres, u.length), "distance in all")
	if c, err := PlotPlan(w, a); err == nil {
		c.Title = "In running order"
		f.Charts = []chart.Chart{c}
	}
	return f
}
