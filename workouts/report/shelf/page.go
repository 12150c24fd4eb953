package shelf

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// front opens the page of a history: how the last run went against the one
// before, and all of them in a picture.
func (h history) front(u figures.Unit) report.Front {
	f := report.Front{
		Byline: h.Entry.Name, Answer: h.answer(u), Heading: "Every time it was run",
		Facts: []report.Fact{{Name: "workout", Text: notation.Print(h.Entry.Workout)}},
		Lines: []string{},
	}
	for _, s := range h.sentences(u) {
		f.Lead = append(f.Lead, report.Sentence{Text: s})
	}
	n := len(h.Runs)
	if n == 0 {
		return f
	}
	last := h.Runs[n-1]
	add := func(value, name string) {
		if strings.TrimSpace(value) != "" {
			f.Figures = append(f.Figures, report.Figure{Value: value, Name: name})
		}
	}
	add(fmt.Sprint(n), map[bool]string{true: "time run", false: "times run"}[n == 1])
	if !math.IsNaN(last.Pace) {
		add(u.Pace(last.Pace)+" "+u.Per(), "pace of the last run")
		quickest := last
		for _, r := range h.Runs {
			if r.Place == last.Place && r.Done == r.Planned && r.Pace < quickest.Pace {
				quickest = r
			}
		}
		if quickest.Name != last.Name {
			add(u.Pace(quickest.Pace)+" "+u.Per(), "quickest "+inPlace(last.Place)+dayOf(quickest, ", "))
		}
	}
	add(fmt.Sprintf("%d of %d", last.Done, last.Planned), "reps run the last time")
	add(figures.Whole(last.HeartBPM), "heart rate in the last reps, beats/min")
	f.Charts = h.paceChart(u)
	if len(f.Charts) > 0 && !math.IsNaN(last.EqualPaceBPM) {
		f.Care = heartNote
	}
	return f
}

// dayOf is the date of a run behind a separator; empty when it has none.
func dayOf(r library.Run, separator string) string {
	if r.Start.IsZero() {
		return ""
	}
	return separator + r.Start.Format("2 Jan 2006")
}

// answer is the history in a few words.
func (h history) answer(u figures.Unit) string {
	n := len(h.Runs)
	if n == 0 {
		return "Never run"
	}
	v := h.Runs[n-1].Versus
	switch {
	case v == nil && n == 1:
		return "Run once"
	case v == nil:
		return fmt.Sprintf("Run %d times", n)
	}
	switch v.Call {
	case match.Level:
		return "Level with the time before" + dayOf(h.Runs[v.With], ", ")
	case match.Quicker, match.Slower:
		word := map[match.Call]string{match.Quicker: "Quicker", match.Slower: "Slower"}[v.Call]
		return fmt.Sprintf("%s by %s s%s than%s", word, figures.Whole(math.Abs(v.DeltaSPerKm)*u.PerKm()), u.Per(), dayOf(h.Runs[v.With], " on "))
	}
	return fmt.Sprintf("Run %d times", n)
}

var placeInks = map[recording.Place]chart.Ink{recording.Outdoors: chart.Outdoors, recording.Treadmill: chart.Treadmill,
	recording.Track: chart.Track, recording.Trail: chart.Trail, recording.PlaceUnknown: chart.Work}

// callOf is a word above the pace of a run, what can be said of it against the one before; x
// and room are in days.
func callOf(r library.Run, x, room float64) []chart.Layer {
	if r.Versus == nil || r.Versus.Call == match.NoCall {
		return nil
	}
	note := chart.Note{X: x, Y: math.NaN(), Text: string(r.Versus.Call), Anchor: chart.Middle, Up: -12, Room: room, Ink: chart.Faint}
	if r.Versus.Call != match.Level {
		note.Ink, note.Strong = chart.Text, true
	}
	return []chart.Layer{note}
}

