package session

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// demoSession is made by hand: 10 min warm-up at 3 m/s, 3 x 2 min at 4, 4.2
// and 4.2 m/s off 60 s at 2 m/s, 5 min cool-down at 3 m/s.
func demoSession() *segment.Session {
	nan := math.NaN()
	rec := &recording.Recording{
		Name: "Läufe 1.fit", Format: "simulated", Sport: recording.Running, Place: recording.Outdoors,
		Start: time.Date(2026, 3, 3, 18, 2, 0, 0, time.UTC),
		T:     []float64{0, 1380},
		Warnings: []recording.Warning{
			{Code: "gap", Message: "no records here", StartS: 700, EndS: 703},
			{Code: "clock-not-set", Message: "the clock had not been set", StartS: nan, EndS: nan},
		},
	}
	s := &segment.Session{Recording: rec, Trace: &signal.Trace{Dist: []float64{0}}, ScaleSE: 0.016, Sure: 0.97}
	at := 0.0
	add := func(role segment.Role, set, rep int, dur, speed, hr float64) {
		seg := segment.Segment{
			Role: role, Set: set, Rep: rep, StartS: at, EndS: at + dur, StartSE: 0.8, EndSE: 0.8,
			DistanceM: dur * speed, Pace: 1000 / speed, PaceSE: 4, WithinSE: 10 / dur * 1000 / speed / 100,
			HRAvg: hr - 10, HRMax: hr, HREnd: hr, CadenceAvg: nan,
		}
		s.Segments = append(s.Segments, seg)
		for range int(dur) {
			s.Trace.Speed = append(s.Trace.Speed, speed)
			s.Trace.Known = append(s.Trace.Known, true)
			s.Trace.Dist = append(s.Trace.Dist, s.Trace.Dist[len(s.Trace.Dist)-1]+speed)
		}
		at += dur
	}
	add(segment.Warm, 0, 0, 600, 3, 140)
	add(segment.Work, 1, 1, 120, 4, 165)
	add(segment.Recovery, 1, 1, 60, 2, 150)
	add(segment.Work, 1, 2, 120, 4.2, 170)
	add(segment.Recovery, 1, 2, 60, 2, 152)
	add(segment.Work, 1, 3, 120, 4.2, 172)
	add(segment.Cool, 0, 0, 300, 3, 145)
	s.Structure = []segment.Block{
		{Count: 1, Role: segment.Warm, Amount: segment.Amount{Seconds: 600}, Pace: nan},
		{
			Count: 3, Role: segment.Work, Amount: segment.Amount{Seconds: 120}, Pace: 242,
			Rest: &segment.Block{Count: 1, Role: segment.Recovery, Amount: segment.Amount{Seconds: 60}, Pace: nan},
		},
		{Count: 1, Role: segment.Cool, Amount: segment.Amount{Seconds: 300}, Pace: nan},
	}
	s.Warnings = append(rec.Warnings[:1:1], recording.Warning{Code: "no-cadence", Message: "no cadence in the file", StartS: 5, EndS: 5})
	return s
}

func demoSplit() *report.Report { return Split(demoSession(), Options{}) }

