package report

import (
	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
)

// Check reports a plan held against a session, rep by rep.
func Check(res *match.Result, s *segment.Session, o Options) *Report {
	u := planUnit(res.Plan, o)
	plan := notation.Print(res.Plan)
	planLine, source := "plan: "+plan, "given"
	if o.RecordedPlan {
		planLine, source = "plan, from the recording: "+plan, "recording"
	}
	r := &Report{
		Title:    s.Recording.Name,
		Lead:     []string{runLine(s, u), planLine},
		Answer:   answer(res, u),
		profile:  sessionProfile(s, checkedReps(res), u),
		Table:    Tabulate("reps", res.Reps, repColumns(u, repSets(res) > 1)),
		Further:  []Table{stepTable(res, u)},
		Said:     further(res, u),
		Warnings: joinWarnings(s.Recording.Warnings, s.Warnings, o.Warnings, res.Warnings),
	}
	if res.Verdict == match.Different {
		r.profile, r.Further = sessionProfile(s, foundReps(s), u), []Table{runTable(s, u)}
	}
	r.Table.Notes = append(checkNotes(res, s), sourceNotes(s)...)
	if o.Method {
		r.Table.Notes = append(r.Table.Notes, methodNotes(res, u)...)
	}
	if o.Page {
		r.Front = checkFront(res, s, plan, o, r, u)
	}
	r.Before = append(Object{{"schema", "rungs/check/1"}}, runFields(s)...)
	r.Subject = runFields(s)[:2]
	r.Before = append(r.Before, Field{"plan", plan}, Field{"plan_source", source}, Field{"verdict", string(res.Verdict)},
		Field{"reasons", words(res.Reasons)}, Field{"found", OrNil(res.Found)}, Field{"nearest", OrNil(res.Nearest)},
		Field{"scale_se_pct", percent(100 * s.ScaleSE)})
	if res.Verdict == match.Different {
		r.Before = append(r.Before, Field{"run_reps", runReps(s)})
	}
	r.After = Object{
		{"steps", stepFields(res.Steps)},
		{"deviations", deviationFields(res.Deviations)},
		{"progression", progressionFields(res.Progression)},
		{"progressions", progressionList(res.Progressions)},
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
func runReps(s *segment.Session) []Object {
	list := []Object{}
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			list = append(list, spanFields(match.Span{StartS: g.StartS, EndS: g.EndS, StartSE: g.StartSE, EndSE: g.EndSE, DistanceM: g.DistanceM, Pace: g.Pace, PaceSE: g.WithinSE}))
		}
	}
	return list
}

// runTable shows the reps that were run instead of those planned.
func runTable(s *segment.Session, u figures.Unit) Table {
	var work []segment.Segment
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			work = append(work, g)
		}
	}
	t := Tabulate("", work, segmentColumns(u, sets(s) > 1))
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

func spanFields(s match.Span) Object {
	return Object{
		{"start_s", seconds(s.StartS)},
		{"end_s", seconds(s.EndS)},
		{"start_se_s", seconds(s.StartSE)},
		{"end_se_s", seconds(s.EndSE)},
		{"distance_m", metres(s.DistanceM)},
		{"pace_s_per_km", pace(s.Pace)},
		{"pace_se_s_per_km", pace(s.PaceSE)},
	}
}

// targetFields is null without a target.
func targetFields(r match.Rep) any {
	t := r.Target
	if t.Kind == match.NoTarget {
		return nil
	}
	o := Object{{"kind", string(t.Kind)}}
	switch t.Kind {
	case match.PaceTarget, match.BandTarget, match.RampTarget:
		o = append(o,
			Field{"low_s_per_km", pace(t.LowSPerKm)},
			Field{"high_s_per_km", pace(t.HighSPerKm)},
			Field{"tolerance_s_per_km", pace(t.Tolerance)})
		if t.Kind == match.RampTarget {
			o = append(o,
				Field{"from_s_per_km", pace(r.Planned.Goal.Pace)},
				Field{"to_s_per_km", pace(r.Planned.Goal.EndPace)})
		}
	case match.QuickerTarget:
		o = append(o, Field{"quicker_by_s_per_km", pace(t.QuickerBy)}, Field{"first", r.Planned.Goal.First})
	case match.HeartTarget:
		o = append(o, Field{"low_bpm", bound(t.LowBPM)}, Field{"high_bpm", bound(t.HighBPM)})
	}
	if t.Name != "" {
		o = append(o, Field{"name", t.Name})
	}
	return o
}

// bound is null for an open edge of a range.
func bound(bpm float64) any {
	if bpm <= 0 {
		return nil
	}
	return Number{Value: bpm}
}

