package session

import (
	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
)

// Check reports a plan held against a session, rep by rep.
func Check(res *match.Result, s *segment.Session, o Options) *report.Report {
	u := planUnit(res.Plan, o)
	plan := notation.Print(res.Plan)
	planLine, source := "plan: "+plan, "given"
	if o.RecordedPlan {
		planLine, source = "plan, from the recording: "+plan, "recording"
	}
	r := &report.Report{
		Title:    s.Recording.Name,
		Lead:     []string{runLine(s, u), planLine},
		Answer:   answer(res, u),
		Profile:  sessionProfile(s, checkedReps(res), u),
		Table:    report.Tabulate("reps", res.Reps, repColumns(res, u, repSets(res) > 1)),
		Further:  []report.Table{stepTable(res, u)},
		Said:     further(res, u),
		Warnings: report.JoinWarnings(s.Recording.Warnings, s.Warnings, o.Warnings, res.Warnings),
	}
	if res.Verdict == match.Different {
		r.Profile, r.Further = sessionProfile(s, foundReps(s), u), []report.Table{runTable(s, u)}
	}
	r.Table.Notes = append(checkNotes(res, s), sourceNotes(s)...)
	if o.Method {
		r.Table.Notes = append(r.Table.Notes, methodNotes(res, u)...)
	}
	if o.Page {
		r.Front = checkFront(res, s, plan, o, r, u)
	}
	r.Before = append(report.Object{{Key: "schema", Value: "rungs/check/1"}}, runFields(s)...)
	r.Subject = runFields(s)[:2]
	r.Before = append(r.Before, report.Field{Key: "plan", Value: plan}, report.Field{Key: "plan_source", Value: source}, report.Field{Key: "verdict", Value: string(res.Verdict)},
		report.Field{Key: "reasons", Value: words(res.Reasons)}, report.Field{Key: "found", Value: report.OrNil(res.Found)}, report.Field{Key: "nearest", Value: report.OrNil(res.Nearest)},
		report.Field{Key: "scale_se_pct", Value: percent(100 * s.ScaleSE)})
	if res.Verdict == match.Different {
		r.Before = append(r.Before, report.Field{Key: "run_reps", Value: runReps(s)})
	}
	r.After = report.Object{
		{Key: "steps", Value: stepFields(res.Steps)},
		{Key: "deviations", Value: deviationFields(res.Deviations)},
		{Key: "progression", Value: progressionFields(res.Progression)},
		{Key: "progressions", Value: progressionList(res.Progressions)},
	}
	return r
}

// planUnit is the athlete's unit when that is the mile, or else that of all paces of
// the plan.
func planUnit(w workouts.Workout, o Options) figures.Unit {
	if o.Miles {
		return figures.Mile
	}
	miles, kms := 0, 0
	for _, p := range w.Expand() {
		t := p.Step.Target
		for _, x := range []workouts.Pace{t.From, t.To} {
			switch x.Unit.PerDistance() {
			case workouts.PerMile:
				miles++
			case workouts.PerKm:
				kms++
			}
		}
	}
	if miles > 0 && kms == 0 {
		return figures.Mile
	}
	return figures.Kilometre
}

// CountsMiles tells whether a check of this plan counts paces per mile.
func CountsMiles(w workouts.Workout, o Options) bool { return planUnit(w, o) == figures.Mile }

// runReps are the reps of a session that was not the planned one.
func runReps(s *segment.Session) []report.Object {
	list := []report.Object{}
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			list = append(list, spanFields(match.Span{StartS: g.StartS, EndS: g.EndS, StartSE: g.StartSE, EndSE: g.EndSE, DistanceM: g.DistanceM, Pace: g.Pace, PaceSE: g.WithinSE}))
		}
	}
	return list
}

// runTable shows the reps that were run instead of those planned.
func runTable(s *segment.Session, u figures.Unit) report.Table {
	var work []segment.Segment
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			work = append(work, g)
		}
	}
	t := report.Tabulate("", work, segmentColumns(u, sets(s) > 1))
	if len(work) > 0 {
		t.Title = "The reps that were run"
	}
	return t
}

// repSets is the number of sets that the reps belong to.
func repSets(res *match.Result) int {
	n := 0
	for _, r := range res.Reps {
		n = max(n, r.Set)
	}
	return n
}

