package segment

import (
	"flag"
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// TestRightReadingsOfHardSessions tells how far edges are off in sessions that are read wrong or with less than 90 %, when a
// reading begins from the true ones: what is to be had there. Corrections are held to it (TestCorrections of
// correct, whose sessions these are).
func TestRightReadingsOfHardSessions(t *testing.T) {
	const first, far = 100_001, 30.0 // s
	want := 40
	if f := flag.Lookup("full"); f != nil && f.Value.String() == "true" {
		want = 200
	}
	var off []float64
	for seed, hard := uint64(first), 0; hard < want; seed++ {
		session := simulate.Grammar(seed)
		devices := append(simulate.DevicesFor(session.Place), simulate.FurtherDevicesFor(session.Place)...)
		r, truth := simulate.Run(session, devices[int(seed)%len(devices)], seed)
		spans := workSpans(truth)
		s, err := Split(r)
		if err != nil {
			t.Fatal(err)
		}
		if apart(s.Reps(), spans) < far && s.Probability > 0.9 {
			continue
		}
		hard++
		tr := signal.Build(r)
		j := newJudge(tr, tr.Speed, cut(tr.Speed, tr), r.Place)
		var reps [][2]int
		for _, w := range spans {
			reps = append(reps, [2]int{int(math.Round(w.StartS)), min(int(math.Round(w.EndS)), tr.Len())})
		}
		x := j.sharpen(reading{labelling: j.labelled(reps)}, recording.Presses(r.Laps))
		for i, w := range spans {
			off = append(off, math.Abs(x.starts[i].at-w.StartS), math.Abs(x.ends[i].at-w.EndS))
		}
	}
	slices.Sort(off)
	middle, most := off[len(off)/2], off[len(off)*95/100]
	t.Logf("%d edges are off by %.1f s (median) and %.1f s (95 %%)", len(off), middle, most)
	if middle > 1 || most < 3 || most > 8 {
		t.Errorf("edges are off by %.1f s, and %.1f s (95 %%)", middle, most)
	}
}

// apart is how far the edge that is worst is from its own, s; +Inf when the number of reps differs.
func apart(a, b []recording.Span) float64 {
	if len(a) != len(b) {
		return math.Inf(1)
	}
	worst := 0.0
	for i := range a {
		worst = max(worst, math.Abs(a[i].StartS-b[i].StartS), math.Abs(a[i].EndS-b[i].EndS))
	}
	return worst
}
