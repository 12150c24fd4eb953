package session

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report/chart"
)

// A part is a stretch of a run as the picture of it shows it.
type part struct {
	recording.Span
	role    segment.Role
	rep     int // 0 for none
	pace    float64
	target  match.Target
	name    string
	figures []string
}

// sessionChart draws pace over time, heart rate beneath it, and the parts of
// the run upon both. Without either there is no chart. The caution is the one that heart
// rate calls for.
func sessionChart(s *segment.Session, parts []part, u figures.Unit) (charts []chart.Chart, caution string) {
	c := chart.Chart{
		Title: "Pace and heart rate over time",
		X:     chart.Axis{From: 0, To: math.Max(1, s.Recording.Duration()), Scale: chart.Clock},
	}
	stops := stopSpans(s)
	pacePanel, paceText := pacePanel(s, parts, stops, u)
	heartPanel, heartText := heartPanel(s, parts, stops)
	switch {
	case pacePanel == nil && heartPanel == nil:
		return nil, ""
	case pacePanel == nil:
		c.Title = "Heart rate over time"
		c.Panels = []chart.Panel{*heartPanel}
	case heartPanel == nil:
		c.Title = "Pace over time"
		c.Panels = []chart.Panel{*pacePanel}
	default:
		c.Panels = []chart.Panel{*pacePanel, *heartPanel}
	}
	c.Caption, c.Text = partsText(parts, stops, u)
	c.Text = paceText + heartText + c.Text
	for _, p := range parts {
		c.Marks = append(c.Marks, p.mark())
	}
	if heartPanel != nil {
		caution = heartCaution
	}
	return []chart.Chart{c}, caution
}

// mark is the part as a mark, a rep as a stop of the Tab key.
func (p part) mark() chart.Mark {
	m := chart.Mark{X0: p.StartS, X1: p.EndS, Name: p.name, Figures: p.figures}
	if p.role == segment.Work {
		m.Focus, m.Kind = true, "rep"
	}
	return m
}

// stopSpans are the stops that the device or Split saw.
func stopSpans(s *segment.Session) []recording.Span {
	spans := slices.Clone(s.Recording.Stops)
	for _, x := range s.Segments {
		if x.Role == segment.Stop {
			spans = append(spans, recording.Span{StartS: x.StartS, EndS: x.EndS})
		}
	}
	spans = slices.DeleteFunc(spans, func(x recording.Span) bool { return !(x.EndS-x.StartS >= 2) })
	slices.SortFunc(spans, func(a, b recording.Span) int { return cmp.Compare(a.StartS, b.StartS) })
	var apart []recording.Span
	for _, x := range spans {
		if n := len(apart); n > 0 && x.StartS <= apart[n-1].EndS {
			apart[n-1].EndS = max(apart[n-1].EndS, x.EndS)
			continue
		}
		apart = append(apart, x)
	}
	return apart
}

// partsText says what is shaded, as a caption and in full.
func partsText(parts []part, stops []recording.Span, u figures.Unit) (caption, text string) {
	reps, targets := 0, false
	var quickest, slowest float64 = math.Inf(1), 0
	for _, p := range parts {
		if p.role != segment.Work {
			continue
		}
		reps++
		targets = targets || p.target.Kind == match.HeartTarget || figures.Known(p.target.LowSPerKm) && p.target.LowSPerKm > 0
		if figures.Known(p.pace) && p.pace > 0 && p.pace < figures.Standing {
			quickest, slowest = min(quickest, p.pace), max(slowest, p.pace)
		}
	}
	if reps > 0 {
		caption = "Reps are shaded and numbered"
		text = " Shaded: " + figures.Plural(reps, "rep")
		if slowest > 0 {
			caption += ", their mean pace is the thick line"
			text += ", the quickest at " + u.Pace(quickest) + ", the slowest at " + u.Pace(slowest) + " " + u.Per()
		}
		caption += "."
		text += "."
	}
	if targets {
		caption += " Green bands are the targets with their tolerance."
		text += " Bands show the targets with their tolerance."
	}
	if len(stops) > 0 {
		caption += " Gaps on grey are stops."
		text += " " + figures.Sentence(figures.Plural(len(stops), "stop")+", "+figures.Clock(covered(stops, math.Inf(1)))+" in all")
	}
	return caption, text + " The table has every figure."
}

// shades are the grounds that both panels have.
func shades(parts []part, stops []recording.Span) []chart.Layer {
	nan := math.NaN()
	var layers []chart.Layer
	for _, p := range parts {
		if p.role == segment.Work {
			layers = append(layers, chart.Box{X0: p.StartS, X1: p.EndS, Y0: nan, Y1: nan, Ink: chart.Work, Wash: true})
		}
	}
	for _, x := range stops {
		layers = append(layers, chart.Box{X0: x.StartS, X1: x.EndS, Y0: nan, Y1: nan, Ink: chart.Stop, Wash: true})
	}
	return layers
}

