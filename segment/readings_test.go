package segment

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// repSpans are the edges of the work of a session.
func repSpans(s *Session) (out []recording.Span) {
	for _, g := range s.Segments {
		if g.Role == Work {
			out = append(out, recording.Span{StartS: g.StartS, EndS: g.EndS})
		}
	}
	return out
}

// The readings of a session: its own comes first, their probabilities are no more than 1 in
// all, each is whole, and no two have the same reps. Over the sessions the true reps are more
// often among the readings than the first of them.
func TestReadings(t *testing.T) {
	first, among, several := 0, 0, 0
	const n = 30
	for seed := range uint64(n) {
		session := simulate.Grammar(seed + 500)
		ds := simulate.DevicesFor(session.Place)
		rec, truth := simulate.Run(session, ds[int(seed)%len(ds)], seed)
		s, err := Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		readings := s.Readings()
		if len(readings) == 0 {
			t.Fatalf("seed %d has no reading", seed)
		}
		if len(readings) > 1 {
			several++
		}
		sum := 0.0
		var lists [][]recording.Span
		found := false
		for i, r := range readings {
			sum += r.Probability
			at := 0.0
			for _, g := range r.Session.Segments {
				if g.StartS != at || !(g.EndS > g.StartS) {
					t.Fatalf("seed %d: reading %d: a segment from %.2f to %.2f behind %.2f s", seed, i, g.StartS, g.EndS, at)
				}
				at = g.EndS
			}
			if at != rec.Duration() {
				t.Errorf("seed %d: reading %d ends at %.2f of %.2f s", seed, i, at, rec.Duration())
			}
			reps := repSpans(r.Session)
			for _, other := range lists {
				if sameSpans(reps, other, 5) {
					t.Errorf("seed %d: reading %d has the reps of one before it", seed, i)
				}
			}
			lists = append(lists, reps)
			found = found || sameSpans(reps, workSpans(truth), 20)
		}
		if sum > 1+1e-9 || readings[0].Probability <= 0 {
			t.Errorf("seed %d: probabilities add up to %g", seed, sum)
		}
		if !sameSpans(repSpans(s), lists[0], 0.01) {
			t.Errorf("seed %d: the first reading is not that of Split", seed)
		}
		if sameSpans(lists[0], workSpans(truth), 20) {
			first++
		}
		if found {
			among++
		}
	}
	t.Logf("of %d sessions %d are read right, %d have the right one among %d with several", n, first, among, several)
	if among <= first || several < n/3 {
		t.Errorf("other readings are of no use: %d right, %d among them, %d with several", first, among, several)
	}
}

func sameSpans(a, b []recording.Span, slackS float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Abs(a[i].StartS-b[i].StartS) > slackS || math.Abs(a[i].EndS-b[i].EndS) > slackS {
			return false
		}
	}
	return true
}

// Reps that someone tells stay where they are told; the amounts are those of the true legs of
// the simulation: five reps of four minutes become six when one is told more, and the edges
// that were not moved keep their errors.
func TestWithReps(t *testing.T) {
	recs, err := recording.Open("../testdata/demo/tuesday-treadmill.fit")
	if err != nil {
		t.Fatal(err)
	}
	s, err := Split(recs[0])
	if err != nil {
		t.Fatal(err)
	}
	reps := repSpans(s)
	same := s.WithReps(reps)
	if !sameSpans(repSpans(same), reps, 1e-9) || len(same.Structure) != len(s.Structure) || same.Structure[1].Count != 5 || same.Structure[1].Body[0].Amount.Seconds != 240 {
		t.Errorf("told as they were read: %v, %+v", repSpans(same), same.Structure)
	}
	for i, g := range same.Segments {
		if h := s.Segments[i]; g.Role != h.Role || math.Abs(g.StartSE-h.StartSE) > 1e-9 || math.Abs(g.Pace-h.Pace) > 1e-9 || math.Abs(g.WithinSE-h.WithinSE) > 1e-9 {
			t.Errorf("segment %d became %+v from %+v", i, g, h)
		}
	}
	moved := repSpans(s)
	moved[1].StartS -= 10
	again := s.WithReps(moved)
	if !sameSpans(repSpans(again), moved, 1e-9) {
		t.Errorf("moved: %v", repSpans(again))
	}
	for i, g := range again.Segments {
		if h := s.Segments[i]; g.Role == Work && g.Rep == 2 && (g.StartSE != toldSE || g.EndSE != h.EndSE || !(g.Pace > h.Pace)) {
			t.Errorf("ten seconds of the recovery more: %+v, was %+v", g, h) // jogged, so the pace is slower
		}
	}
	if again.Structure[1].Count == 5 && again.Structure[1].Body[0].Amount.Seconds == 240 && again.Sure != 1 {
		t.Errorf("%+v", again.Structure)
	}
	more := append(repSpans(s), recording.Span{StartS: s.Segments[len(s.Segments)-1].StartS + 60, EndS: s.Segments[len(s.Segments)-1].StartS + 120})
	if got := s.WithReps(more); !sameSpans(repSpans(got), more, 1e-9) {
		t.Errorf("a rep more: %v", repSpans(got))
	}
	if got := s.WithReps(nil); len(repSpans(got)) != 0 || len(got.Structure) != 0 || got.Segments[len(got.Segments)-1].EndS != s.Recording.Duration() {
		t.Errorf("no reps: %+v", got.Segments)
	}
	// Spans that cannot be are left out, whatever they are.
	odd := []recording.Span{{StartS: -5, EndS: 10}, {StartS: 100, EndS: 90}, {StartS: 200, EndS: 260}, {StartS: 210, EndS: 300}, {StartS: 1e9, EndS: 2e9}, {StartS: math.NaN(), EndS: 3000}}
	if got := repSpans(s.WithReps(odd)); !sameSpans(got, odd[2:3], 1e-9) {
		t.Errorf("odd spans: %v", got)
	}
	if len(repSpans(s)) != 5 || s.Told != nil {
		t.Error("the session was changed")
	}
}
