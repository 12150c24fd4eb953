package match

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

// Ten workouts of the kinds that runners do.
var tenPlans = []string{
	"15:00 warm + 6 x 800m @ 3:50/km off 400m jog + 10:00 cool",
	"15:00 warm + 5 x 1km off 2:00 jog + 10:00 cool",
	"10:00 warm + 12 x 400m @ 3:35/km off 200m jog + 10:00 cool",
	"15:00 warm + 4 x 6:00 off 2:00 jog + 10:00 cool",
	"10:00 warm + 20:00 @ 4:10/km + 10:00 cool",
	"10:00 warm + 3 x ( 2km @ 4:30/km + 1km @ 4:10/km ) + 10:00 cool",
	"10:00 warm + 16 x 30s off 30s jog + 10:00 cool",
	"50:00 easy",
	"10:00 warm + 2 x ( 4 x 2:00 off 60s jog ) off 4:00 walk + 5:00 cool",
	"2km @ 4:45/km + 2km @ 4:30/km + 2km @ 4:15/km",
}

// Each of ten plans against each of ten sessions: only its own session may
// pass as the planned one, whole or with deviations. With devices whose noise
// swamps a change of pace, an odd one may slip through.
func TestDifferentSessions(t *testing.T) {
	t.Parallel()
	clear := []simulate.Device{device(t, "good watch, open sky"), device(t, "watch leading through steps"),
		device(t, "watch with foot sensor"), device(t, "treadmill's own file"), device(t, "foot sensor on the treadmill")}
	own, other := crossPlans(t, clear, 9940, 1)
	if own.right < own.of || other.right < other.of {
		t.Error("clear devices: only the diagonal may be as planned or departed")
	}
	own, other = crossPlans(t, usableDevices(), 9950, 1)
	if own.pct() < 97 || other.pct() < 99 {
		t.Error("all devices: the diagonal must be recognised in 97 %, the rest refused in 99 %")
	}
}

func crossPlans(t *testing.T, devices []simulate.Device, first uint64, seeds int) (own, other tally) {
	for seed := first; seed < first+uint64(seeds); seed++ {
		for ran, text := range tenPlans {
			d := devices[(int(seed)+ran)%len(devices)]
			s, _ := stage(t, text, 4.2, seed).run(d, seed, nil)
			s, err := segment.Split(s.Recording)
			if err != nil {
				t.Fatal(err)
			}
			for planned, text := range tenPlans {
				r, err := Check(parse(t, text), s, Options{})
				if err != nil {
					t.Fatal(err)
				}
				if r.Verdict == Different && (len(r.Reasons) != 1 || r.Reasons[0] == "") {
					t.Errorf("ran %d, plan %d: a different session has no reason: %q", ran, planned, r.Reasons)
				}
				right := (r.Verdict != Different) == (ran == planned)
				if planned == 7 && ran == 9 && !sawWork(s) {
					// Half an hour of steady running is more than half of 50 minutes easy: too short.
					// Where its steps in pace are seen, it was work.
					right = r.Verdict == Departed && len(r.Deviations) > 0 && r.Deviations[0].Kind == EasyAmount
				}
				if !right {
					t.Logf("seed %d, %s: ran %q, plan %q: %s %q", seed, d.Name, tenPlans[ran], text, r.Verdict, r.Reasons)
				}
				if ran == planned {
					own.add(right)
				} else {
					other.add(right)
				}
			}
		}
	}
	t.Logf("own sessions recognised %.1f %% of %d, others refused %.1f %% of %d", own.pct(), own.of, other.pct(), other.of)
	return own, other
}

// Where a plan has long blocks without recoveries, chance can give each about its length: what
// the split saw in them, and changes of pace that were not run, tell that they are none.
func TestLongBlocksThatAreNone(t *testing.T) {
	for _, c := range []struct{ ran, plan string }{
		{tenPlans[6], tenPlans[9]},
		{tenPlans[9], tenPlans[5]},
	} {
		for seed := uint64(9400); seed < 9404; seed++ {
			for _, name := range []string{"good watch, open sky", "watch with foot sensor", "foot sensor on the treadmill", "treadmill's own file"} {
				s, _ := stage(t, c.ran, 4.2, seed).run(device(t, name), seed, nil)
				s, err := segment.Split(s.Recording)
				if err != nil {
					t.Fatal(err)
				}
				if r := check(t, c.plan, s); r.Verdict != Different {
					t.Errorf("%s, seed %d: ran %s, plan %s: %s %q", name, seed, c.ran, c.plan, r.Verdict, r.Reasons)
				}
				if r := check(t, c.ran, s); r.Verdict == Different {
					t.Errorf("%s, seed %d: ran %s as planned: %q", name, seed, c.ran, r.Reasons)
				}
			}
		}
	}
}

func sawWork(s *segment.Session) bool {
	return slices.ContainsFunc(s.Segments, func(g segment.Segment) bool { return g.Role == segment.Work })
}

// TestFarOffPace: the planned reps run at quite another pace, one too many of them, or
// all of them too long or too short, are the planned session, departed from.
func TestFarOffPace(t *testing.T) {
	const ran = "15:00 warm + 6 x 3:00 @ 5:00/km off 1:30 jog + 10:00 cool"
	for seed := uint64(9960); seed < 9964; seed++ {
		for _, d := range []simulate.Device{device(t, "good watch, open sky"), device(t, "older watch, every second"), device(t, "treadmill's own file")} {
			s, _ := stage(t, ran, 3.2, seed).run(d, seed, nil)
			s, err := segment.Split(s.Recording)
			if err != nil {
				t.Fatal(err)
			}
			for _, tt := range []struct {
				plan  string
				want  Outcome // of every planned rep
				extra int
			}{
				{"15:00 warm + 6 x 3:00 @ 4:03/km off 2:00 jog + 10:00 cool", Done, 0},
				{"15:00 warm + 6 x 3:00 @ 6:30/km off 1:30 jog + 10:00 cool", Done, 0},
				{"15:00 warm + 6 x 3:00 @ 4:10 -> 3:55/km off 90s jog + 10:00 cool", Done, 0},
				{"15:00 warm + 6 x 2:00 @ 4:03/km off 2:30 jog + 10:00 cool", Long, 0},
				{"15:00 warm + 5 x 3:00 @ 4:03/km off 2:00 jog + 10:00 cool", Done, 1},
				{"15:00 warm + 6 x 1km @ 4:03/km off 2:00 jog + 10:00 cool", Short, 0},
			} {
				r, err := Check(parse(t, tt.plan), s, Options{})
				if err != nil {
					t.Fatal(err)
				}
				if r.Verdict != Departed {
					t.Errorf("%s, seed %d, %s: %s %q", d.Name, seed, tt.plan, r.Verdict, r.Reasons)
					continue
				}
				extra := 0
				for i, rep := range r.Reps {
					if rep.Outcome == Extra {
						if extra++; i != len(r.Reps)-1 {
							t.Errorf("%s, seed %d, %s: the extra rep comes as number %d", d.Name, seed, tt.plan, i+1)
						}
						continue
					}
					if rep.Outcome != tt.want || math.Abs(rep.Pace-300) > 25 || !(math.Abs(rep.DriftPct) > 10) {
						t.Errorf("%s, seed %d, %s: rep %d is %s at %.0f s/km, drift %.0f %%", d.Name, seed, tt.plan, rep.Rep, rep.Outcome, rep.Pace, rep.DriftPct)
					}
				}
				if extra != tt.extra {
					t.Errorf("%s, seed %d, %s: %d extra reps", d.Name, seed, tt.plan, extra)
				}
			}
		}
	}
}
