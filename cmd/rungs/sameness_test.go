package main

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/session"
)

// The same rep has the same pace, margin and scale error wherever it is told: in a split, its
// notation, a check of the run against that notation, the history of the workout, the sums
// of a block, and JSON; on several devices, with the odometer calibrated and not.
func TestSameRepEverywhere(t *testing.T) {
	same, reps := 0, 0
	for _, c := range []struct{ device, kind string }{
		{"good watch, open sky", "progressive 3 minute reps"}, {"watch in the city", "4 minute reps"},
		{"phone, distance only", "800s by distance"}, {"watch on the track, laps of 400 m", "track 400s"},
		{"wrist on the treadmill", "treadmill 3 minute reps"}, {"treadmill's own file", "treadmill progression of reps"},
	} {
		for calibrated := range 2 {
			n, of := sameReps(t, c.device, c.kind, calibrated == 1)
			same, reps = same+n, reps+of
		}
	}
	t.Logf("%d of %d reps have the edges of the split", same, reps)
	if 10*same < 9*reps || reps < 60 {
		t.Errorf("of %d reps only %d have the edges of the split", reps, same)
	}
}

func sameReps(t *testing.T, device, kind string, calibrated bool) (same, reps int) {
	d, known := simulate.DeviceNamed(device)
	k, ok := simulate.KindNamed(kind)
	if !known || !ok {
		t.Fatalf("no %q or %q", device, kind)
	}
	run := k.Make(3)
	rec, _ := simulate.Run(run, d, 3)
	s, err := segment.Split(rec)
	if err != nil {
		t.Fatal(err)
	}
	if calibrated {
		athlete.Athlete{Outdoors: athlete.Odometer{Over: 2, Within: 0.5}, Treadmill: athlete.Odometer{Over: -3, Within: 1}}.Calibrate(s)
	}
	var told struct {
		Notation string
		Segments []struct {
			Role string
			Pace float64 `json:"pace_s_per_km"`
			SE   float64 `json:"pace_se_within_s_per_km"`
		}
	}
	decode(t, session.Split(s, session.Options{}), &told)
	plan, err := notation.Parse("plan", told.Notation)
	if err != nil {
		t.Fatalf("%s, %s: %v", device, kind, err)
	}
	res, err := match.Check(plan, s, match.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var checked struct {
		ScalePct float64 `json:"scale_se_pct"`
		Reps     []struct {
			Pace  float64 `json:"pace_s_per_km"`
			SE    float64 `json:"pace_se_s_per_km"`
			Drift float64 `json:"drift_se_s_per_km"`
		}
	}
	decode(t, session.Check(res, s, session.Options{}), &checked)
	if math.Abs(checked.ScalePct-100*s.ScaleSE) > 0.006 {
		t.Errorf("%s: the scale error is %v %%, told as %v %%", device, 100*s.ScaleSE, checked.ScalePct)
	}
	sums := block.Summarise(s)
	h := library.NewHistorian(library.Entry{Name: "this", Workout: plan}, nil, athlete.New(), library.OdometerPct)
	if ok, err := h.Add(s); err != nil || !ok {
		t.Errorf("%s, %s: the history does not know %s: %v", device, kind, told.Notation, err)
	}
	past := h.History().Runs
	for i, rep := range res.Reps {
		if rep.Outcome == match.Missed || len(rep.Interruptions) > 0 {
			continue
		}
		reps++
		if len(past) == 1 && (past[0].Result.Reps[i].Pace != rep.Pace || past[0].Result.Reps[i].PaceSE != rep.PaceSE) {
			t.Errorf("%s, rep %d: the history has another pace or margin", device, rep.Rep)
		}
		for k, g := range s.Segments {
			if g.Role != segment.Work || g.StartS != rep.StartS || g.EndS != rep.EndS {
				continue
			}
			same++
			c, x := checked.Reps[i], told.Segments[k]
			if c.Pace != x.Pace || c.SE != x.SE {
				t.Errorf("%s, rep %d: check has %v ±%v, split %v ±%v s/km", device, rep.Rep, c.Pace, 1.96*c.SE, x.Pace, 1.96*x.SE)
			}
			if want := math.Hypot(c.SE, s.ScaleSE*c.Pace); math.Abs(c.Drift-want) > 0.02 {
				t.Errorf("%s, rep %d: the error against a target is %v, want %v s/km", device, rep.Rep, c.Drift, want)
			}
			if p := sums.Parts[k]; math.Abs(1000*p.Seconds()/p.DistanceM-g.Pace) > 0.01 && p.StoppedS == 0 {
				t.Errorf("%s, rep %d: the block has %.2f, split %.2f s/km", device, rep.Rep, 1000*p.Seconds()/p.DistanceM, g.Pace)
			}
		}
	}
	pacesAsTold(t, device, plan, s)
	return same, reps
}

// pacesAsTold holds the pace of a notation, which is in whole seconds and one for all reps of
// these kinds, against the middle one of the segments.
func pacesAsTold(t *testing.T, device string, plan workouts.Workout, s *segment.Session) {
	var told, paces []float64
	for _, p := range plan.Expand() {
		if p.Role == segment.Work && p.Goal.Pace > 0 {
			told = append(told, p.Goal.Pace)
		}
	}
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			paces = append(paces, g.Pace)
		}
	}
	slices.Sort(told)
	slices.Sort(paces)
	if len(told) == 0 || len(told) != len(paces) {
		t.Fatalf("%s: %d paces in the notation of %d reps", device, len(told), len(paces))
	}
	low, high := paces[(len(paces)-1)/2], paces[len(paces)/2]
	if m := told[len(told)/2]; m < math.Floor(low)-0.5 || m > math.Ceil(high)+0.5 {
		t.Errorf("%s: the notation has %.0f, the middle reps %.1f and %.1f s/km", device, m, low, high)
	}
}

func decode(t *testing.T, r *report.Report, into any) {
	t.Helper()
	var b bytes.Buffer
	if err := r.JSON(&b); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b.Bytes(), into); err != nil {
		t.Fatal(err)
	}
}