// paceChart draws the paces from date to date with what can be said of each
// against the one before, and the heart rates at equal pace beneath. Runs
// without a date have no place in it.
func (h history) paceChart(u figures.Unit) []chart.Chart {
	runs := slices.DeleteFunc(slices.Clone(h.Runs), func(r library.Run) bool { return r.Start.IsZero() || math.IsNaN(r.Pace) })
	if len(runs) == 0 {
		return nil
	}
	days := make([]time.Time, len(runs))
	for i, r := range runs {
		days[i] = r.Start
	}
	day := func(r library.Run) float64 { return r.Start.Sub(runs[0].Start).Hours() / 24 }
	last := day(runs[len(runs)-1])
	room := max(0.5, 0.07*last)
	c := chart.Chart{Title: "From date to date", X: chart.Axis{From: -room, To: last + room, Scale: chart.Dates(days)}}
	pace := chart.Panel{Name: "pace " + u.Per() + ", quicker is higher", Height: 240}
	heart := chart.Panel{Name: "heart rate at equal pace, beats/min", Height: 110}
	var paces, beats bounds
	var texts []string
	places := placesOf(runs)
	var legend chart.Keys
	for _, place := range places {
		ink, beat := chart.Work, chart.Heart
		if len(places) > 1 {
			ink = placeInks[place]
			beat = ink
			legend = append(legend, chart.Key{Ink: ink, Text: placeWord(place)})
		}
		p, q := chart.Points{Ink: ink}, chart.Points{Ink: beat}
		for i, r := range runs {
			if r.Place != place {
				continue
			}
			margin := trend.Z95 * math.Hypot(r.PaceSE, r.Pace*r.OdometerSE(h.OdometerPct/100))
			p.X, p.Y = append(p.X, day(r)), append(p.Y, r.Pace)
			p.Low, p.High = append(p.Low, r.Pace-margin), append(p.High, r.Pace+margin)
			p.Labels = append(p.Labels, u.Pace(r.Pace))
			paces.add(r.Pace-margin, r.Pace+margin)
			if !math.IsNaN(r.EqualPaceBPM) {
				q.X, q.Y = append(q.X, day(r)), append(q.Y, r.EqualPaceBPM)
				q.Low, q.High = append(q.Low, r.EqualPaceBPM-trend.Z95*r.EqualPaceSE), append(q.High, r.EqualPaceBPM+trend.Z95*r.EqualPaceSE)
				beats.add(r.EqualPaceBPM-trend.Z95*r.EqualPaceSE, r.EqualPaceBPM+trend.Z95*r.EqualPaceSE)
			}
			from, to := -room, last+room // half way to its neighbours
			if i > 0 {
				from = (day(runs[i-1]) + day(r)) / 2
			}
			if i+1 < len(runs) {
				to = (day(r) + day(runs[i+1])) / 2
			}
			name, told := r.Start.Format(time.DateOnly), figuresOf(r, h, u)
			c.Marks = append(c.Marks, chart.Mark{X0: from, X1: to, Name: name, Figures: told, Focus: true, Kind: "run"})
			texts = append(texts, name+": "+strings.Join(told, ", ")+".")
			pace.Layers = append(pace.Layers, callOf(r, day(r), min(2*(day(r)-from), 2*(to-day(r))))...)
		}
		pace.Layers = append(pace.Layers, chart.Line{X: p.X, Y: p.Y, Ink: ink}, p)
		heart.Layers = append(heart.Layers, chart.Line{X: q.X, Y: q.Y, Ink: beat}, q)
	}
	slices.SortStableFunc(c.Marks, func(a, b chart.Mark) int { return cmp.Compare(a.X0, b.X0) })
	c.Text = "Pace of the work on each date. " + strings.Join(texts, " ")
	pad := max(0.1*(paces.high-paces.low), 2)
	pace.Y = chart.Axis{From: paces.high + pad, To: paces.low - 3*pad, Scale: chart.Pace(u.PerKm())}
	c.Panels = []chart.Panel{pace}
	c.Caption = fmt.Sprintf("Mean pace of the reps with its 95 %% margin, which counts that a device measures by %g %% differently from run to run. The word at the top compares a run with the one before in the same kind of place.", h.OdometerPct)
	if legend != nil {
		c.Panels = []chart.Panel{{Name: pace.Name, Height: chart.KeyRow, Layers: []chart.Layer{legend}}, pace}
		c.Panels[1].Name = ""
	}
	if beats.some {
		heart.Y = chart.Axis{From: beats.low - 2, To: beats.high + 2, Scale: chart.Numbers(0)}
		c.Panels = append(c.Panels, heart)
	}
	return []chart.Chart{c}
}

// figuresOf says how a run went.
func figuresOf(r library.Run, h history, u figures.Unit) []string {
	f := []string{u.Pace(r.Pace) + " " + u.Per() + " " + u.Margin(r.PaceSE) + " within the run"}
	if v := r.Versus; v != nil && v.Call != match.NoCall {
		f = append(f, fmt.Sprintf("%s with that of %s", v.Call, h.Runs[v.With].Start.Format(time.DateOnly)))
		if v.Call != match.Level {
			f[1] = fmt.Sprintf("%s than that of %s by %s %s s%s", v.Call, h.Runs[v.With].Start.Format(time.DateOnly), figures.Whole(math.Abs(v.DeltaSPerKm)*u.PerKm()), u.Margin(v.SE), u.Per())
		}
	}
	f = append(f, placeWord(r.Place), fmt.Sprintf("%d of %d reps", r.Done, r.Planned))
	if !math.IsNaN(r.EqualPaceBPM) {
		f = append(f, fmt.Sprintf("heart rate %s, at equal pace %s ±%.0f", figures.Whole(r.HeartBPM), figures.Whole(r.EqualPaceBPM), math.Ceil(trend.Z95*r.EqualPaceSE)))
	}
	return f
}

// placesOf lists the kinds of place in the order they first came.
func placesOf(runs []library.Run) []recording.Place {
	var places []recording.Place
	for _, r := range runs {
		if !slices.Contains(places, r.Place) {
			places = append(places, r.Place)
		}
	}
	return places
}

// bounds is the range of what was added.
type bounds struct {
	low, high float64
	some      bool
}

func (b *bounds) add(low, high float64) {
	if math.IsNaN(low) || math.IsNaN(high) {
		return
	}
	if !b.some {
		b.low, b.high, b.some = low, high, true
	}
	b.low, b.high = min(b.low, low), max(b.high, high)
}
