package report

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/notation"
)

// Explain reports what a workout asks of an athlete, step by step in running
// order, with what it comes to. Further warnings may come from reading it.
func Explain(w workouts.Workout, a athlete.Athlete, further []recording.Warning) *Report {
	resolved, _ := a.Resolve(w)
	outline := a.Outline(w)
	u := planUnit(resolved, Options{Miles: a.Miles})
	several := false
	for _, s := range outline.Steps {
		several = several || s.Set > 1
	}
	r := &Report{
		Title: w.Name,
		Lead:  []string{"plan: " + notation.Print(w)},

		profile: outlineProfile(outline),
		Table:   Tabulate("steps", outline.Steps, outlineColumns(u, several)),
		Said:    []Sentence{{Text: askedText(outline, u)}},
		Before: Object{
			{"schema", "rungs/explain/1"},
			{"name", OrNil(w.Name)},
			{"plan", notation.Print(w)},
		},
		After:    append(lengthFields(outline.Seconds, outline.Metres), Field{"open_steps", outline.Open}),
		Warnings: joinWarnings(further, outline.Warnings),
	}
	r.Table.Notes = outlineNotes(outline)
	r.Front = explainFront(w, a, outline, u)
	return r
}

func outlineColumns(u figures.Unit, withSets bool) []ColumnOf[athlete.OutlineStep] {
	type S = athlete.OutlineStep
	faint := func(s S, c Cell) Cell {
		if s.Role != segment.Work {
			c.Style = Faint
		}
		return c
	}
	return []ColumnOf[S]{
		{Column{Head: "step", Align: Right, Rank: 4}, func(s S) Cell {
			return faint(s, Cell{Text: figures.Decimal(float64(s.Index+1), 0), Fields: Object{{"step", s.Index + 1}}})
		}},
		{Column{Head: "part"}, func(s S) Cell {
			return faint(s, Cell{Text: roleWords[s.Role], Fields: Object{{"role", string(s.Role)}}})
		}},
		{Column{Head: "set", Align: Right, Rank: 1}, func(s S) Cell {
			return counted("set", s.Set, withSets && s.Role == segment.Work)
		}},
		{Column{Head: "rep", Align: Right}, func(s S) Cell {
			return counted("rep", s.Rep, s.Role == segment.Work)
		}},
		{Column{Head: "run"}, func(s S) Cell {
			return faint(s, Cell{Text: stepWords(s.Step), Fields: Object{
				{"amount", amountFields(s.Step.Amount)}, {"manner", OrNil(string(s.Step.Manner))}}})
		}},
		{Column{Head: "target"}, func(s S) Cell {
			return faint(s, Cell{Text: goalText(s.Planned, u), Fields: Object{{"goal", goalFields(s.Goal)}}})
		}},
		{Column{Head: "from", Align: Right, Rank: 3}, func(s S) Cell {
			return faint(s, Cell{Text: roughly(s.BeginsS, figures.Clock), Fields: Object{{"start_s", seconds(s.BeginsS.Value)}, {"start_rough", s.BeginsS.Rough}}})
		}},
		{Column{Head: "at", Align: Right, Rank: 5}, func(s S) Cell {
			return faint(s, Cell{Text: roughly(s.BeginsM, u.Length), Fields: Object{{"start_m", metres(s.BeginsM.Value)}, {"start_m_rough", s.BeginsM.Rough}}})
		}},
		{Column{Head: "time", Align: Right, Rank: 2}, func(s S) Cell {
			if s.Open {
				return Cell{Fields: lengthFields(openLength, openLength)}
			}
			return faint(s, Cell{Text: roughly(s.Seconds, figures.Clock), Fields: lengthFields(s.Seconds, s.Metres)})
		}},
		{Column{Head: "distance", Align: Right, Rank: 2}, func(s S) Cell {
			if s.Open {
				return Cell{}
			}
			m := s.Metres
			if m.Rough {
				m.Value = math.Round(m.Value/10) * 10
			}
			return faint(s, Cell{Text: roughly(m, u.Stretch)})
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

// openLength is the length of a step that the runner ends.
var openLength = athlete.Estimate{Value: math.NaN()}

// lengthFields are a time and a distance, and whether a pace was assumed for
// either.
func lengthFields(t, d athlete.Estimate) Object {
	return Object{
		{"time_s", seconds(t.Value)}, {"time_rough", t.Rough},
		{"distance_m", metres(d.Value)}, {"distance_rough", d.Rough},
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
	var reps, open int
	var t, d athlete.Estimate
	for _, s := range o.Steps {
		if s.Role != segment.Work {
			continue
		}
		reps++
		if s.Open {
			open++
		}
		t = athlete.Estimate{Value: t.Value + s.Seconds.Value, Rough: t.Rough || s.Seconds.Rough}
		d = athlete.Estimate{Value: d.Value + s.Metres.Value, Rough: d.Rough || s.Metres.Rough}
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
func amountFields(a workouts.Amount) Object {
	switch a.Kind {
	case workouts.Time:
		return Object{{"time_s", seconds(a.Seconds)}}
	case workouts.Distance:
		return Object{{"distance_m", metres(a.Metres)}}
	}
	return Object{{"open", true}}
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
		o := Object{{"kind", "pace"}, {"low_s_per_km", pace(g.LowPace)}, {"high_s_per_km", pace(g.HighPace)}, {"pace_s_per_km", pace(g.Pace)}}
		if g.EndPace > 0 {
			o = append(o, Field{"end_pace_s_per_km", pace(g.EndPace)})
		}
		return o
	case workouts.QuickerGoal:
		return Object{{"kind", "quicker"}, {"quicker_by_s_per_km", pace(g.QuickerBy)}, {"first", g.First}}
	case workouts.HeartGoal:
		return Object{{"kind", "heart"}, {"low_bpm", bound(g.LowBPM)}, {"high_bpm", bound(g.HighBPM)}}
	case workouts.UnresolvedGoal:
		return Object{{"kind", "unresolved"}, {"name", g.Name}}
	}
	return nil
}
