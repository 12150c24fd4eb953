package block

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
)

// What a planned block calls done, a check does not call a different session: every
// simulated session against the plans of all, most of which are of others. A block has
// the sums of a run alone, a check its trace: of 60 sessions and plans 72 pairs are done, and one is
// another session to the check, which is wrong there, as it is the plan of that run.
func TestDoneIsNoOtherSession(t *testing.T) {
	const sessions = 24
	var plans []workouts.Workout
	var runs []Run
	var read []*segment.Session
	for seed := uint64(1); len(runs) < sessions; seed++ {
		session := simulate.Grammar(seed)
		if seed%4 == 0 {
			session = simulate.GrammarSteady(seed)
		}
		rec, truth := simulate.Run(session, simulate.DevicesFor(session.Place)[0], seed)
		w, err := notation.Parse("plan", truth.Notation)
		if err != nil || strings.Contains(truth.Notation, "open") {
			continue // by feel: a plan that asks for no amount
		}
		rec.Start = time.Date(2026, 1, 1, 17, 0, 0, 0, time.UTC).AddDate(0, 0, len(runs))
		s, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		plans, runs, read = append(plans, w), append(runs, Summarise(s)), append(read, s)
	}
	b := New(runs, runs, athlete.New(), Calendar{FirstDay: time.Monday})
	f := &fitter{sessions: b.Sessions, known: map[[2]int]agreement{}}
	for i := range plans {
		p := &PlannedSession{Workout: plans[i]}
		f.planned, f.wants = append(f.planned, p), append(f.wants, wantOf(p, b.Sessions[i].Day))
	}
	done, own, other, wrong := 0, 0, 0, 0
	for i := range plans {
		for j := range b.Sessions {
			if !f.fits(i, j).good() {
				continue
			}
			done++
			if i == j {
				own++
			}
			res, err := match.Check(plans[i], read[j], match.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if res.Verdict == match.Different {
				if other++; i == j {
					other, wrong = other-1, wrong+1
				}
				t.Logf("%s, run as %s: %s", notation.Print(plans[i]), notation.Print(plans[j]), res.Reasons)
			}
		}
	}
	t.Logf("%d pairs of %d are done, %d of the plan itself; a check calls %d and %d of these a different session", done, sessions*sessions, own, other, wrong)
	if own < sessions*8/10 {
		t.Errorf("only %d of %d sessions are their own plan", own, sessions)
	}
	if other > 0 || wrong > 1 {
		t.Errorf("a check calls %d of %d a different session, and %d of their own plan", other, done, wrong)
	}
}

// TestCutIsNotDone: of a planned session of which two reps and more were left out, the share that was run is told; one rep
// may be missing, as where a workout is recognised.
func TestCutIsNotDone(t *testing.T) {
	kind, _ := simulate.KindNamed("short 30/30")
	for seed := uint64(1); seed <= 4; seed++ {
		rec, truth := simulate.Run(kind.Make(seed), simulate.DevicesFor(recording.Outdoors)[0], seed)
		rec.Start = time.Date(2026, 9, 8, 17, 0, 0, 0, time.UTC)
		s, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		run := Summarise(s)
		b := New([]Run{run}, []Run{run}, athlete.New(), Calendar{FirstDay: time.Monday})
		n := len(s.Reps())
		for _, more := range []int{0, 1, n / 2} {
			w, err := notation.Parse("plan", truth.Notation)
			if err != nil {
				t.Fatal(err)
			}
			for i := range w.Items {
				if w.Items[i].Count == n {
					w.Items[i].Count += more
				}
			}
			p := &PlannedSession{Workout: w}
			f := &fitter{planned: []*PlannedSession{p}, wants: []want{wantOf(p, b.Sessions[0].Day)}, sessions: b.Sessions, known: map[[2]int]agreement{}}
			got := f.fits(0, 0)
			if more <= 1 && !got.good() {
				t.Errorf("seed %d: %d reps of %d are %+v, want all", seed, n, n+more, got)
			}
			if share := float64(n) / float64(n+more); more > 1 && (got.good() || math.Abs(got.share-share) > 0.01) {
				t.Errorf("seed %d: %d reps of %d are %+v, want a share of %.2f", seed, n, n+more, got, share)
			}
		}
	}
}
