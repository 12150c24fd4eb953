package match

import (
	"testing"
)

// Where a coach draws the line: on both sides of each limit that decides between two verdicts.
// The cases of a line lie so near to it that a limit moved by half would move one of them.
var lineCases = []coachCase{
	// Of a gain asked from rep to rep, a quarter may be missing or too much.
	{"asked 10 s a rep, gained 8", "15:00 warm + 5 x 3:00 @ quicker by 10s off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 265, -8), nil, AsPlanned, "ddddd", "", is(Quicker)},
	{"asked 10 s a rep, gained 12", "15:00 warm + 5 x 3:00 @ quicker by 10s off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 275, -12), nil, AsPlanned, "ddddd", "", is(Quicker)},
	{"asked 10 s a rep, gained 6", "15:00 warm + 5 x 3:00 @ quicker by 10s off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 260, -6), nil, Departed, "ddddd", "where 10 s/km was asked", nil},
	{"asked 10 s a rep, gained 14", "15:00 warm + 5 x 3:00 @ quicker by 10s off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 280, -14), nil, Departed, "ddddd", "where 10 s/km was asked", nil},
	// Of a change asked from the first rep to the last, half.
	{"4:20 to 4:00, run from 4:16 to 4:05", "15:00 warm + 5 x 3:00 @ 4:20 -> 4:00/km off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 256, -2.75), nil, AsPlanned, "ddddd", "", nil},
	{"4:20 to 4:00, run from 4:12 to 4:07", "15:00 warm + 5 x 3:00 @ 4:20 -> 4:00/km off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 252, -1.25), nil, Departed, "ddddd", "from the first rep to the last the pace was to change by -20", nil},
	{"4:20 to 4:00, run from 4:22 to 3:56", "15:00 warm + 5 x 3:00 @ 4:20 -> 4:00/km off 2:00 jog + 10:00 cool", fiveByFeel, evenPaces(5, 262, -6.5), nil, AsPlanned, "ddddd", "", is(Quicker)},
	// A target of easy running is judged, and makes nothing another session.
	{"easy at 5:27, asked at 5:00", "40:00 easy @ 5:00/km", "40:00 easy @ 5:27/km", nil, nil, Departed, "", "the easy running was slower than its target by", nil},
	{"easy at 4:40, asked at 5:30", "40:00 easy @ 5:30/km", "40:00 easy @ 4:40/km", nil, nil, Departed, "", "the easy running was quicker than its target by", nil},
	{"easy at 5:27, asked at 5:22", "40:00 easy @ 5:22/km", "40:00 easy @ 5:27/km", nil, nil, AsPlanned, "", "", nil},
	// Fewer reps that were a little too long are the session; much longer ones are another.
	{"four of 3:20 for six of 3:00", sixByFeel, "15:00 warm + 4 x 200s off 2:00 jog + 10:00 cool", nil, nil, Departed, "llllmm", "reps 5 and 6 were not run", nil},
	{"four of 3:50 for six of 3:00", sixByFeel, "15:00 warm + 4 x 230s off 2:00 jog + 10:00 cool", nil, nil, Different, "", "", nil},
	{"five of 450 m for eight of 400 m", "15:00 warm + 8 x 400m off 200m jog + 10:00 cool", "15:00 warm + 5 x 450m off 200m jog + 10:00 cool", nil, nil, Departed, "lllllmmm", "reps 6 to 8 were not run", nil},
	{"five of 500 m for eight of 400 m", "15:00 warm + 8 x 400m off 200m jog + 10:00 cool", "15:00 warm + 5 x 500m off 200m jog + 10:00 cool", nil, nil, Different, "", "", nil},
}

const fiveByFeel = "15:00 warm + 5 x 3:00 off 2:00 jog + 10:00 cool"

// Near a line every session is held, on devices that measure well enough to tell.
func TestLines(t *testing.T) {
	t.Parallel()
	devices := []string{"good watch, open sky", "treadmill's own file"}
	for k, c := range lineCases {
		for j, name := range devices {
			for seed := range uint64(3) {
				if wrong := c.wrong(t, device(t, name), 810000+1000*uint64(k)+100*uint64(j)+seed); wrong != "" {
					t.Errorf("%s, %s, seed %d: %s", c.name, name, seed, wrong)
				}
			}
		}
	}
}

// Asked to get quicker, a row that surely gained less than 1 % of its pace did not; one that
// may have gained more cannot be told, and is no departure. 1 % of 240 s/km is 2.4.
func TestLeastGain(t *testing.T) {
	for most, departs := range map[float64]bool{1.5: true, 4: false} {
		r := &Result{Reps: make([]Rep, 4)}
		for i := range r.Reps {
			r.Reps[i] = Rep{Rep: i + 1, Span: Span{Pace: 240, PaceSE: 0.3}, VsPrevious: Comparison{With: i - 1, Call: Level}}
		}
		m := measurer{r: r}
		m.judgeQuicker(Progression{Reps: []int{0, 1, 2, 3}, Of: 4, Compared: 3, ChangeSPerKm: 0, ChangeMargin: most, Call: Level}, 0)
		if got := len(r.Deviations) == 1 && r.Deviations[0].Kind == NotQuicker; got != departs {
			t.Errorf("a gain of no more than %v s/km: departed %v, want %v", most, got, departs)
		}
		if told := len(r.Warnings) == 1 && r.Warnings[0].Code == "progression-unknown"; told == departs {
			t.Errorf("a gain of no more than %v s/km: warned %v", most, told)
		}
	}
}

// A target without a tolerance of its own has 3 %, which CHECK.md says: 7.2 s of 4:00.
func TestToleranceUnsaid(t *testing.T) {
	r := check(t, "10:00 warm + 3 x 2:00 @ 4:00/km off 60s jog + 5:00 cool", byHand())
	if len(r.Reps) == 0 {
		t.Fatal("no reps")
	}
	for _, rep := range r.Reps {
		if rep.Target.Tolerance < 7.199 || rep.Target.Tolerance > 7.201 {
			t.Errorf("rep %d: %v s/km are allowed", rep.Rep, rep.Target.Tolerance)
		}
	}
}
