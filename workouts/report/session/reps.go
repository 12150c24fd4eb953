package session

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/trend"
)

// repColumns say what became of a rep.
func repColumns(res *match.Result, u figures.Unit, withSets bool) []report.ColumnOf[match.Rep] {
	type R = match.Rep
	return []report.ColumnOf[R]{
		{Column: report.Column{Data: true}, Cell: func(r R) report.Cell { return report.Cell{Fields: report.Object{{Key: "step", Value: index(r.Step)}}} }},
		{Column: report.Column{Head: "set", Align: report.Right, Rank: 1}, Cell: func(r R) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "set", Value: r.Set}}}
			if withSets {
				c.Text = figures.Decimal(float64(r.Set), 0)
			}
			return c
		}},
		{Column: report.Column{Head: "rep", Align: report.Right}, Cell: func(r R) report.Cell {
			if r.Rep == 0 {
				return report.Cell{Text: "+", Fields: report.Object{{Key: "rep", Value: nil}}}
			}
			return report.Cell{Text: figures.Decimal(float64(r.Rep), 0), Fields: report.Object{{Key: "rep", Value: r.Rep}}}
		}},
		{Column: report.Column{Head: "run"}, Cell: func(r R) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "outcome", Value: string(r.Outcome)}}}
			if r.Outcome != match.Done {
				c.Text, c.Style = string(r.Outcome), report.Alert
			}
			return c
		}},
		{Column: report.Column{Head: "time", Align: report.Right, Rank: 2}, Cell: func(r R) report.Cell {
			return report.Cell{Text: figures.Clock(r.Seconds()), Fields: spanFields(r.Span)[:4]}
		}},
		{Column: report.Column{Head: "distance", Align: report.Right, Rank: 4}, Cell: func(r R) report.Cell {
			return report.Cell{Text: u.Stretch(r.DistanceM), Fields: spanFields(r.Span)[4:5]}
		}},
		{Column: report.Column{Head: "pace " + u.Per(), Align: report.Right}, Cell: func(r R) report.Cell {
			return report.Cell{Text: u.Pace(r.Pace), Fields: spanFields(r.Span)[5:6]}
		}},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(r R) report.Cell {
			c := report.Cell{Fields: spanFields(r.Span)[6:]}
			if figures.Known(r.Pace) && r.Pace < figures.Standing {
				c.Text = u.Margin(r.PaceSE)
			}
			return c
		}},
		{Column: report.Column{Head: "target", Align: report.Right, Rank: 3}, Cell: func(r R) report.Cell {
			return report.Cell{Text: targetText(r, u), Fields: report.Object{{Key: "target", Value: targetFields(r)}}}
		}},
		{Column: report.Column{Head: "drift", Align: report.Right}, Cell: func(r R) report.Cell {
			return report.Cell{Text: figures.Signed(r.Drift*u.PerKm(), 0), Style: driftStyle(r), Fields: report.Object{
				{Key: "drift_s_per_km", Value: pace(r.Drift)},
				{Key: "drift_pct", Value: percent(r.DriftPct)},
				{Key: "on_target", Value: report.OrNil(string(r.OnTarget))},
				{Key: "drift_se_s_per_km", Value: pace(driftSE(r))},
				{Key: "unsure", Value: r.Unsure},
			}}
		}},
		{Column: report.Column{Head: "", Tight: true}, Cell: func(r R) report.Cell {
			return report.Cell{Text: driftWord(r), Style: driftStyle(r)}
		}},
		{Column: report.Column{Head: "over", Align: report.Right, Rank: 7}, Cell: func(r R) report.Cell {
			c := report.Cell{Fields: report.Object{
				{Key: "amount_drift", Value: seconds(r.AmountDrift)},
				{Key: "amount_unit", Value: report.OrNil(r.AmountUnit)},
			}}
			switch {
			case !figures.Known(r.AmountDrift):
			case r.AmountUnit == "s":
				c.Text = figures.Signed(r.AmountDrift, 0) + " s"
			default:
				c.Text = overText(r.AmountDrift, r.AmountUnit, r.Planned)
			}
			return c
		}},
		{Column: report.Column{Head: "fade", Align: report.Right, Rank: 8}, Cell: func(r R) report.Cell {
			return report.Cell{Text: fadeText(r), Fields: report.Object{
				{Key: "fade_pct", Value: percent(r.FadePct)},
				{Key: "fade_se_pct", Value: percent(r.FadeSE)},
			}}
		}},
		{Column: report.Column{Head: "vs last", Align: report.Right, Rank: 1}, Cell: func(r R) report.Cell {
			return report.Cell{Text: previousText(res, r, u), Fields: report.Object{{Key: "vs_previous", Value: previousFields(res, r.VsPrevious)}}}
		}},
		{Column: report.Column{Data: true}, Cell: func(r R) report.Cell {
			return report.Cell{Fields: report.Object{{Key: "hr_avg", Value: beats(r.HRAvg)}, {Key: "hr_max", Value: beats(r.HRMax)}}}
		}},
		{Column: report.Column{Head: "HR end", Align: report.Right, Rank: 4}, Cell: func(r R) report.Cell {
			return report.Cell{Text: figures.Beats(r.HREnd), Fields: report.Object{{Key: "hr_end", Value: beats(r.HREnd)}}}
		}},
		{Column: report.Column{Head: "in range", Align: report.Right, Rank: 2}, Cell: func(r R) report.Cell {
			return report.Cell{Text: insideText(r.Heart), Fields: report.Object{
				{Key: "cadence_avg", Value: steps(r.CadenceAvg)},
				{Key: "heart", Value: heartFields(r.Heart)},
				{Key: "merged", Value: r.Merged},
				{Key: "interruptions", Value: spanList(r.Interruptions)},
			}}
		}},
		{Column: report.Column{Head: "rest", Align: report.Right, Rank: 6}, Cell: func(r R) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "recovery", Value: recoveryFields(r.Recovery)}}}
			if r.Recovery != nil {
				c.Text = figures.Clock(r.Recovery.Seconds())
			}
			return c
		}},
	}
}

