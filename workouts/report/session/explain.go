package session

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
)

// Explain reports what a workout asks of an athlete, step by step in running
// order, with what it comes to. Further warnings may come from reading it.
func Explain(w workouts.Workout, a athlete.Athlete, further []recording.Warning) *report.Report {
	resolved, _ := a.Resolve(w)
	outline := a.Outline(w)
	u := planUnit(resolved, Options{Miles: a.Miles})
	several := false
	for _, s := range outline.Steps {
		several = several || s.Set > 1
	}
	r := &report.Report{
		Title: w.Name,
		Lead:  []string{"plan: " + notation.Print(w)},

		Profile: outlineProfile(outline),
		Table:   report.Tabulate("steps", outline.Steps, outlineColumns(u, several)),
		Said:    []report.Sentence{{Text: askedText(outline, u)}},
		Before: report.Object{
			{Key: "schema", Value: "rungs/explain/1"},
			{Key: "name", Value: report.OrNil(w.Name)},
			{Key: "plan", Value: notation.Print(w)},
		},
		After:    append(lengthFields(outline.Seconds, outline.Metres), report.Field{Key: "open_steps", Value: outline.Open}),
		Warnings: report.JoinWarnings(further, outline.Warnings),
	}
	r.Table.Notes = outlineNotes(outline)
	r.Front = explainFront(w, a, outline, u)
	return r
}

func outlineColumns(u figures.Unit, withSets bool) []report.ColumnOf[athlete.OutlineStep] {
	type S = athlete.OutlineStep
	return []report.ColumnOf[S]{
		{Column: report.Column{Head: "step", Align: report.Right, Rank: 4}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Decimal(float64(s.Index+1), 0), Fields: report.Object{{Key: "step", Value: s.Index + 1}}})
		}},
		{Column: report.Column{Head: "part"}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: roleWords[s.Role], Fields: report.Object{{Key: "role", Value: string(s.Role)}}})
		}},
		{Column: report.Column{Head: "set", Align: report.Right, Rank: 1}, Cell: func(s S) report.Cell {
			return counted("set", s.Set, withSets && s.Role == segment.Work)
		}},
		{Column: report.Column{Head: "rep", Align: report.Right}, Cell: func(s S) report.Cell {
			return counted("rep", s.Rep, s.Role == segment.Work)
		}},
		{Column: report.Column{Head: "run"}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: stepWords(s.Step), Fields: report.Object{
				{Key: "amount", Value: amountFields(s.Step.Amount)}, {Key: "manner", Value: report.OrNil(string(s.Step.Manner))}}})
		}},
		{Column: report.Column{Head: "target"}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: goalText(s.Planned, u), Fields: report.Object{{Key: "goal", Value: goalFields(s.Goal)}}})
		}},
		{Column: report.Column{Head: "from", Align: report.Right, Rank: 3}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: roughly(s.BeginsS, figures.Clock), Fields: report.Object{{Key: "start_s", Value: seconds(s.BeginsS.Value)}, {Key: "start_rough", Value: s.BeginsS.Rough}}})
		}},
		{Column: report.Column{Head: "at", Align: report.Right, Rank: 5}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: roughly(s.BeginsM, u.Length), Fields: report.Object{{Key: "start_m", Value: metres(s.BeginsM.Value)}, {Key: "start_m_rough", Value: s.BeginsM.Rough}}})
		}},
		{Column: report.Column{Head: "time", Align: report.Right, Rank: 2}, Cell: func(s S) report.Cell {
			if s.Open {
				return report.Cell{Fields: lengthFields(openLength, openLength)}
			}
			return faint(s.Role, report.Cell{Text: roughly(s.Seconds, figures.Clock), Fields: lengthFields(s.Seconds, s.Metres)})
		}},
		{Column: report.Column{Head: "distance", Align: report.Right, Rank: 2}, Cell: func(s S) report.Cell {
			if s.Open {
				return report.Cell{}
			}
			m := s.Metres
			if m.Rough {
				m.Value = math.Round(m.Value/10) * 10
			}
			return faint(s.Role, report.Cell{Text: roughly(m, u.Stretch)})
		}},
	}
}

// roughly marks an estimate that rests on an assumed pace.
func roughly(e athlete.Estimate, print func(float64) string) string {
	if e.Rough {
		return "≈" + print(e.Value)
	}
	return print(e.Value)
}

// openLength stands for the length of a step that the runner ends.
var openLength = athlete.Estimate{Value: math.NaN()}

// lengthFields are a time and a distance, and whether a pace was assumed for
// either.
func lengthFields(t, d athlete.Estimate) report.Object {
	return report.Object{
		{Key: "time_s", Value: seconds(t.Value)}, {Key: "time_rough", Value: t.Rough},
		{Key: "distance_m", Value: metres(d.Value)}, {Key: "distance_rough", Value: d.Rough},
	}
}

