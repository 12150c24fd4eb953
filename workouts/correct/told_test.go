package correct

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
)

func treadmill(t *testing.T) *segment.Session {
	t.Helper()
	recs, err := recording.Open("../../testdata/demo/tuesday-treadmill.fit")
	if err != nil {
		t.Fatal(err)
	}
	s, err := segment.Split(recs[0])
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// said is an entry as a line of the log has it.
func said(t *testing.T, words string) log.Entry {
	t.Helper()
	l := log.Parse("log", "2026-09-08 "+words)
	if w := l.Wrong(); len(w) > 0 {
		t.Fatal(w)
	}
	return l.Entries()[0]
}

func codes(s *segment.Session) (out []string) {
	for _, w := range s.Warnings {
		out = append(out, w.Code)
	}
	return out
}

// Reps that the log has the edges of stay there, for the split and for a check; only the
// workout beside them gives the amounts, and it must have as many reps. The plan is that of
// the simulated runner, whose second rep began at 20:28.
func TestToldReps(t *testing.T) {
	s := treadmill(t)
	plan, err := notation.Parse("plan", "15:00 warm + 5 x 4:00 @ 4:25 -> 4:05/km off 1:30 jog + 10:00 cool")
	if err != nil {
		t.Fatal(err)
	}
	reps := []recording.Span{}
	for _, r := range repsOf(s) {
		reps = append(reps, recording.Span{StartS: math.Round(10*r[0]) / 10, EndS: math.Round(10*r[1]) / 10})
	}
	reps[1].StartS -= 9
	reps[3].EndS += 50 // far into the recovery, against all that the speed shows
	reps[4].StartS += 40
	text := log.FormatReps(reps)

	again := Told(s, said(t, "reps "+text))
	whole(t, "told", again)
	for i, r := range repsOf(again) {
		if math.Abs(r[0]-reps[i].StartS) > 0.06 || math.Abs(r[1]-reps[i].EndS) > 0.06 {
			t.Errorf("rep %d lies at %v, told %v", i+1, r, reps[i])
		}
	}
	res, err := match.Check(plan, again, match.Options{})
	if err != nil || len(res.Reps) != 5 {
		t.Fatalf("%v, %d reps", err, len(res.Reps))
	}
	for i, r := range res.Reps {
		if math.Abs(r.StartS-reps[i].StartS) > 0.06 || math.Abs(r.EndS-reps[i].EndS) > 0.06 {
			t.Errorf("check has rep %d from %.1f to %.1f, told %v", i+1, r.StartS, r.EndS, reps[i])
		}
	}

	again = Told(s, said(t, "was 15:00 warm + 5 x 1km off 1:30 jog + 10:00 cool; reps "+text))
	if b := again.Structure[1]; b.Count != 5 || b.Body[0].Amount.Metres != 1000 || !(b.Body[0].Pace > 200) || slices.Contains(codes(again), Contradicted) {
		t.Errorf("with the workout: %+v, %v", again.Structure, codes(again))
	}
	again = Told(s, said(t, "was 6 x 1km off 1:30 jog; reps "+text))
	if len(repsOf(again)) != 5 || !slices.Contains(codes(again), Contradicted) {
		t.Errorf("a workout of six reps: %d reps, %v", len(repsOf(again)), codes(again))
	}
	again = Told(s, said(t, "reps none"))
	whole(t, "none", again)
	if len(repsOf(again)) != 0 || len(again.Structure) != 0 || !slices.Contains(codes(again), Corrected) {
		t.Errorf("no reps: %d, %v", len(repsOf(again)), codes(again))
	}
	again = Told(s, said(t, "reps 15:00-19:00 9:00:00-9:10:00"))
	if len(repsOf(again)) != 1 || !slices.Contains(codes(again), Contradicted) {
		t.Errorf("beyond the end: %d, %v", len(repsOf(again)), codes(again))
	}
	if Told(s, said(t, "hard")) != s {
		t.Error("a session of which nothing is said was read again")
	}
}
