package match

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// A recording of heart rate alone is checked in time and in heart rate: reps, recoveries
// and their lengths, and the time within a heart-rate target; there are no paces, and
// what would need them is said. The heart may be lost for a while, in one of eight at most.
func TestHeartRateAlone(t *testing.T) {
	const ran = "15:00 warm + 6 x 4:00 off 2:00 jog + 10:00 cool"
	faulty := map[uint64][]string{}
	for seed := uint64(0); seed < 16; seed++ {
		fault := func(format string, args ...any) { faulty[seed] = append(faulty[seed], fmt.Sprintf(format, args...)) }
		s, _ := stage(t, ran, 4.2, 900000+seed).run(device(t, "treadmill, heart rate only"), seed, level)
		s, err := segment.Split(s.Recording)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			plan  string
			want  Verdict
			extra int
			warns bool
		}{
			{ran, AsPlanned, 0, false},
			{"15:00 warm + 4 x 4:00 off 2:00 jog + 10:00 cool", Departed, 2, false},
			{"15:00 warm + 6 x 1km @ 4:00/km off 2:00 jog + 10:00 cool", AsPlanned, 0, true},
			{"15:00 warm + 6 x 4:00 @ 100-110bpm off 2:00 jog + 10:00 cool", Departed, 0, false},
			{"15:00 warm + 2 x 12:00 off 2:00 jog + 10:00 cool", Different, 0, false},
		} {
			r := check(t, c.plan, s)
			extra := 0
			for _, rep := range r.Reps {
				if rep.Outcome == Extra {
					extra++
				}
				if !math.IsNaN(rep.Pace) || !math.IsNaN(rep.DistanceM) || rep.OnTarget != NoCall {
					t.Errorf("seed %d, %s: a pace of %v, a distance of %v", seed, c.plan, rep.Pace, rep.DistanceM)
				}
				if math.Abs(rep.Seconds()-240) > 15 || !(rep.HRAvg > 120) {
					fault("%s: a rep of %.0f s at %.0f beats/min", c.plan, rep.Seconds(), rep.HRAvg)
				}
				if h := rep.Heart; rep.Target.Kind == HeartTarget && (h == nil || h.AboveS < 150) {
					fault("%s: time above the target %+v", c.plan, h)
				}
			}
			warned := slices.ContainsFunc(r.Warnings, func(w recording.Warning) bool { return w.Code == "no-pace" })
			if r.Verdict != c.want || extra != c.extra || warned != c.warns {
				fault("%s: %s %q, %d extra, warned %v", c.plan, r.Verdict, r.Reasons, extra, warned)
			}
		}
	}
	for seed, faults := range faulty {
		t.Logf("seed %d: %s", seed, faults[0])
	}
	if len(faulty) > 2 {
		t.Errorf("%d of 16 recordings are read wrongly", len(faulty))
	}
}

// Without heart rate and speed there is nothing to check.
func TestNothingRecorded(t *testing.T) {
	s, _ := stage(t, "10:00 warm + 3 x 3:00 off 90s jog + 5:00 cool", 4.2, 1).run(device(t, "treadmill, heart rate only"), 1, level)
	s, err := segment.Split(s.Recording)
	if err != nil {
		t.Fatal(err)
	}
	s.Trace.HeartRate = make([]float64, len(s.Trace.HeartRate))
	if _, err := Check(parse(t, "3 x 3:00 off 90s jog"), s, Options{}); !errors.Is(err, ErrNothingRun) {
		t.Errorf("error %v", err)
	}
}

// Where the device led through its steps, it knows which rep was one too many; else the
// last one is.
func TestExtraRepWhereLed(t *testing.T) {
	ts := tasks(parse(t, "3 x 3:00 off 90s jog").Expand())
	path := []placed{{moveFast, -1, 0, 180}, {moveSlow, -1, 180, 270}, {moveStep, 0, 270, 450}, {moveStep, 1, 450, 540},
		{moveStep, 2, 540, 720}, {moveStep, 3, 720, 810}, {moveStep, 4, 810, 990}}
	s := made(legs(180, 4, 90, 2, 180, 4, 90, 2, 180, 4, 90, 2, 180, 4))
	sp := readSpeeds(s, 90, nil)
	want := []placed{{moveStep, 0, 0, 180}, {moveStep, 1, 180, 270}, {moveStep, 2, 270, 450}, {moveStep, 3, 450, 540},
		{moveStep, 4, 540, 720}, {moveSlow, -1, 720, 810}, {moveFast, -1, 810, 990}}
	if got := inOrder(ts, slices.Clone(path), sp); !slices.Equal(got, want) {
		t.Errorf("by feel: %v, want %v", got, want)
	}
	s.Recording = &recording.Recording{Laps: []recording.Lap{{Span: recording.Span{StartS: 270, EndS: 450}, Step: 0}}}
	if got := inOrder(ts, slices.Clone(path), sp); !slices.Equal(got, path) {
		t.Errorf("led: %v, want %v", got, path)
	}
}

// Of two like reps of four, the last two were not run; a warm-up is all that comes
// before the first rep.
func TestRowBeginsWithItsFirst(t *testing.T) {
	ts := tasks(parse(t, "10:00 warm + 3 x 3:00 off 90s jog").Expand())
	path := []placed{{moveStep, 0, 0, 500}, {moveSkip, 1, 500, 500}, {moveStep, 2, 500, 600}, {moveStep, 3, 600, 780}, {moveStep, 4, 780, 870}, {moveStep, 5, 870, 1050}}
	sp := readSpeeds(made(legs(600, 2.5, 180, 4, 90, 2, 180, 4)), 90, nil)
	want := []placed{{moveStep, 0, 0, 600}, {moveStep, 1, 600, 780}, {moveStep, 2, 780, 870}, {moveStep, 3, 870, 1050}, {moveSkip, 4, 1050, 1050}, {moveSkip, 5, 1050, 1050}}
	if got := withEnds(ts, inOrder(ts, path, sp)); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