func outlineNotes(o athlete.Outline) []string {
	var unresolved, heart bool
	for _, s := range o.Steps {
		unresolved = unresolved || s.Goal.Kind == workouts.UnresolvedGoal
		heart = heart || s.Step.Target.Kind == workouts.HeartTarget
	}
	var notes []string
	if o.Seconds.Rough || o.Metres.Rough {
		notes = append(notes, "≈ rests on a pace that was assumed, not written.")
	}
	if unresolved {
		notes = append(notes, unresolvedNote)
	}
	if heart {
		notes = append(notes, heartCaution)
	}
	return notes
}

// askedText sums up the work and the whole.
func askedText(o athlete.Outline, u figures.Unit) string {
	t, d, reps := likeness.Work(o)
	open := 0
	for _, s := range o.Steps {
		if s.Role == segment.Work && s.Open {
			open++
		}
	}
	whole := "In all " + sumText(o.Seconds, o.Metres, o.Open, u) + "."
	if reps == 0 {
		return "No work. " + whole
	}
	return figures.Plural(reps, "rep") + " of work: " + sumText(t, d, open, u) + ". " + whole
}

func sumText(t, d athlete.Estimate, open int, u figures.Unit) string {
	s := roughly(t, figures.Clock) + ", " + roughly(d, u.Length)
	if open > 0 {
		s += ", and " + figures.Plural(open, "open step")
	}
	return s
}

// stepWords is a step in the notation, without its target.
func stepWords(s workouts.Step) string {
	s.Target = workouts.Target{}
	if s.Manner == workouts.Unsaid {
		s.Manner = workouts.Work // which prints as nothing
	}
	return notation.Print(workouts.Workout{Items: []workouts.Item{{Count: 1, Step: s}}})
}

// amountFields is the length of a step as it was written.
func amountFields(a workouts.Amount) report.Object {
	switch a.Kind {
	case workouts.Time:
		return report.Object{{Key: "time_s", Value: seconds(a.Seconds)}}
	case workouts.Distance:
		return report.Object{{Key: "distance_m", Value: metres(a.Metres)}}
	}
	return report.Object{{Key: "open", Value: true}}
}

// goalText is the target as written, or what it comes to: at this rep of a
// progression, by the athlete's reference pace, by the athlete's heart rates.
func goalText(p workouts.Planned, u figures.Unit) string {
	g, t := p.Goal, p.Step.Target
	other := t.From.Unit.PerDistance() != workouts.PaceUnit(u.Per()) // such as a speed, or per km for who counts in miles
	told := other || t.From.Name != "" || t.To.Name != ""
	switch {
	case g.Kind == workouts.PaceGoal && g.EndPace > 0 && told:
		return u.Pace(g.Pace) + "->" + u.Pace(g.EndPace) + u.Per()
	case g.Kind == workouts.PaceGoal && (told || t.Kind == workouts.ProgressionTarget && g.EndPace == 0):
		if u.Pace(g.LowPace) == u.Pace(g.HighPace) {
			return u.Pace(g.Pace) + u.Per()
		}
		return u.Pace(g.LowPace) + "-" + u.Pace(g.HighPace) + u.Per()
	case g.Kind == workouts.QuickerGoal && g.First:
		return "sets the pace"
	case g.Kind == workouts.HeartGoal:
		return heartRange(g.LowBPM, g.HighBPM)
	case g.Kind == workouts.UnresolvedGoal:
		return notation.TargetText(t) + "?"
	}
	return notation.TargetText(t)
}

// goalFields is null for a step without a target.
func goalFields(g workouts.Goal) any {
	switch g.Kind {
	case workouts.PaceGoal:
		o := report.Object{{Key: "kind", Value: "pace"}, {Key: "low_s_per_km", Value: pace(g.LowPace)}, {Key: "high_s_per_km", Value: pace(g.HighPace)}, {Key: "pace_s_per_km", Value: pace(g.Pace)}}
		if g.EndPace > 0 {
			o = append(o, report.Field{Key: "end_pace_s_per_km", Value: pace(g.EndPace)})
		}
		return o
	case workouts.QuickerGoal:
		return report.Object{{Key: "kind", Value: "quicker"}, {Key: "quicker_by_s_per_km", Value: pace(g.QuickerBy)}, {Key: "first", Value: g.First}}
	case workouts.HeartGoal:
		return report.Object{{Key: "kind", Value: "heart"}, {Key: "low_bpm", Value: bound(g.LowBPM)}, {Key: "high_bpm", Value: bound(g.HighBPM)}}
	case workouts.UnresolvedGoal:
		return report.Object{{Key: "kind", Value: "unresolved"}, {Key: "name", Value: g.Name}}
	}
	return nil
}
