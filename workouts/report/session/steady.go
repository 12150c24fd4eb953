package session

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// hasReps tells whether a session has work in it.
func hasReps(s *segment.Session) bool {
	reps, _, _ := workTotals(s)
	return reps > 0
}

// wholeText is how far and how long a run was.
func wholeText(s *segment.Session, u figures.Unit) string {
	t := figures.Clock(s.Recording.Duration())
	if d := s.Distance(0, s.Recording.Duration()); figures.Known(d) && d > 0 {
		return u.Length(d) + " in " + t
	}
	return t + " of running"
}

// steadyPace is the mean pace of a run without its stops, s/km, and its
// standard error.
func steadyPace(s *segment.Session, from, to float64) (pace, se float64) {
	pace, se = s.Pace(from, to)
	stood := 0.0
	for _, x := range stopSpans(s) {
		stood += max(0, min(x.EndS, to)-max(x.StartS, from))
	}
	if whole := to - from; whole > 0 && stood < whole {
		return pace * (whole - stood) / whole, se
	}
	return math.NaN(), math.NaN()
}

// halves is how much slower the second half of the distance was run than the
// first, s/km, and half of the 95 % interval of that; NaN where it is not known.
func halves(s *segment.Session) (slower, margin float64) {
	end := s.Recording.Duration()
	d := s.Distance(0, end)
	if !figures.Known(d) || d <= 0 {
		return math.NaN(), math.NaN()
	}
	mid := reaches(s, d/2, 0, end)
	p1, se1 := steadyPace(s, 0, mid)
	p2, se2 := steadyPace(s, mid, end)
	return p2 - p1, trend.Z95 * math.Hypot(se1, se2)
}

// halvesText says how even a run was.
func halvesText(s *segment.Session, u figures.Unit) string {
	slower, margin := halves(s)
	if !figures.Known(slower) || !figures.Known(margin) {
		return ""
	}
	than, by := "slower", math.Abs(slower)
	if slower < 0 {
		than = "quicker"
	}
	// The figures are shown in whole seconds, the margin rounded up: what is called a
	// difference must look like one.
	if by <= margin || math.Round(by*u.PerKm()) <= math.Ceil(margin*u.PerKm()-1e-9) {
		return "both halves were at one pace, within" + u.MarginText(margin) + " " + u.Spoken()
	}
	return "the second half was " + u.Difference(by, margin) + " " + than + " than the first"
}

// stopsText says how often and how long a runner stood; empty for never.
func stopsText(s *segment.Session) string {
	stops := stopSpans(s)
	if len(stops) == 0 {
		return ""
	}
	return figures.Plural(len(stops), "stop") + ", " + figures.Clock(covered(stops, math.Inf(1))) + " in all"
}

// steadySentences say what a run without reps was: how even, and its stops.
func steadySentences(s *segment.Session, u figures.Unit) (said []string) {
	for _, x := range []string{halvesText(s, u), stopsText(s)} {
		if x != "" {
			said = append(said, figures.Sentence(x))
		}
	}
	return said
}

// steadyFigures are the key figures of a run without reps.
func steadyFigures(s *segment.Session, u figures.Unit) []report.Figure {
	var f []report.Figure
	if pace, se := steadyPace(s, 0, s.Recording.Duration()); figures.Known(pace) && pace < figures.Standing {
		f = append(f, report.Figure{Value: u.Pace(pace) + " " + u.Per() + " " + u.Margin(math.Hypot(se, s.ScaleSE*pace)), Name: "pace while moving"})
	}
	if slower, margin := halves(s); figures.Known(slower) && figures.Known(margin) {
		f = append(f, report.Figure{Value: u.SignedDifference(slower, margin), Name: "second half against the first"})
	}
	if stood := s.Recording.Duration() - movingSeconds(s); stood >= 1 {
		f = append(f, report.Figure{Value: figures.Clock(stood), Name: "standing"})
	}
	return f
}

// steadyCharts are the pictures of a run without reps: its kilometres, then its
// course.
func steadyCharts(s *segment.Session, parts []part, u figures.Unit) (charts []chart.Chart, caution string) {
	stretches := inside(s, 0, s.Recording.Duration(), "", u)
	course, caution := sessionChart(s, parts, u)
	if len(stretches) > 0 {
		charts = append(charts, stretches[0])
	}
	charts = append(charts, course...)
	if len(stretches) > 1 {
		charts = append(charts, stretches[1:]...)
	}
	return append(charts, timeBands(s, u)...), caution
}

// repCharts are the pictures of a session of reps: the reps, then what explains
// them.
func repCharts(s *segment.Session, parts []part, reps []repPoint, u figures.Unit, progression string) (charts []chart.Chart, caution string) {
	charts = repChart(reps, u, progression)
	charts = append(charts, overlaid(s, reps, u)...)
	course, caution := sessionChart(s, parts, u)
	charts = append(charts, course...)
	long := repPoint{}
	for _, r := range reps {
		if r.EndS-r.StartS > long.EndS-long.StartS {
			long = r
		}
	}
	if long.EndS > long.StartS {
		charts = append(charts, inside(s, long.StartS, long.EndS, long.name, u)...)
	}
	charts = append(charts, ledgerBar(s, u)...)
	return append(charts, timeBands(s, u)...), caution
}