// pacePanel draws speed on an axis with paces; nil when nothing is known of it.
func pacePanel(s *segment.Session, parts []part, stops []recording.Span, u figures.Unit) (*chart.Panel, string) {
	x, speed := speedTrace(s, stops)
	var moving []float64
	for _, v := range speed {
		if v > figures.Strolling {
			moving = append(moving, v)
		}
	}
	if len(moving) < 2 {
		return nil, ""
	}
	slices.Sort(moving)
	slowest, quickest := quantile(moving, 0.03), quantile(moving, 0.998)
	reps := slices.DeleteFunc(slices.Clone(parts), func(p part) bool { return p.role != segment.Work })
	low, high := repSpeeds(reps, slowest, quickest)
	pad := max(0.06*(high-low), 0.1)
	low, high = max(0, low-pad), high+1.8*pad // the numbers of the reps stand at the top
	p := &chart.Panel{
		Name: "pace " + u.Per() + ", quicker is higher", Height: 230,
		Y:      chart.Axis{From: low, To: high, Scale: chart.SpeedAsPace(u.PerKm())},
		Layers: shades(parts, stops),
	}
	var edges []chart.Layer
	for _, q := range reps {
		band, lines := targetLayers(q, func(pace float64) float64 { return 1000 / pace })
		p.Layers, edges = append(p.Layers, band...), append(edges, lines...)
	}
	p.Layers = append(p.Layers, edges...)
	numbers := chart.Row{Ink: chart.Text}
	p.Layers = append(p.Layers, chart.Line{X: x, Y: speed, Ink: chart.Trace, Width: 1.1})
	for _, q := range reps {
		if v := 1000 / q.pace; figures.Known(v) && v > 0 {
			p.Layers = append(p.Layers, chart.Line{X: []float64{q.StartS, q.EndS}, Y: []float64{v, v}, Ink: chart.Work, Width: 3})
		}
		label := "+"
		if q.rep > 0 {
			label = figures.Decimal(float64(q.rep), 0)
		}
		numbers.X, numbers.Words = append(numbers.X, (q.StartS+q.EndS)/2), append(numbers.Words, label)
	}
	p.Layers = append(p.Layers, numbers)
	return p, "Pace over " + figures.Clock(s.Recording.Duration()) + ", between " + u.Pace(1000/slowest) + " and " +
		u.Pace(1000/quickest) + " " + u.Per() + "."
}

