package session

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// layers gives the layers of one type, in order.
func layers[T chart.Layer](p chart.Panel) (list []T) {
	for _, l := range p.Layers {
		switch x := l.(type) {
		case T:
			list = append(list, x)
		}
	}
	return list
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// The picture of the reps holds each pace with 1.96 standard errors on either
// side (the normal quantile at 0.975, from any table), the target with its
// tolerance, and the monotone course.
func TestRepChart(t *testing.T) {
	res, s := demoResult()
	res.Progressions[0].Fit = []float64{250, 238.1, 238.1}
	res.Reps = append(res.Reps, match.Rep{
		Step: 7, Set: 1, Rep: 4, Outcome: match.Missed, Span: match.Span{StartS: math.NaN(), EndS: math.NaN(), Pace: math.NaN(), PaceSE: math.NaN(), DistanceM: math.NaN()},
		Target: match.Target{Kind: match.PaceTarget, LowSPerKm: 225, HighSPerKm: 225, Tolerance: 7}, Drift: math.NaN(),
	})
	charts := Check(forPage(res, s)).Front.Charts
	c := charts[slices.IndexFunc(charts, func(c chart.Chart) bool { return c.Title == "The reps" })]
	p := c.Panels[0]
	points := layers[chart.Points](p)[0]
	for i, r := range res.Reps[:3] {
		if !near(points.Y[i], r.Pace) || !near(points.Low[i], r.Pace-trend.Z95*r.PaceSE) || !near(points.High[i], r.Pace+trend.Z95*r.PaceSE) {
			t.Errorf("rep %d: %v from %v to %v, want %v ± 1.96 x %v", i+1, points.Y[i], points.Low[i], points.High[i], r.Pace, r.PaceSE)
		}
	}
	if want := []string{"4:10", "3:58", "3:58", ""}; !slices.Equal(points.Labels, want) {
		t.Errorf("labels %q, want %q", points.Labels, want)
	}
	boxes := layers[chart.Box](p)
	if len(boxes) != 4 {
		t.Fatalf("%d targets, want 4", len(boxes))
	}
	for i, b := range boxes {
		target := res.Reps[i].Target
		if !near(b.Y0, target.LowSPerKm-7) || !near(b.Y1, target.LowSPerKm+7) || b.X0 >= float64(i+1) || b.X1 <= float64(i+1) {
			t.Errorf("target %d: %+v", i+1, b)
		}
	}
	lines := layers[*chart.Line](p)
	if len(lines) != 1 || !slices.Equal(lines[0].Y, res.Progressions[0].Fit) || !slices.Equal(lines[0].X, points.X[:3]) {
		t.Errorf("the monotone course: %+v", lines)
	}
	if p.Y.From <= p.Y.To {
		t.Error("quicker is not higher")
	}
	notes := layers[chart.Note](p)
	if len(notes) != 1 || notes[0].Text != "missed" || !near(notes[0].X, points.X[3]) {
		t.Errorf("notes %+v", notes)
	}
	for _, want := range []string{"4 reps at 4:10 ±1, 3:58 ±1, 3:58 ±1, missed /km", "got quicker over the session by 12 ±3 s/km"} {
		if !strings.Contains(c.Text, want) {
			t.Errorf("the text alternative has no %q: %s", want, c.Text)
		}
	}
	if len(c.Marks) != 4 || !strings.Contains(strings.Join(c.Marks[1].Figures, " "), "3:58 /km ±1 2:00 504 m target 4:00 drift -2 s/km -12 ±2 s/km against the one before") {
		t.Errorf("marks %+v", c.Marks)
	}
}

// The picture over time has the speed where it was run, nothing in stops, the
// mean of each rep at its pace, and targets where the reps are.
func TestSessionChart(t *testing.T) {
	res, s := demoResult()
	s.Recording.Stops = []recording.Span{{StartS: 100, EndS: 130}, {StartS: 120, EndS: 140}, {StartS: 500, EndS: 501}}
	s.Trace.HeartRate = make([]float64, len(s.Trace.Speed))
	for i := range s.Trace.HeartRate {
		s.Trace.HeartRate[i] = 120 + float64(i)/60
	}
	s.Trace.Known[300] = false
	s.Trace.DelayS, s.Trace.Source = 2, signal.Odometer
	charts := Check(forPage(res, s)).Front.Charts
	c := charts[slices.IndexFunc(charts, func(c chart.Chart) bool { return c.Title == "Pace and heart rate over time" })]
	p := c.Panels[0]
	lines := layers[chart.Line](p)
	trace := lines[slices.IndexFunc(lines, func(l chart.Line) bool { return l.Ink == chart.Trace })]
	for i, v := range trace.Y {
		gap := i >= 100 && i < 140 || i == 300
		if math.IsNaN(v) != gap || !gap && v != s.Trace.Speed[i] || trace.X[i] != float64(i)+0.5-2 {
			t.Fatalf("second %d: %v at %v", i, v, trace.X[i])
		}
	}
	var means []chart.Line
	for _, l := range lines {
		if l.Ink == chart.Work {
			means = append(means, l)
		}
	}
	for i, speed := range []float64{4, 4.2, 4.2} {
		if l := means[i]; !near(l.Y[0], speed) || !near(l.X[0], res.Reps[i].StartS) || !near(l.X[1], res.Reps[i].EndS) {
			t.Errorf("mean of rep %d: %+v", i+1, l)
		}
	}
	shaded, targets, stops := 0, 0, 0
	for _, b := range layers[chart.Box](p) {
		switch b.Ink {
		case chart.Work:
			shaded++
		case chart.Target:
			if want := 1000 / (res.Reps[targets].Target.LowSPerKm - 7); !near(b.Y0, want) || b.X0 != res.Reps[targets].StartS {
				t.Errorf("target %d: %+v, want %v", targets, b, want)
			}
			targets++
		case chart.Stop:
			stops++
		}
	}
	if shaded != 3 || targets != 3 || stops != 1 {
		t.Errorf("%d reps, %d targets, %d stops, want 3, 3 and 1", shaded, targets, stops)
	}
	if row := layers[chart.Row](p); len(row) != 1 || !slices.Equal(row[0].Words, []string{"1", "2", "3"}) {
		t.Errorf("numbers %+v", row)
	}
	if heart := layers[chart.Line](c.Panels[1])[0]; !slices.Equal(heart.Y, s.Trace.HeartRate) {
		t.Error("another heart rate")
	}
	for _, want := range []string{"Heart rate beneath, up to 143 beats/min", "3 reps", "quickest at 3:58", "slowest at 4:10 /km", "1 stop, 0:40 in all"} {
		if !strings.Contains(c.Text, want) {
			t.Errorf("the text alternative has no %q: %s", want, c.Text)
		}
	}
}

// Sets stand apart, each with its own course.
func TestRepChartSets(t *testing.T) {
	var reps []repPoint
	for i := range 6 {
		reps = append(reps, repPoint{part: part{rep: i + 1, pace: 250 - float64(i)}, set: 1 + i/3, se: 1, fit: 250 - float64(i)})
	}
	p := repChart(reps, figures.Kilometre, "")[0].Panels[0]
	lines := layers[*chart.Line](p)
	if len(lines) != 2 || len(lines[0].X) != 3 || len(lines[1].X) != 3 {
		t.Fatalf("courses %+v", lines)
	}
	if x := layers[chart.Points](p)[0].X; x[3]-x[2] <= x[2]-x[1] {
		t.Errorf("sets are not apart: %v", x)
	}
	notes := layers[chart.Note](p)
	if len(notes) != 2 || notes[0].Text != "set 1" || notes[1].Text != "set 2" || notes[0].X >= notes[1].X {
		t.Errorf("notes %+v", notes)
	}
	if repChart(reps[:1], figures.Kilometre, "") != nil {
		t.Error("a picture of one rep")
	}
}
