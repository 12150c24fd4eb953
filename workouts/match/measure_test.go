package match

import (
	"math"
	"testing"

	"example.org/rungs/segment"
)

func check(t testing.TB, text string, s *segment.Session) *Result {
	t.Helper()
	r, err := Check(parse(t, text), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A session without noise, in which every figure can be worked out by hand:
// 10 min at 2.5 m/s, then 3 x 3 min at 4.0, 4.1 and 4.2 m/s off 90 s at 2 m/s,
// then 5 min at 2.5. Distances of a session are read about a second late, since
// odometers lag; here that takes 2 m and 0.7 s/km from every rep.
func byHand() *segment.Session {
	return made(legs(600, 2.5, 180, 4, 90, 2, 180, 4.1, 90, 2, 180, 4.2, 300, 2.5))
}

func TestFiguresByHand(t *testing.T) {
	r := check(t, "10:00 warm + 3 x 3:00 @ 4:05/km off 90s jog + 5:00 cool", byHand())
	if r.Verdict != AsPlanned || len(r.Reps) != 3 {
		t.Fatalf("verdict %s %q, %d reps", r.Verdict, r.Reasons, len(r.Reps))
	}
	for i, want := range []struct{ start, speed float64 }{{600, 4}, {870, 4.1}, {1140, 4.2}} {
		rep := r.Reps[i]
		if rep.Outcome != Done {
			t.Errorf("rep %d is %s", i+1, rep.Outcome)
		}
		near(t, "start", rep.StartS, want.start, 0.3)
		near(t, "end", rep.EndS, want.start+180, 0.3)
		near(t, "distance", rep.DistanceM, 180*want.speed, 2.5)
		near(t, "pace", rep.Pace, 1000/want.speed, 0.8)
		near(t, "drift", rep.Drift, 1000/want.speed-245, 0.8)
		near(t, "drift, percent", rep.DriftPct, 100*(1000/want.speed-245)/245, 0.4)
		near(t, "amount drift", rep.AmountDrift, 0, 0.5)
		near(t, "fade", rep.FadePct, 0, 0.6)
		if rep.AmountUnit != "s" || rep.OnTarget != Level {
			t.Errorf("rep %d: amount in %q, on target %q", i+1, rep.AmountUnit, rep.OnTarget)
		}
	}
	near(t, "recovery", r.Reps[0].Recovery.Seconds(), 90, 0.5)
	near(t, "recovery's pace", r.Reps[0].Recovery.Pace, 500, 6)
	if v := r.Reps[0].VsPrevious; v.With != -1 || v.Call != NoCall {
		t.Errorf("the first rep is compared: %+v", v)
	}
	if v := r.Reps[1].VsPrevious; v.With != 0 || v.Call != Quicker {
		t.Errorf("the second rep is not quicker: %+v", v)
	}
	near(t, "gain", r.Reps[1].VsPrevious.DeltaSPerKm, 1000/4.1-250, 0.5)
	if p := r.Progression; p.Call != Quicker || p.QuickerThanPrevious != 2 || p.Compared != 2 || p.Test != SlopeTest {
		t.Errorf("progression %+v", p)
	}
}

func TestDriftOfTargets(t *testing.T) {
	for _, c := range []struct {
		target   string
		drift    float64 // of the first rep, 4:10 per km
		onTarget Call
	}{
		{"@ 4:10/km", 0, Level},
		{"@ 4:05/km", 5, Level},              // within the default 3 %
		{"@ 4:05/km ±2s", 5, Slower},         // its own tolerance is less
		{"@ 3:55/km", 15, Slower},            // 6 %
		{"@ 4:25/km", -15, Quicker},          // 6 %
		{"@ 4:00/km-4:20/km", 0, Level},      // inside the band
		{"@ 3:50/km-4:00/km", 10, Slower},    // to the nearer edge; a band has no further tolerance
		{"@ 4:20/km-4:30/km", -10, Quicker},  // likewise
		{"@ 4:20/km -> 4:00/km", -10, Level}, // three reps: the first is asked 4:20
	} {
		r := check(t, "10:00 warm + 3 x 3:00 "+c.target+" off 90s jog + 5:00 cool", byHand())
		near(t, c.target+": drift", r.Reps[0].Drift, c.drift, 0.8)
		if r.Reps[0].OnTarget != c.onTarget && c.target != "@ 4:20/km -> 4:00/km" {
			t.Errorf("%s: on target %q, want %q", c.target, r.Reps[0].OnTarget, c.onTarget)
		}
	}
	// A ramp inside a single step: the drift is that of the mean speed.
	r := check(t, "10:00 warm + 3:00 @ 4:20/km -> 4:00/km", made(legs(600, 2.5, 180, 4)))
	if r.Reps[0].Target.Kind != RampTarget {
		t.Errorf("target %+v", r.Reps[0].Target)
	}
	near(t, "drift of a ramp", r.Reps[0].Drift, 0, 1.4)
	// A name that the athlete does not have is no target.
	r = check(t, "10:00 warm + 3:00 @ threshold", made(legs(600, 2.5, 180, 4)))
	if rep := r.Reps[0]; rep.Target.Kind != UnknownTarget || rep.Target.Name != "threshold" || !math.IsNaN(rep.Drift) || rep.OnTarget != NoCall {
		t.Errorf("unresolved: %+v", rep)
	}
}

func TestFadeHeartCadence(t *testing.T) {
	s := made(legs(600, 2.5, 120, 4, 120, 3.8, 120, 2, 240, 4, 300, 2.5))
	n := s.Trace.Len()
	s.Trace.HeartRate, s.Trace.Cadence = make([]float64, n), make([]float64, n)
	for i := range n {
		at := float64(i) + 0.5
		s.Trace.Cadence[i] = 160
		switch {
		case at < 600:
			s.Trace.HeartRate[i] = 120
		case at < 840: // one beat in four seconds, from 120 to 180
			s.Trace.HeartRate[i] = 120 + (at-600)/4
			s.Trace.Cadence[i] = 180
		case at < 960: // and down again, one in two
			s.Trace.HeartRate[i] = 180 - (at-840)/2
		default:
			s.Trace.HeartRate[i] = math.NaN()
		}
	}
	r := check(t, "10:00 warm + 2 x 4:00 @ 150-160bpm off 2:00 jog + 5:00 cool", s)
	rep := r.Reps[0]
	near(t, "fade", rep.FadePct, 100*(4/3.8-1), 0.8)
	near(t, "average", rep.HRAvg, 150, 0.5)
	near(t, "maximum", rep.HRMax, 180, 0.5)
	near(t, "at the end", rep.HREnd, 180, 1)
	near(t, "cadence", rep.CadenceAvg, 180, 0.3)
	near(t, "drop", rep.Recovery.HRDrop, 59, 1.5)
	near(t, "drop in 60 s", rep.Recovery.HRDrop60, 30, 1.5)
	// After 57.6 s the heart is at 134.4; it passes 150 at 120 s and 160 at
	// 160 s, so that 62.4 s are below, 40 inside and 80 above.
	if rep.Heart == nil {
		t.Fatal("no time in the heart-rate target")
	}
	near(t, "settling", rep.Heart.SettleS, 57.6, 1e-9)
	near(t, "below", rep.Heart.BelowS, 62.4, 1.5)
	near(t, "inside", rep.Heart.InsideS, 40, 1.5)
	near(t, "above", rep.Heart.AboveS, 80, 1.5)
	if last := r.Reps[1]; !math.IsNaN(last.HRAvg) || !math.IsNaN(last.HRMax) || last.Heart.InsideS != 0 {
		t.Errorf("figures of a heart rate that is not there: %+v", last)
	}
}

// An odometer that counts 2 % too much shifts every drift alike, and leaves
// outcomes and calls between reps as they are.
func TestScaleIsCommon(t *testing.T) {
	const plan = "10:00 warm + 6 x 3:00 @ 4:05/km off 90s jog + 5:00 cool"
	sc := stage(t, plan, 4.2, 5)
	s, _ := sc.run(device(t, "good watch, open sky"), 5, nil)
	a := check(t, plan, s)
	for i := range s.Trace.Dist {
		s.Trace.Dist[i] *= 1.02
	}
	for i := range s.Trace.Speed {
		s.Trace.Speed[i] *= 1.02
	}
	s.Trace.Noise.LongRun *= 1.02
	s.Trace.Noise.Odometer *= 1.02
	s.Trace.Noise.EndM *= 1.02
	b := check(t, plan, s)
	for i := range a.Reps {
		x, y := a.Reps[i], b.Reps[i]
		near(t, "pace", y.Pace, x.Pace/1.02, 0.5)
		if x.Outcome != y.Outcome || x.VsPrevious.Call != y.VsPrevious.Call {
			t.Errorf("rep %d: %s %s became %s %s", i+1, x.Outcome, x.VsPrevious.Call, y.Outcome, y.VsPrevious.Call)
		}
	}
	if a.Progression.Call != b.Progression.Call {
		t.Errorf("progression %s became %s", a.Progression.Call, b.Progression.Call)
	}
}

// A check does not change what it is given.
func TestInputUnchanged(t *testing.T) {
	s := byHand()
	plan := parse(t, "10:00 warm + 3 x 3:00 off 90s jog + 5:00 cool")
	before := append([]float64(nil), s.Trace.Dist...)
	r1, _ := Check(plan, s, Options{})
	r2, _ := Check(plan, s, Options{})
	for i := range before {
		if s.Trace.Dist[i] != before[i] {
			t.Fatal("the trace was changed")
		}
	}
	for i := range r1.Reps {
		if r1.Reps[i].Pace != r2.Reps[i].Pace || r1.Reps[i].PaceSE != r2.Reps[i].PaceSE {
			t.Errorf("rep %d differs between two checks", i+1)
		}
	}
}

// Reps of mixed workouts are compared with their like.
func TestLikeWithLike(t *testing.T) {
	s := made(legs(600, 2.5, 500, 4, 250, 4.4, 500, 4, 250, 4.4, 500, 4, 250, 4.4, 600, 2.5))
	r := check(t, "10:00 warm + 3 x ( 2km @ 4:10/km + 1100m @ 3:47/km ) + 10:00 cool", s)
	if len(r.Reps) != 6 || len(r.Progressions) != 2 {
		t.Fatalf("%d reps, %d rows", len(r.Reps), len(r.Progressions))
	}
	for i, rep := range r.Reps {
		if want := i - 2; want < 0 && rep.VsPrevious.With != -1 || want >= 0 && rep.VsPrevious.With != want {
			t.Errorf("rep %d is compared with %d", i, rep.VsPrevious.With)
		}
	}
	// Where no step repeats, each is compared with the one before.
	s = made(legs(400, 3.8, 400, 4, 400, 4.2))
	r = check(t, "1520m @ 4:23/km + 1600m @ 4:10/km + 1680m @ 3:58/km", s)
	if len(r.Progressions) != 1 || r.Reps[2].VsPrevious.With != 1 || r.Reps[2].VsPrevious.Call != Quicker {
		t.Errorf("cut-down: %d rows, %+v", len(r.Progressions), r.Reps[2].VsPrevious)
	}
}

// What the deviations say, each on a session without noise.
func TestDeviationsByHand(t *testing.T) {
	const plan = "10:00 warm + 3 x 3:00 @ 4:10/km off 90s jog + 5:00 cool"
	for _, c := range []struct {
		name  string
		speed []float64
		kinds []DeviationKind
		want  Verdict
	}{
		{"as planned", legs(600, 2.5, 180, 4, 90, 2, 180, 4, 90, 2, 180, 4, 300, 2.5), nil, AsPlanned},
		{"one missed", legs(600, 2.5, 180, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{MissedRep}, Departed},
		{"one short", legs(600, 2.5, 180, 4, 90, 2, 120, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{ShortRep}, Departed},
		{"one long", legs(600, 2.5, 180, 4, 90, 2, 240, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{LongRep}, Departed},
		{"one more", legs(600, 2.5, 180, 4, 90, 2, 180, 4, 90, 2, 180, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{ExtraRep}, Departed},
		{"run through", legs(600, 2.5, 450, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{MergedReps}, Departed},
		{"halted", legs(600, 2.5, 180, 4, 90, 2, 90, 4, 25, 0, 90, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{InterruptedRep}, Departed},
		{"short rest", legs(600, 2.5, 180, 4, 45, 2, 180, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{ShortRecovery}, Departed},
		{"long rest", legs(600, 2.5, 180, 4, 200, 2, 180, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{LongRecovery}, Departed},
		{"too slow", legs(600, 2.5, 180, 4, 90, 2, 180, 3.7, 90, 2, 180, 4, 300, 2.5), []DeviationKind{OffTarget}, Departed},
		{"no warm-up", legs(180, 4, 90, 2, 180, 4, 90, 2, 180, 4, 300, 2.5), []DeviationKind{MissedWarm}, AsPlanned},
		{"no cool-down", legs(600, 2.5, 180, 4, 90, 2, 180, 4, 90, 2, 180, 4), []DeviationKind{MissedCool}, AsPlanned},
		{"easy run", legs(2400, 2.6), nil, Different},
		{"steady run", legs(600, 2.5, 1200, 4, 600, 2.5), nil, Different},
	} {
		r := check(t, plan, made(c.speed))
		if r.Verdict != c.want {
			t.Errorf("%s: %s %q, want %s", c.name, r.Verdict, r.Reasons, c.want)
		}
		if c.want == Different {
			continue
		}
		var kinds []DeviationKind
		for _, d := range r.Deviations {
			kinds = append(kinds, d.Kind)
		}
		if len(kinds) != len(c.kinds) || len(kinds) > 0 && kinds[0] != c.kinds[0] {
			t.Errorf("%s: deviations %q, want %q", c.name, kinds, c.kinds)
		}
	}
}

// The plan that asks for reps quicker than the last.
func TestQuickerAsked(t *testing.T) {
	const plan = "10:00 warm + 3 x 3:00 @ quicker off 90s jog + 5:00 cool"
	if r := check(t, plan, byHand()); r.Verdict != AsPlanned {
		t.Errorf("quicker reps: %s %q", r.Verdict, r.Reasons)
	}
	slower := made(legs(600, 2.5, 180, 4.2, 90, 2, 180, 4.1, 90, 2, 180, 4, 300, 2.5))
	if r := check(t, plan, slower); r.Verdict != Departed || r.Deviations[0].Kind != NotQuicker {
		t.Errorf("slower reps: %s %q", r.Verdict, r.Reasons)
	}
}