// previousFields is null for the first rep of a row.
func previousFields(c match.Comparison) any {
	if c.Call == match.NoCall {
		return nil
	}
	return Object{
		{"delta_s_per_km", pace(c.DeltaSPerKm)},
		{"se_s_per_km", pace(c.SE)},
		{"call", string(c.Call)},
	}
}

// heartFields is null without a heart-rate target.
func heartFields(h *match.HeartTime) any {
	if h == nil {
		return nil
	}
	return Object{
		{"settle_s", seconds(h.SettleS)},
		{"inside_s", seconds(h.InsideS)},
		{"above_s", seconds(h.AboveS)},
		{"below_s", seconds(h.BelowS)},
	}
}

// recoveryFields is null when nothing was planned or run.
func recoveryFields(r *match.Recovery) any {
	if r == nil {
		return nil
	}
	o := Object{{"step", index(r.Step)}, {"outcome", string(r.Outcome)}}
	o = append(o, spanFields(r.Span)...)
	return append(o,
		Field{"amount_drift", seconds(r.AmountDrift)},
		Field{"amount_unit", OrNil(r.AmountUnit)},
		Field{"hr_start", beats(r.HRStart)},
		Field{"hr_end", beats(r.HREnd)},
		Field{"hr_drop", beats(r.HRDrop)},
		Field{"hr_drop_60s", beats(r.HRDrop60)})
}

// index counts from 1 for programs as for people; null when there is none.
func index(i int) any {
	if i < 0 {
		return nil
	}
	return i + 1
}

func spanList(spans []recording.Span) []Object {
	list := make([]Object, 0, len(spans))
	for _, s := range spans {
		list = append(list, Object{{"start_s", seconds(s.StartS)}, {"end_s", seconds(s.EndS)}})
	}
	return list
}

func stepFields(steps []match.Step) []Object {
	list := make([]Object, 0, len(steps))
	for _, s := range steps {
		o := Object{{"step", index(s.Planned.Index)}, {"role", string(s.Planned.Role)}, {"outcome", string(s.Outcome)}}
		o = append(o, spanFields(s.Span)...)
		list = append(list, append(o, Field{"amount_drift", seconds(s.AmountDrift)}, Field{"amount_unit", OrNil(s.AmountUnit)},
			Field{"drift_s_per_km", pace(s.Drift)}, Field{"on_target", OrNil(string(s.OnTarget))}))
	}
	return list
}

func deviationFields(ds []match.Deviation) []Object {
	list := make([]Object, 0, len(ds))
	for _, d := range ds {
		list = append(list, Object{
			{"kind", string(d.Kind)},
			{"rep", index(d.Rep)},
			{"message", d.Message},
			{"counts", d.Counts},
			{"step", index(d.Step)},
			{"size", seconds(d.Size)},
			{"unit", OrNil(d.Unit)},
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
	o := Object{
		{"slope_s_per_km_per_rep", pace(p.SlopeSPerKmPerRep)},
		{"se", pace(p.SlopeSE)},
		{"p", chance(p.P)},
		{"test", OrNil(string(p.Test))},
		{"call", OrNil(string(p.Call))},
		{"course", OrNil(string(p.Course))},
		{"slope_margin", pace(p.SlopeMargin)},
		{"change_s_per_km", pace(p.ChangeSPerKm)},
		{"change_margin", pace(p.ChangeMargin)},
		{"scatter_s_per_km", pace(p.Scatter)},
		{"degrees_of_freedom", p.Free},
		{"quicker_than_previous", p.QuickerThanPrevious},
		{"slower_than_previous", p.SlowerThanPrevious},
		{"compared", p.Compared},
		{"of", p.Of},
		{"reps", reps},
	}
	if len(p.Sets) > 0 {
		list := make([]Object, 0, len(p.Sets))
		for _, s := range p.Sets {
			list = append(list, Object{
				{"set", s.Set},
				{"of", s.Of},
				{"pace_s_per_km", pace(s.MeanPace)},
				{"pace_se_s_per_km", pace(s.SE)},
				{"slope_s_per_km_per_rep", pace(s.SlopeSPerKmPerRep)},
				{"slope_se", pace(s.SlopeSE)},
				{"call", OrNil(string(s.Call))},
			})
		}
		o = append(o, Field{"sets", list})
	}
	if t := p.AcrossSet; t != nil {
		o = append(o, Field{"across_sets", Object{
			{"of", t.Of},
			{"slope_s_per_km_per_set", pace(t.SlopeSPerKmPerSet)},
			{"slope_se", pace(t.SlopeSE)},
			{"test", OrNil(string(t.Test))},
			{"p", chance(t.P)},
			{"call", OrNil(string(t.Call))},
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