// targetText says what was asked of a rep.
func targetText(r match.Rep, u figures.Unit) string {
	t := r.Target
	switch t.Kind {
	case match.PaceTarget:
		return u.Pace(t.LowSPerKm)
	case match.BandTarget:
		return u.Pace(t.LowSPerKm) + "-" + u.Pace(t.HighSPerKm)
	case match.RampTarget:
		return u.Pace(r.Planned.Goal.Pace) + "->" + u.Pace(r.Planned.Goal.EndPace)
	case match.QuickerTarget:
		if r.Planned.Goal.First {
			return "sets the pace"
		}
		if figures.Known(t.QuickerBy) && t.QuickerBy > 0 {
			return "quicker by " + figures.Decimal(math.Round(t.QuickerBy*u.PerKm()), 0)
		}
		return "quicker"
	case match.HeartTarget:
		return heartRange(t.LowBPM, t.HighBPM)
	case match.UnknownTarget:
		return t.Name + "?"
	}
	return ""
}

func heartRange(low, high float64) string {
	isLow, isHigh := figures.Known(low) && low > 0, figures.Known(high) && high > 0
	switch {
	case isLow && isHigh:
		return figures.Decimal(low, 0) + "-" + figures.Decimal(high, 0) + " bpm"
	case isLow:
		return ">" + figures.Decimal(low, 0) + " bpm"
	case isHigh:
		return "<" + figures.Decimal(high, 0) + " bpm"
	}
	return ""
}

// driftWord says that a rep missed its pace by more than tolerance and margin.
func driftWord(r match.Rep) string {
	if !figures.Known(r.Drift) {
		return ""
	}
	switch r.OnTarget {
	case match.Quicker:
		return "quick"
	case match.Slower:
		return "slow"
	}
	if r.Unsure {
		return "~"
	}
	return ""
}

// driftSE is the error of a drift; not known without a target.
func driftSE(r match.Rep) float64 {
	if !figures.Known(r.Drift) {
		return math.NaN()
	}
	return r.TargetSE
}

func driftStyle(r match.Rep) report.Style {
	if r.OnTarget == match.Quicker || r.OnTarget == match.Slower {
		return report.Alert
	}
	return report.Plain
}

