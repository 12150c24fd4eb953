package match

import (
	"errors"
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"pgregory.net/rapid"
)

func drawStep(t *rapid.T) workouts.Step {
	s := workouts.Step{Manner: rapid.SampledFrom(append([]workouts.Manner{workouts.Unsaid}, workouts.Manners...)).Draw(t, "manner")}
	switch rapid.IntRange(0, 3).Draw(t, "amount") {
	case 0:
		s.Amount = workouts.Amount{Kind: workouts.Open}
	case 1:
		s.Amount = workouts.Metres(rapid.Float64Range(-10, 50000).Draw(t, "m"))
	case 2:
		s.Amount = workouts.Amount{Kind: workouts.Time, Seconds: rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), 0, 0.001, -5}).Draw(t, "odd")}
	default:
		s.Amount = workouts.Seconds(rapid.Float64Range(0, 8000).Draw(t, "s"))
	}
	pace := func(name string) workouts.Pace {
		return workouts.Pace{SecPerKm: rapid.Float64Range(0, 1000).Draw(t, name), Unit: workouts.PerKm}
	}
	switch rapid.IntRange(0, 5).Draw(t, "target") {
	case 0:
		s.Target = workouts.Target{Kind: workouts.PaceTarget, From: pace("from")}
	case 1:
		s.Target = workouts.Target{Kind: workouts.BandTarget, From: pace("from"), To: pace("to")}
	case 2:
		s.Target = workouts.Target{Kind: workouts.ProgressionTarget, From: pace("from"), To: pace("to")}
	case 3:
		s.Target = workouts.Target{Kind: workouts.QuickerTarget}
	case 4:
		s.Target = workouts.Target{Kind: workouts.HeartTarget, Heart: workouts.HeartRange{Unit: workouts.BPM,
			LowBPM: rapid.Float64Range(0, 200).Draw(t, "low"), HighBPM: rapid.Float64Range(0, 200).Draw(t, "high")}}
	}
	return s
}

func drawItems(t *rapid.T, depth int) []workouts.Item {
	var out []workouts.Item
	for range rapid.IntRange(0, 4).Draw(t, "items") {
		it := workouts.Item{Count: rapid.IntRange(0, 12).Draw(t, "count"), Step: drawStep(t)}
		if depth > 0 && rapid.Bool().Draw(t, "group") {
			it.Body = drawItems(t, depth-1)
		}
		if rapid.Bool().Draw(t, "off") {
			rest := drawStep(t)
			it.Rest = &rest
		}
		out = append(out, it)
	}
	return out
}

func drawSession(t *rapid.T) *segment.Session {
	n := rapid.IntRange(0, 400).Draw(t, "records")
	r := &recording.Recording{T: make([]float64, n), Distance: recording.MakeStream(n), HeartRate: recording.MakeStream(n)}
	at, d := 0.0, 0.0
	for i := range n {
		r.T[i] = at
		if rapid.IntRange(0, 9).Draw(t, "known") > 0 {
			r.Distance.Set(i, d)
			r.HeartRate.Set(i, rapid.Float64Range(0, 260).Draw(t, "bpm"))
		}
		step := rapid.SampledFrom([]float64{1, 1, 1, 3, 10, 120}).Draw(t, "dt")
		at += step
		d += step * rapid.SampledFrom([]float64{0, 1.5, 2.7, 4, 6, -1, 40}).Draw(t, "speed")
	}
	if n > 0 && rapid.Bool().Draw(t, "laps") {
		a := rapid.Float64Range(-10, at+10).Draw(t, "lap")
		r.Laps = []recording.Lap{{Span: recording.Span{StartS: a, EndS: a + 60}, Trigger: recording.ManualTrigger, Step: -1}}
		r.Stops = []recording.Span{{StartS: a, EndS: a + 30}}
	}
	s := &segment.Session{Recording: r, Trace: signal.Build(r)}
	if rapid.Bool().Draw(t, "split") {
		if split, err := segment.Split(r); err == nil {
			s = split
		}
	}
	return s
}

// Any plan against any recording: no panic, every planned step accounted for
// once, and no figure that contradicts its outcome.
func TestAnyPlanAnyRecording(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := workouts.Workout{Items: drawItems(t, 2)}
		s := drawSession(t)
		r, err := Check(plan, s, Options{PaceTolerancePct: rapid.Float64Range(-1, 10).Draw(t, "tolerance")})
		if err != nil {
			if !errors.Is(err, ErrNothingPlanned) && !errors.Is(err, ErrNothingRun) {
				t.Fatalf("unexpected error %v", err)
			}
			return
		}
		if r.Verdict == Different {
			if len(r.Reps)+len(r.Steps)+len(r.Deviations) > 0 || len(r.Reasons) != 1 {
				t.Fatalf("a different session is matched: %+v", r)
			}
			return
		}
		seen := make([]int, len(plan.Expand()))
		for _, rep := range r.Reps {
			if rep.Step >= 0 {
				seen[rep.Step]++
			}
			if (rep.Outcome == Missed) != math.IsNaN(rep.StartS) {
				t.Fatalf("rep %d is %s and starts at %v", rep.Rep, rep.Outcome, rep.StartS)
			}
			if rep.Outcome != Missed && rep.EndS < rep.StartS {
				t.Fatalf("rep %d ends at %v before it starts at %v", rep.Rep, rep.EndS, rep.StartS)
			}
		}
		for _, st := range r.Steps {
			seen[st.Planned.Index]++
		}
		for i, n := range seen {
			if n != 1 {
				t.Fatalf("step %d of the plan appears %d times", i, n)
			}
		}
		if (r.Verdict == AsPlanned) != (len(r.Reasons) == 0) {
			t.Fatalf("verdict %s with reasons %q", r.Verdict, r.Reasons)
		}
	})
}

// The largest plans on a long run stay within bounds of memory and time.
func TestLargestPlan(t *testing.T) {
	speed := make([]float64, 3*3600)
	for i := range speed {
		speed[i] = 3 + float64(i/97%2)
	}
	plan := workouts.Workout{Items: []workouts.Item{{Count: 999, Body: []workouts.Item{
		{Count: 1, Step: workouts.Step{Manner: workouts.Work, Amount: workouts.Seconds(60)}},
		{Count: 5, Step: workouts.Step{Manner: workouts.Jog, Amount: workouts.Metres(100)}},
	}}}}
	r, err := Check(plan, made(speed), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Verdict != Different {
		t.Errorf("five thousand steps in three hours are %s", r.Verdict)
	}
}

func TestNothingToCompare(t *testing.T) {
	run := made(legs(100, 3))
	one := parse(t, "3:00")
	nan := made(legs(100, 3))
	nan.Trace.Dist[50] = math.NaN()
	for _, c := range []struct {
		name string
		plan workouts.Workout
		s    *segment.Session
		want error
	}{
		{"empty plan", workouts.Workout{}, run, ErrNothingPlanned},
		{"no session", one, nil, ErrNothingRun},
		{"no trace", one, &segment.Session{}, ErrNothingRun},
		{"standing", one, made(legs(100, 0)), ErrNothingRun},
		{"not a number", one, nan, ErrNothingRun},
	} {
		if _, err := Check(c.plan, c.s, Options{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
