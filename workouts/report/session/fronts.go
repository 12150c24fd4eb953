package session

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// splitFront opens the page of a session with its structure.
func splitFront(s *segment.Session, written string, u figures.Unit) report.Front {
	parts := segmentParts(s, u)
	accounts := ledger(s)
	f := report.Front{Byline: s.Recording.Name, Lines: []string{runLine(s, u)}, Heading: "Part by part"}
	if len(accounts) > 1 { // one part is the run, which is told already
		f.Tables = []report.Table{ledgerTable(accounts, u)}
	}
	if !hasReps(s) {
		f.Answer, f.Figures = wholeText(s, u), append(steadyFigures(s, u), heartFigure(s)...)
		for _, x := range steadySentences(s, u) {
			f.Lead = append(f.Lead, report.Sentence{Text: x})
		}
		f.Charts, f.Care = steadyCharts(s, parts, u)
		return f
	}
	f.Answer, f.Lead = written, []report.Sentence{{Text: workLine(s, u)}}
	if written == "" {
		f.Answer, f.Lead = strings.TrimSuffix(workLine(s, u), "."), []report.Sentence{}
	}
	if other := rival(s, u); other != "" {
		f.Facts = []report.Fact{{Name: "or", Text: other + " (" + figures.Decimal(100*s.Sure, 0) + " % for the first)"}}
	}
	f.Figures = append(workFigures(s, u), heartFigure(s)...)
	f.Charts, f.Care = repCharts(s, parts, foundPoints(s, parts), u, "")
	return f
}

// foundPoints are the reps that were found as points of a picture.
func foundPoints(s *segment.Session, parts []part) []repPoint {
	var reps []repPoint
	for i, x := range s.Segments {
		if x.Role == segment.Work {
			reps = append(reps, repPoint{part: parts[i], set: x.Set, se: x.WithinSE, fit: math.NaN()})
			continue
		}
		if n := len(reps); n > 0 && x.Role == segment.Recovery {
			reps[n-1].recovery += x.Seconds()
		}
	}
	return reps
}

// checkFront opens the page of a check with the verdict.
func checkFront(res *match.Result, s *segment.Session, plan string, o Options, r *report.Report, u figures.Unit) report.Front {
	f := report.Front{Byline: s.Recording.Name, Answer: verdictWords[res.Verdict]}
	if res.Verdict != match.AsPlanned {
		f.Style = report.Alert
	}
	for _, x := range r.Answer {
		x.Text = strings.TrimPrefix(x.Text, verdictWords[res.Verdict]+": ")
		if x.Text = figures.Sentence(x.Text); x.Text != figures.Sentence(f.Answer) {
			f.Lead = append(f.Lead, report.Sentence{Text: x.Text})
		}
	}
	for _, x := range r.Said {
		if x.Text != foundText(res) { // which stands below the plan
			f.Lead = append(f.Lead, x)
		}
	}
	var progressions []string
	for _, p := range res.Progressions {
		if s := progressionText(res, p, u); s != "" {
			progressions = append(progressions, figures.Sentence(s))
		}
	}
	found := "no session structure"
	if len(s.Structure) > 0 {
		found = structureText(u, s.Structure)
	}
	f.Facts = []report.Fact{{Name: "planned", Text: plan}, {Name: "found", Text: found}}
	if o.RecordedPlan {
		f.Facts[0].Name = "planned, in the recording"
	}
	shown, points := resultParts(res, s, u)
	fits(points, res)
	key := checkFigures(res, s.ScaleSE, u)
	if res.Verdict == match.Different { // of which there is no more than what was run
		shown = segmentParts(s, u)
		points, key = foundPoints(s, shown), workFigures(s, u)
	}
	f.Figures = append(key, heartFigure(s)...)
	f.Charts, f.Care = repCharts(s, shown, points, u, strings.Join(progressions, " "))
	accounts := ledger(s)
	f.Heading = "Rep by rep"
	if len(accounts) > 1 {
		f.Tables = []report.Table{ledgerTable(accounts, u)}
	}
	return f
}