// previousText is the difference to the rep before, or ~ when it is within
// the margin.
func previousText(res *match.Result, r match.Rep, u figures.Unit) string {
	c := r.VsPrevious
	text := ""
	switch {
	case c.Call == match.NoCall:
		return ""
	case c.Call == match.Level:
		text = "~"
	case !figures.Known(c.DeltaSPerKm):
		return ""
	default:
		text = u.SignedText(c.DeltaSPerKm, trend.Z95*c.SE)
	}
	if n := comparedWith(res, c); n != r.Rep-1 && n > 0 {
		text += " (" + strconv.Itoa(n) + ")"
	}
	return text
}

// comparedWith is the number of the rep that a comparison is with; 0 when it is with none.
func comparedWith(res *match.Result, c match.Comparison) int {
	if c.With < 0 || c.With >= len(res.Reps) {
		return 0
	}
	return res.Reps[c.With].Rep
}

// fadeText is how much slower the second half was than the first, or ~ when
// that is within the margin.
func fadeText(r match.Rep) string {
	switch {
	case !figures.Known(r.FadePct) || !figures.Known(r.FadeSE):
		return ""
	case math.Abs(r.FadePct) <= math.Max(trend.Z95*r.FadeSE, 0.05): // at least what is printed
		return "~"
	}
	return figures.Signed(r.FadePct, 1) + " %"
}

// insideText is the part of the rep, once the heart had settled, inside the
// heart-rate target.
func insideText(h *match.HeartTime) string {
	if h == nil {
		return ""
	}
	total := h.InsideS + h.AboveS + h.BelowS
	if !figures.Known(total) || total <= 0 {
		return ""
	}
	return figures.Decimal(100*h.InsideS/total, 0) + " %"
}

// checkNotes explain the marks that the table of this result uses.
func checkNotes(res *match.Result, s *segment.Session) (notes []string) {
	some := func(marked func(r match.Rep) bool) bool { return slices.ContainsFunc(res.Reps, marked) }
	// sure but for the odometer
	byScale := func(r match.Rep) bool { return math.Abs(r.Drift) > r.Target.Tolerance+trend.Z95*r.PaceSE }
	if some(func(r match.Rep) bool { return figures.Known(r.PaceSE) }) {
		notes = append(notes, marginNote(s))
	}
	if some(func(r match.Rep) bool { return figures.Known(r.Drift) }) {
		notes = append(notes, "drift is the pace run minus the target; slow and quick mean that it is beyond the tolerance and the margin, which here counts the error of the distance.")
	}
	if some(func(r match.Rep) bool { return r.Unsure && byScale(r) }) {
		settled := "A track, a course of known length, or [odometer.outdoors] in the athlete file"
		if s.Indoors() {
			settled = "The treadmill's own file, or [odometer.treadmill] in the athlete file,"
		}
		notes = append(notes, "~ beside a drift: it is beyond the tolerance, but the distance may be measured wrong by as much. "+settled+" would settle it.")
	}
	if some(func(r match.Rep) bool { return r.Unsure && !byScale(r) }) {
		notes = append(notes, "~ beside a drift: it is beyond the tolerance by less than the margin of the pace; only longer reps would settle it.")
	}
	if some(func(r match.Rep) bool { return r.VsPrevious.Call == match.Level || fadeText(r) == "~" }) {
		notes = append(notes, "~ is a difference within the margin: there may be none.")
	}
	if some(func(r match.Rep) bool { return strings.HasSuffix(previousText(res, r, figures.Kilometre), ")") }) {
		notes = append(notes, "A number in brackets under vs last is the rep that it is compared with: the last of the same step of the plan.")
	}
	if some(func(r match.Rep) bool { return r.Target.Kind == match.UnknownTarget }) {
		notes = append(notes, unresolvedNote)
	}
	if some(func(r match.Rep) bool { return r.Target.Kind == match.HeartTarget }) || asksHeart(res.Plan) {
		notes = append(notes, heartCaution)
	}
	return notes
}

func asksHeart(plan workouts.Workout) bool {
	return slices.ContainsFunc(plan.Expand(), func(p workouts.Planned) bool { return p.Step.Target.Kind == workouts.HeartTarget })
}

const unresolvedNote = "A target with ? needs a pace or heart rate that the athlete file does not have."

// heartCaution goes with every target or zone of heart rate.
const heartCaution = "Heart rate is a rough guide: it lags, and heat, illness, caffeine and medicines move it. " +
	"With chest pain, faintness or a heart condition, ask a doctor before training by it."