// repSpeeds widens a range of speeds, in m/s, to hold the reps and their targets.
func repSpeeds(reps []part, low, high float64) (from, to float64) {
	for _, p := range reps {
		for _, pace := range []float64{p.pace, p.target.LowSPerKm - p.target.Tolerance, p.target.HighSPerKm + p.target.Tolerance} {
			if v := 1000 / pace; figures.Known(v) && v > figures.Strolling && v < 12 {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	return low, high
}

// targetLayers draw what was asked of a rep, a band and its edges, in the units that y makes
// of a pace in s/km.
func targetLayers(p part, y func(pace float64) float64) (band, edges []chart.Layer) {
	t := p.target
	low, high := y(t.LowSPerKm-t.Tolerance), y(t.HighSPerKm+t.Tolerance)
	if !figures.Known(low) || !figures.Known(high) || t.LowSPerKm <= t.Tolerance {
		return nil, nil
	}
	band = []chart.Layer{chart.Box{X0: p.StartS, X1: p.EndS, Y0: low, Y1: high, Ink: chart.Target, Wash: true}}
	for _, edge := range slices.Compact([]float64{y(t.LowSPerKm), y(t.HighSPerKm)}) {
		edges = append(edges, chart.Line{X: []float64{p.StartS, p.EndS}, Y: []float64{edge, edge}, Ink: chart.Target, Width: 1.5})
	}
	return band, edges
}

// speedTrace is the speed in m/s at the middle of each second, NaN where it is
// not known and in stops.
func speedTrace(s *segment.Session, stops []recording.Span) (x, speed []float64) {
	tr := s.Trace
	if tr.Source == signal.Nothing {
		return nil, nil
	}
	shift := 0.5
	if !tr.Device {
		shift -= tr.DelayS
	}
	x, speed = make([]float64, len(tr.Speed)), slices.Clone(tr.Speed)
	for i := range speed {
		x[i] = float64(i) + shift
		if i < len(tr.Known) && !tr.Known[i] || i < len(tr.Timer) && !tr.Timer[i] {
			speed[i] = math.NaN()
		}
	}
	for _, stop := range stops {
		for i := max(0, int(stop.StartS)); i < len(speed) && float64(i) < stop.EndS; i++ {
			speed[i] = math.NaN()
		}
	}
	return x, speed
}

// heartPanel draws heart rate; nil when there is none.
func heartPanel(s *segment.Session, parts []part, stops []recording.Span) (*chart.Panel, string) {
	beats := s.Trace.HeartRate
	var sorted, x []float64
	for i, v := range beats {
		x = append(x, float64(i)+0.5)
		if figures.Known(v) {
			sorted = append(sorted, v)
		}
	}
	if len(sorted) < 2 {
		return nil, ""
	}
	slices.Sort(sorted)
	low, high := quantile(sorted, 0.01), sorted[len(sorted)-1]
	text := " Heart rate beneath, up to " + figures.Beats(high) + " beats/min."
	for _, p := range parts {
		for _, v := range []float64{p.target.LowBPM, p.target.HighBPM} {
			if v > 0 && figures.Known(v) {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	low, high = max(0, low-4), high+4
	p := &chart.Panel{Name: "heart rate, beats/min", Height: 110, Y: chart.Axis{From: low, To: high, Scale: chart.Numbers(0)}, Layers: shades(parts, stops)}
	for _, q := range parts {
		t := q.target
		if t.Kind != match.HeartTarget {
			continue
		}
		b := chart.Box{X0: q.StartS, X1: q.EndS, Y0: math.NaN(), Y1: math.NaN(), Ink: chart.Target, Wash: true}
		for _, edge := range []struct {
			y  *float64
			at float64
		}{{&b.Y0, t.LowBPM}, {&b.Y1, t.HighBPM}} {
			if edge.at > 0 && figures.Known(edge.at) {
				*edge.y = edge.at
				p.Layers = append(p.Layers, chart.Line{X: []float64{q.StartS, q.EndS}, Y: []float64{edge.at, edge.at}, Ink: chart.Target, Width: 1.5})
			}
		}
		p.Layers = append(p.Layers, b)
	}
	p.Layers = append(p.Layers, chart.Line{X: x, Y: beats, Ink: chart.Heart, Width: 1.5})
	return p, text
}

// quantile of sorted values, the nearest of them.
func quantile(sorted []float64, q float64) float64 {
	return sorted[int(math.Round(q*float64(len(sorted)-1)))]
}

// Plot is the picture of a session that stands alone: pace and heart rate over
// time, the reps shaded, under a title. It fails when the recording has neither.
func Plot(s *segment.Session, o Options) (chart.Chart, error) {
	u := sessionUnit(s, o)
	c, err := alone(s, segmentParts(s, u), u)
	if err == nil && len(s.Structure) > 0 {
		c.Title += ": " + structureText(u, s.Structure)
	}
	return c, err
}

// PlotCheck is the picture of a check that stands alone: the session of Plot with
// the targets of the plan. It fails when the recording has neither pace nor heart
// rate.
func PlotCheck(res *match.Result, s *segment.Session, o Options) (chart.Chart, error) {
	u := planUnit(res.Plan, o)
	parts, _ := resultParts(res, s, u)
	if res.Verdict == match.Different {
		parts = segmentParts(s, u)
	}
	c, err := alone(s, parts, u)
	if err == nil {
		c.Title += ": " + verdictWords[res.Verdict]
		c.Text = verdictWords[res.Verdict] + ". " + c.Text
	}
	return c, err
}

// alone is the picture of parts of a session, titled with its name.
func alone(s *segment.Session, parts []part, u figures.Unit) (chart.Chart, error) {
	charts, _ := sessionChart(s, parts, u)
	if len(charts) == 0 {
		return chart.Chart{}, errors.New("it has neither pace nor heart rate to draw")
	}
	c := charts[0]
	c.Title = s.Recording.Name
	c.Text = runLine(s, u) + ". " + c.Text
	return c, nil
}

// PlotPlan is the picture of a plan: its steps as a bar over time in the order
// they are to be run, with the targets of the reps. It fails when no step has a
// length.
func PlotPlan(w workouts.Workout, a athlete.Athlete) (chart.Chart, error) {
	resolved, _ := a.Resolve(w)
	u := planUnit(resolved, Options{Miles: a.Miles})
	outline := a.Outline(w)
	var l chart.LedgerSession
	for _, x := range outline.Steps {
		p := chart.LedgerPart{Word: roleWords[x.Role], Ink: partInks[x.Role], Seconds: x.Seconds.Value}
		if x.Role == segment.Work {
			p.Word = repName(x.Set, x.Rep, false)
			p.Kind = "rep"
		}
		p.Short = goalText(x.Planned, u)
		p.Distance = strings.TrimSpace(stepWords(x.Step) + " " + p.Short)
		if p.Short == "" {
			p.Short = stepWords(x.Step)
		}
		l.Parts = append(l.Parts, p)
	}
	c, ok := chart.LedgerBars([]chart.LedgerSession{l})
	if !ok {
		return c, errors.New("no step of it has a time or a distance to draw")
	}
	c.Title = notation.Print(w)
	if w.Name != "" {
		c.Title = w.Name + ": " + c.Title
	}
	c.Caption = "Bars are as long as the time that a step is to take; its amount and its target stand beneath."
	c.Text = askedText(outline, u) + " " + c.Text
	return c, nil
}