// workFigures are the sums of the work, or those of a run without any.
func workFigures(s *segment.Session, u figures.Unit) []report.Figure {
	reps, t, d := workTotals(s)
	if reps == 0 {
		return steadyFigures(s, u)
	}
	f := []report.Figure{{Value: strconv.Itoa(reps), Name: strings.TrimPrefix(figures.Plural(reps, "rep"), strconv.Itoa(reps)+" ")}, {Value: figures.Clock(t), Name: "time of work"}}
	if figures.Known(d) && d > 0 {
		sum := 0.0 // of the squares of the errors of the distances, m
		for _, x := range s.Segments {
			if x.Role == segment.Work && figures.Known(x.WithinSE) {
				sum += math.Pow(x.DistanceM*x.WithinSE/x.Pace, 2)
			}
		}
		pace := 1000 * t / d
		f = append(f, report.Figure{Value: paceFigure(pace, math.Hypot(pace*math.Sqrt(sum)/d, s.ScaleSE*pace), u), Name: "pace of the work"}, report.Figure{Value: u.Length(d), Name: "distance of work"})
	}
	return f
}

// paceFigure is a pace with its margin.
func paceFigure(pace, se float64, u figures.Unit) string {
	return strings.TrimSpace(u.Pace(pace) + " " + u.Per() + " " + u.Margin(se))
}

// checkFigures sum the reps up against the plan.
// Branches: each figure is told only where it is known.
func checkFigures(res *match.Result, scaleSE float64, u figures.Unit) []report.Figure {
	planned, done, targets, kept := 0, 0, 0, 0
	var drifts []float64
	var t, d, sum float64 // sum of the squares of the errors of the distances, m
	for _, r := range res.Reps {
		if r.Step >= 0 {
			planned++
			if r.Outcome == match.Done {
				done++
			}
		}
		if figures.Known(r.Drift) {
			drifts = append(drifts, r.Drift)
			targets++
			if r.OnTarget == match.Level {
				kept++
			}
		}
		if figures.Known(r.DistanceM) && r.DistanceM > 0 && figures.Known(r.Pace) {
			t, d = t+r.Seconds(), d+r.DistanceM
			if figures.Known(r.PaceSE) && r.Pace > 0 {
				sum += math.Pow(r.DistanceM*r.PaceSE/r.Pace, 2)
			}
		}
	}
	of := func(n, all int) string { return strconv.Itoa(n) + " of " + strconv.Itoa(all) }
	var f []report.Figure
	if planned > 0 {
		f = append(f, report.Figure{Value: of(done, planned), Name: "planned reps run"})
	}
	if targets > 0 {
		slices.Sort(drifts)
		f = append(f, report.Figure{Value: of(kept, targets), Name: "on target"})
	}
	if d > 0 {
		pace := 1000 * t / d
		f = append(f, report.Figure{Value: paceFigure(pace, math.Hypot(pace*math.Sqrt(sum)/d, scaleSE*pace), u), Name: "pace of the work"})
	}
	if targets > 0 {
		f = append(f, report.Figure{Value: figures.Signed(u.PerKm()*quantile(drifts, 0.5), 0) + " " + u.Spoken(), Name: "middle drift from target"})
	}
	if p := res.Progression; p.Compared > 0 {
		f = append(f, report.Figure{Value: of(p.QuickerThanPrevious, p.Compared), Name: "quicker than the one before"})
	}
	return f
}

// heartFigure is the highest heart rate, if there is one.
func heartFigure(s *segment.Session) []report.Figure {
	highest := 0.0
	for _, x := range s.Segments {
		if figures.Known(x.HRMax) {
			highest = max(highest, x.HRMax)
		}
	}
	if text := figures.Beats(highest); text != "" {
		return []report.Figure{{Value: text, Name: "highest heart rate, beats/min"}}
	}
	return nil
}

// segmentParts are the segments as parts of the picture, one for each.
func segmentParts(s *segment.Session, u figures.Unit) []part {
	var parts []part
	for _, x := range s.Segments {
		p := part{Span: recording.Span{StartS: x.StartS, EndS: x.EndS}, role: x.Role, pace: x.Pace, name: roleWords[x.Role]}
		if x.Role == segment.Work {
			p.rep, p.name = x.Rep, repName(x.Set, x.Rep, sets(s) > 1)
		}
		p.figures = spanFigures(x.Pace, x.WithinSE, x.Seconds(), x.DistanceM, u)
		p.figures = append(p.figures, beatsFigures(x.HRAvg, x.HREnd)...)
		parts = append(parts, p)
	}
	return parts
}