// demoResult holds the same session against 4:10 -> 3:50/km, with the third
// rep short and slow.
func demoResult() (*match.Result, *segment.Session) {
	nan := math.NaN()
	s := demoSession()
	res := &match.Result{
		Plan:    demoPlan,
		Verdict: match.Departed,
		Reasons: []string{"rep 3 ended 20 s early"},
	}
	span := func(x segment.Segment) match.Span {
		return match.Span{StartS: x.StartS, EndS: x.EndS, StartSE: x.StartSE, EndSE: x.EndSE, DistanceM: x.DistanceM, Pace: x.Pace, PaceSE: x.WithinSE}
	}
	targets := []float64{250, 240, 230}
	for i, k := range []int{1, 3, 5} {
		x := s.Segments[k]
		r := match.Rep{
			Step: 1 + 2*i, Set: 1, Rep: i + 1, Outcome: match.Done, Span: span(x),
			Target: match.Target{Kind: match.PaceTarget, LowSPerKm: targets[i], HighSPerKm: targets[i], Tolerance: 7},
			Drift:  x.Pace - targets[i], DriftPct: 100 * (x.Pace/targets[i] - 1), OnTarget: match.Level,
			AmountDrift: 0, AmountUnit: "s", FadePct: 0.5, FadeSE: 0.6,
			VsPrevious: match.Comparison{With: -1, DeltaSPerKm: nan, SE: nan},
			HRAvg:      x.HRAvg, HRMax: x.HRMax, HREnd: x.HREnd, CadenceAvg: nan,
		}
		if i > 0 {
			before := &res.Reps[i-1]
			r.VsPrevious = match.Comparison{With: i - 1, DeltaSPerKm: x.Pace - before.Pace, SE: 1, Call: match.Level}
			before.Recovery = &match.Recovery{
				Step: 2 * i, Outcome: match.Done, Span: span(s.Segments[k-1]), AmountUnit: "s",
				HRStart: before.HREnd, HREnd: s.Segments[k-1].HREnd, HRDrop: before.HREnd - s.Segments[k-1].HREnd, HRDrop60: nan,
			}
		}
		res.Reps = append(res.Reps, r)
	}
	res.Reps[1].VsPrevious.Call = match.Quicker
	last := &res.Reps[2]
	last.Outcome, last.AmountDrift, last.OnTarget = match.Short, -20, match.Slower
	res.Deviations = []match.Deviation{
		{Kind: match.ShortRep, Rep: 2, Message: "rep 3 ended 20 s early", Counts: true},
		{Kind: match.LongRecovery, Rep: 0, Message: "the rest after rep 1 was 8 s long", Counts: false},
	}
	res.Progression = match.Progression{
		Reps: []int{0, 1, 2}, Of: 3, SlopeSPerKmPerRep: -5.95, SlopeSE: 0.6, TheilSen: -5.95, ChangeSPerKm: -11.9, ChangeMargin: 2.4, Course: match.TargetCourse,
		Test: match.MeasuringErrorTest, P: 0.00001, Call: match.Quicker, QuickerThanPrevious: 1, Compared: 2,
	}
	res.Progressions = []match.Progression{res.Progression}
	return res, s
}

func demoCheck() *report.Report {
	res, s := demoResult()
	return Check(res, s, Options{})
}

// demoPlan is 10:00 warm + 3 x 2:00 @ 4:10 -> 3:50/km off 1:00 jog + 5:00 cool.
var demoPlan = workouts.Workout{Items: []workouts.Item{
	{Count: 1, Step: workouts.Step{Amount: workouts.Seconds(600), Manner: workouts.Warm}},
	{
		Count: 3,
		Step: workouts.Step{
			Amount: workouts.Seconds(120), Manner: workouts.Work,
			Target: workouts.Target{
				Kind: workouts.ProgressionTarget,
				From: workouts.MakePace(250, workouts.PerKm), To: workouts.MakePace(230, workouts.PerKm),
			},
		},
		Rest: &workouts.Step{Amount: workouts.Seconds(60), Manner: workouts.Jog},
	},
	{Count: 1, Step: workouts.Step{Amount: workouts.Seconds(300), Manner: workouts.Cool}},
}}

// milePlan is a plan with every pace per mile.
var milePlan = workouts.Workout{Items: []workouts.Item{{Count: 1, Step: workouts.Step{
	Amount: workouts.Miles(1), Manner: workouts.Work,
	Target: workouts.Target{Kind: workouts.PaceTarget, From: workouts.Pace{SecPerKm: 248.55, Unit: workouts.PerMile}},
}}}}

func render(t *testing.T, r *report.Report, p report.Page) string {
	t.Helper()
	var b strings.Builder
	if err := r.Text(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func asMarkdown(t *testing.T, r *report.Report) string {
	t.Helper()
	var b strings.Builder
	if err := r.Markdown(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