// words is a list of strings that is never null.
func words(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func spanFields(s match.Span) report.Object {
	return report.Object{
		{Key: "start_s", Value: seconds(s.StartS)},
		{Key: "end_s", Value: seconds(s.EndS)},
		{Key: "start_se_s", Value: seconds(s.StartSE)},
		{Key: "end_se_s", Value: seconds(s.EndSE)},
		{Key: "distance_m", Value: metres(s.DistanceM)},
		{Key: "pace_s_per_km", Value: pace(s.Pace)},
		{Key: "pace_se_s_per_km", Value: pace(s.PaceSE)},
	}
}

// targetFields is null without a target.
func targetFields(r match.Rep) any {
	t := r.Target
	if t.Kind == match.NoTarget {
		return nil
	}
	o := report.Object{{Key: "kind", Value: string(t.Kind)}}
	switch t.Kind {
	case match.PaceTarget, match.BandTarget, match.RampTarget:
		o = append(o,
			report.Field{Key: "low_s_per_km", Value: pace(t.LowSPerKm)},
			report.Field{Key: "high_s_per_km", Value: pace(t.HighSPerKm)},
			report.Field{Key: "tolerance_s_per_km", Value: pace(t.Tolerance)})
		if t.Kind == match.RampTarget {
			o = append(o,
				report.Field{Key: "from_s_per_km", Value: pace(r.Planned.Goal.Pace)},
				report.Field{Key: "to_s_per_km", Value: pace(r.Planned.Goal.EndPace)})
		}
	case match.QuickerTarget:
		o = append(o, report.Field{Key: "quicker_by_s_per_km", Value: pace(t.QuickerBy)}, report.Field{Key: "first", Value: r.Planned.Goal.First})
	case match.HeartTarget:
		o = append(o, report.Field{Key: "low_bpm", Value: bound(t.LowBPM)}, report.Field{Key: "high_bpm", Value: bound(t.HighBPM)})
	}
	if t.Name != "" {
		o = append(o, report.Field{Key: "name", Value: t.Name})
	}
	return o
}

// bound is null for an open edge of a range.
func bound(bpm float64) any {
	if bpm <= 0 {
		return nil
	}
	return report.Number{Value: bpm}
}

// previousFields is null for the first rep of a row.
func previousFields(res *match.Result, c match.Comparison) any {
	if c.Call == match.NoCall {
		return nil
	}
	return report.Object{
		{Key: "rep", Value: comparedWith(res, c)},
		{Key: "delta_s_per_km", Value: pace(c.DeltaSPerKm)},
		{Key: "se_s_per_km", Value: pace(c.SE)},
		{Key: "call", Value: string(c.Call)},
	}
}

// heartFields is null without a heart-rate target.
func heartFields(h *match.HeartTime) any {
	if h == nil {
		return nil
	}
	return report.Object{
		{Key: "settle_s", Value: seconds(h.SettleS)},
		{Key: "inside_s", Value: seconds(h.InsideS)},
		{Key: "above_s", Value: seconds(h.AboveS)},
		{Key: "below_s", Value: seconds(h.BelowS)},
	}
}

// recoveryFields is null when nothing was planned or run.
func recoveryFields(r *match.Recovery) any {
	if r == nil {
		return nil
	}
	o := report.Object{{Key: "step", Value: index(r.Step)}, {Key: "outcome", Value: string(r.Outcome)}}
	o = append(o, spanFields(r.Span)...)
	return append(o,
		report.Field{Key: "amount_drift", Value: seconds(r.AmountDrift)},
		report.Field{Key: "amount_unit", Value: report.OrNil(r.AmountUnit)},
		report.Field{Key: "hr_start", Value: beats(r.HRStart)},
		report.Field{Key: "hr_end", Value: beats(r.HREnd)},
		report.Field{Key: "hr_drop", Value: beats(r.HRDrop)},
		report.Field{Key: "hr_drop_60s", Value: beats(r.HRDrop60)})
}

// index counts from 1 for programs as for people; null when there is none.
func index(i int) any {
	if i < 0 {
		return nil
	}
	return i + 1
}

func spanList(spans []recording.Span) []report.Object {
	list := make([]report.Object, 0, len(spans))
	for _, s := range spans {
		list = append(list, report.Object{{Key: "start_s", Value: seconds(s.StartS)}, {Key: "end_s", Value: seconds(s.EndS)}})
	}
	return list
}

func stepFields(steps []match.Step) []report.Object {
	list := make([]report.Object, 0, len(steps))
	for _, s := range steps {
		o := report.Object{{Key: "step", Value: index(s.Planned.Index)}, {Key: "role", Value: string(s.Planned.Role)}, {Key: "outcome", Value: string(s.Outcome)}}
		o = append(o, spanFields(s.Span)...)
		list = append(list, append(o, report.Field{Key: "amount_drift", Value: seconds(s.AmountDrift)}, report.Field{Key: "amount_unit", Value: report.OrNil(s.AmountUnit)},
			report.Field{Key: "drift_s_per_km", Value: pace(s.Drift)}, report.Field{Key: "on_target", Value: report.OrNil(string(s.OnTarget))}))
	}
	return list
}

func deviationFields(ds []match.Deviation) []report.Object {
	list := make([]report.Object, 0, len(ds))
	for _, d := range ds {
		list = append(list, report.Object{
			{Key: "kind", Value: string(d.Kind)},
			{Key: "rep", Value: index(d.Rep)},
			{Key: "message", Value: d.Message},
			{Key: "counts", Value: d.Counts},
			{Key: "step", Value: index(d.Step)},
			{Key: "size", Value: seconds(d.Size)},
			{Key: "unit", Value: report.OrNil(d.Unit)},
		})
	}
	return list
}

// progressionFields is null for fewer than two reps.
func progressionFields(p match.Progression) any {
	if p.Of < 2 {
		return nil
	}
	reps := make([]int, 0, len(p.Reps))
	for _, i := range p.Reps {
		reps = append(reps, i+1)
	}
	o := report.Object{
		{Key: "slope_s_per_km_per_rep", Value: pace(p.SlopeSPerKmPerRep)},
		{Key: "se", Value: pace(p.SlopeSE)},
		{Key: "p", Value: chance(p.P)},
		{Key: "test", Value: report.OrNil(string(p.Test))},
		{Key: "call", Value: report.OrNil(string(p.Call))},
		{Key: "course", Value: report.OrNil(string(p.Course))},
		{Key: "slope_margin", Value: pace(p.SlopeMargin)},
		{Key: "change_s_per_km", Value: pace(p.ChangeSPerKm)},
		{Key: "change_margin", Value: pace(p.ChangeMargin)},
		{Key: "scatter_s_per_km", Value: pace(p.Scatter)},
		{Key: "degrees_of_freedom", Value: p.Free},
		{Key: "quicker_than_previous", Value: p.QuickerThanPrevious},
		{Key: "slower_than_previous", Value: p.SlowerThanPrevious},
		{Key: "compared", Value: p.Compared},
		{Key: "of", Value: p.Of},
		{Key: "reps", Value: reps},
	}
	if len(p.Sets) > 0 {
		list := make([]report.Object, 0, len(p.Sets))
		for _, s := range p.Sets {
			list = append(list, report.Object{
				{Key: "set", Value: s.Set},
				{Key: "of", Value: s.Of},
				{Key: "pace_s_per_km", Value: pace(s.MeanPace)},
				{Key: "pace_se_s_per_km", Value: pace(s.SE)},
				{Key: "slope_s_per_km_per_rep", Value: pace(s.SlopeSPerKmPerRep)},
				{Key: "slope_se", Value: pace(s.SlopeSE)},
				{Key: "call", Value: report.OrNil(string(s.Call))},
			})
		}
		o = append(o, report.Field{Key: "sets", Value: list})
	}
	if t := p.AcrossSet; t != nil {
		o = append(o, report.Field{Key: "across_sets", Value: report.Object{
			{Key: "of", Value: t.Of},
			{Key: "slope_s_per_km_per_set", Value: pace(t.SlopeSPerKmPerSet)},
			{Key: "slope_se", Value: pace(t.SlopeSE)},
			{Key: "test", Value: report.OrNil(string(t.Test))},
			{Key: "p", Value: chance(t.P)},
			{Key: "call", Value: report.OrNil(string(t.Call))},
		}})
	}
	return o
}

func progressionList(ps []match.Progression) []any {
	list := make([]any, 0, len(ps))
	for _, p := range ps {
		list = append(list, progressionFields(p))
	}
	return list
}