// resultParts are the planned steps, and the reps, as parts of the picture in
// the order they were run; and the reps as points, one for each.
func resultParts(res *match.Result, s *segment.Session, u figures.Unit) ([]part, []repPoint) {
	var parts []part
	var points []repPoint
	several := repSets(res) > 1
	rest := func(x match.Span, role segment.Role) {
		if x.EndS > x.StartS {
			parts = append(parts, part{
				Span: recording.Span{StartS: x.StartS, EndS: x.EndS}, role: role, pace: x.Pace, name: roleWords[role],
				figures: spanFigures(x.Pace, x.PaceSE, x.Seconds(), x.DistanceM, u),
			})
		}
	}
	for _, x := range res.Steps {
		rest(x.Span, x.Planned.Role)
	}
	for _, r := range res.Reps {
		p := part{
			Span: recording.Span{StartS: r.StartS, EndS: r.EndS}, role: segment.Work, rep: r.Rep, pace: r.Pace,
			target: r.Target, name: repName(r.Set, r.Rep, several),
		}
		if r.Outcome != match.Done {
			p.figures = append(p.figures, string(r.Outcome))
		}
		p.figures = append(p.figures, spanFigures(r.Pace, r.PaceSE, r.Seconds(), r.DistanceM, u)...)
		if text := targetText(r, u); text != "" {
			p.figures = append(p.figures, "target "+text)
		}
		if figures.Known(r.Drift) {
			p.figures = append(p.figures, strings.TrimSpace("drift "+figures.Signed(r.Drift*u.PerKm(), 0)+" "+u.Spoken()+" "+driftWord(r)))
		}
		if text, with, _ := strings.Cut(previousText(res, r, u), " ("); text != "" {
			if text != "~" {
				text += " " + u.Spoken()
			}
			if text += " against "; with == "" {
				text += "the one before"
			} else {
				text += "rep " + strings.TrimSuffix(with, ")")
			}
			p.figures = append(p.figures, text)
		}
		p.figures = append(p.figures, beatsFigures(r.HRAvg, r.HREnd)...)
		point := repPoint{part: p, set: r.Set, se: r.PaceSE, missed: r.Outcome == match.Missed, cut: r.Outcome == match.Short, fit: math.NaN()}
		points = append(points, point.around(r))
		if r.EndS > r.StartS {
			parts = append(parts, p)
		}
		if r.Recovery != nil && r.Recovery.Step < 0 {
			rest(r.Recovery.Span, segment.Recovery)
		}
	}
	slices.SortStableFunc(parts, func(a, b part) int {
		if a.StartS < b.StartS {
			return -1
		}
		return 1
	})
	return parts, points
}

// around adds what stands around a rep: the recovery after it, and its planned end.
func (p repPoint) around(r match.Rep) repPoint {
	if r.Recovery != nil && r.Recovery.EndS > r.Recovery.StartS {
		p.recovery = r.Recovery.EndS - r.Recovery.StartS
	}
	if r.AmountUnit == "s" && r.Step >= 0 {
		p.plannedS = r.Seconds() - r.AmountDrift
	}
	return p
}

// repName is "rep 3", or "set 2, rep 3"; an extra rep has no number.
func repName(set, rep int, several bool) string {
	name := "extra rep"
	if rep > 0 {
		name = "rep " + strconv.Itoa(rep)
	}
	if several && set > 0 {
		return "set " + strconv.Itoa(set) + ", " + name
	}
	return name
}

// spanFigures are the figures of a stretch, without those not known.
func spanFigures(pace, se, seconds, metres float64, u figures.Unit) []string {
	var f []string
	if text := u.Pace(pace); text != "" && text != "stood" {
		f = append(f, strings.TrimSpace(text+" "+u.Per()+" "+u.Margin(se)))
	}
	for _, text := range []string{figures.Clock(seconds), u.Stretch(metres)} {
		if text != "" {
			f = append(f, text)
		}
	}
	return f
}

func beatsFigures(average, end float64) []string {
	var f []string
	if text := figures.Beats(average); text != "" {
		f = append(f, "heart rate "+text)
	}
	if text := figures.Beats(end); text != "" {
		f = append(f, text+" at the end")
	}
	return f
}
