package match

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

// A coachCase is a plan, what was run instead, and what a coach who stood by would say.
type coachCase struct {
	name, plan, ran string
	paces           []float64         // of the work as run, s/km; as the notation says when nil
	change          func(sc *scene)   // further departures
	want            Verdict           // empty: any but a different session
	reps            string            // outcomes in order: d done, s short, l long, m missed, x extra; empty: any
	says            string            // that must be among the reasons
	call            func(c Call) bool // of the progression; nil: any
}

const (
	progressive = "15:00 warm + 6 x 3:00 @ 4:10 -> 3:45/km off 2:00 jog + 10:00 cool"
	sixEven     = "15:00 warm + 6 x 3:00 @ 4:00/km off 2:00 jog + 10:00 cool"
	cutDown     = "15:00 warm + 1600m @ 4:35/km + 2:30 jog + 1200m @ 4:27/km + 2:30 jog + 800m @ 4:18/km + 2:30 jog + 400m @ 4:04/km + 10:00 cool"
	strides     = "30:00 warm + 6 x 20s off 60s jog + 5:00 cool"
	sixByFeel   = "15:00 warm + 6 x 3:00 off 2:00 jog + 10:00 cool"
)

func evenPaces(n int, from, step float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = from + step*float64(i)
	}
	return out
}

func is(want Call) func(Call) bool  { return func(c Call) bool { return c == want } }
func not(want Call) func(Call) bool { return func(c Call) bool { return c != want } }

var coachCases = []coachCase{
	// Progressions.
	{"progressive as asked", progressive, progressive, nil, nil, AsPlanned, "dddddd", "", is(Quicker)},
	{"the last of six at 4:09", progressive, progressive, []float64{250, 245, 240, 235, 230, 249}, nil, Departed, "dddddd", "rep 6 was slower than its target by", nil},
	{"six that get slower", progressive, progressive, evenPaces(6, 230, 5), nil, Departed, "dddddd", "from the first rep to the last the pace was to change by -25", is(Slower)},
	{"six alike instead of a progression", progressive, progressive, evenPaces(6, 237, 0), nil, Departed, "dddddd", "from the first rep to the last", not(Quicker)},
	{"half of the progression asked", progressive, progressive, evenPaces(6, 242, -1), nil, Departed, "dddddd", "from the first rep to the last", nil},
	{"slower throughout, and quickening as asked", progressive, progressive, evenPaces(6, 280, -5), nil, Departed, "dddddd", "all 6 reps were slower than their targets", is(Quicker)},
	{"one more of a progression", progressive, "15:00 warm + 7 x 3:00 off 2:00 jog + 10:00 cool", evenPaces(7, 250, -5), nil, Departed, "ddddddx", "an extra rep of", is(Quicker)},
	{"quicker, back and forth, three", "15:00 warm + 3 x 3:00 @ quicker off 2:00 jog + 10:00 cool", "15:00 warm + 3 x 3:00 off 2:00 jog + 10:00 cool", []float64{240, 252, 236}, nil, Departed, "ddd", "rep 2 was slower than the one before", not(Quicker)},
	{"quicker, back and forth, four", "15:00 warm + 4 x 3:00 @ quicker off 2:00 jog + 10:00 cool", "15:00 warm + 4 x 3:00 off 2:00 jog + 10:00 cool", []float64{240, 228, 246, 232}, nil, Departed, "dddd", "rep 3 was slower than the one before", not(Quicker)},
	{"quicker, one of five a second slower", "15:00 warm + 5 x 3:00 @ quicker off 2:00 jog + 10:00 cool", "15:00 warm + 5 x 3:00 off 2:00 jog + 10:00 cool", []float64{240, 237, 238, 234, 230}, nil, "", "ddddd", "", is(Quicker)},
	{"quicker, four by five seconds", "15:00 warm + 4 x 3:00 @ quicker off 2:00 jog + 10:00 cool", "15:00 warm + 4 x 3:00 off 2:00 jog + 10:00 cool", evenPaces(4, 240, -6), nil, AsPlanned, "dddd", "", is(Quicker)},
	{"quicker, but slower", "15:00 warm + 5 x 3:00 @ quicker off 2:00 jog + 10:00 cool", "15:00 warm + 5 x 3:00 off 2:00 jog + 10:00 cool", evenPaces(5, 230, 5), nil, Departed, "ddddd", "got slower over the session", is(Slower)},
	{"quicker by 5, by 1", "15:00 warm + 6 x 3:00 @ quicker by 5s off 2:00 jog + 10:00 cool", sixByFeel, evenPaces(6, 240, -1), nil, Departed, "dddddd", "", nil},
	{"quicker by 5, by 5", "15:00 warm + 6 x 3:00 @ quicker by 5s off 2:00 jog + 10:00 cool", sixByFeel, evenPaces(6, 250, -5), nil, AsPlanned, "dddddd", "", is(Quicker)},
	{"nine falling and one slow", "15:00 warm + 10 x 2:00 @ quicker off 60s jog + 10:00 cool", "15:00 warm + 10 x 2:00 off 60s jog + 10:00 cool", append(evenPaces(9, 252, -3), 262), nil, Departed, "dddddddddd", "slower than the one before", not(Slower)},
	// Evenness.
	{"level as asked", sixEven, sixEven, nil, nil, AsPlanned, "dddddd", "", nil},
	{"all at 4:35 instead of 4:00", sixEven, sixEven, evenPaces(6, 275, 0), nil, Departed, "dddddd", "all 6 reps were slower than their targets", nil},
	{"all at 3:30 instead of 4:00", sixEven, sixEven, evenPaces(6, 210, 0), nil, Departed, "dddddd", "all 6 reps were quicker than their targets", nil},
	{"fading by feel", sixByFeel, sixByFeel, evenPaces(6, 230, 4.5), nil, Departed, "dddddd", "got slower over the session", is(Slower)},
	{"uneven by feel", sixByFeel, sixByFeel, []float64{226, 254, 229, 252, 227, 253}, nil, Departed, "dddddd", "uneven", nil},
	{"quicker by feel, which nobody forbade", sixByFeel, sixByFeel, evenPaces(6, 245, -3), nil, AsPlanned, "dddddd", "", is(Quicker)},
	// Number of reps.
	{"nine of eight alike", "15:00 warm + 8 x 2:00 off 60s jog + 10:00 cool", "15:00 warm + 9 x 2:00 off 60s jog + 10:00 cool", nil, nil, Departed, "ddddddddx", "an extra rep of", nil},
	{"six of four", "15:00 warm + 4 x 4:00 off 2:00 jog + 10:00 cool", "15:00 warm + 6 x 4:00 off 2:00 jog + 10:00 cool", nil, nil, Departed, "ddddxx", "2 extra reps were run", nil},
	{"four of six, then the cool-down", progressive, "15:00 warm + 4 x 3:00 off 2:00 jog + 10:00 cool", evenPaces(4, 250, -5), nil, Departed, "ddddmm", "reps 5 and 6 were not run", nil},
	{"four of six, and no more", progressive, "15:00 warm + 4 x 3:00 off 2:00 jog", evenPaces(4, 250, -5), nil, CutShort, "ddddmm", "stopped after rep 4 of 6", nil},
	{"four of ten, then the cool-down", "15:00 warm + 10 x 2:00 off 60s jog + 10:00 cool", "15:00 warm + 4 x 2:00 off 60s jog + 10:00 cool", nil, nil, Departed, "ddddmmmmmm", "reps 5 to 10 were not run", nil},
	{"one jogged in the middle", sixEven, sixEven, nil, func(sc *scene) {
		l := &sc.acts[sc.works()[3]].leg
		l.Role, l.Manner, l.StartMPS, l.EndMPS = "recovery", "jog", 2.6, 2.6
	}, Departed, "dddmdd", "rep 4 was not run", nil},
	{"two of four that get shorter, then the cool-down", cutDown, "15:00 warm + 1600m @ 4:35/km + 2:30 jog + 1200m @ 4:27/km + 10:00 cool", nil, nil, Departed, "ddmm", "reps 3 and 4 were not run", nil},
	{"two of four that get shorter, and no more", cutDown, "15:00 warm + 1600m @ 4:35/km + 2:30 jog + 1200m @ 4:27/km", nil, nil, CutShort, "ddmm", "stopped after rep 2 of 4", nil},
	{"two of a ladder, then the cool-down", "10:00 warm + 1:00 + 90s jog + 2:00 + 90s jog + 3:00 + 90s jog + 4:00 + 90s jog + 5:00 + 8:00 cool", "10:00 warm + 1:00 + 90s jog + 2:00 + 8:00 cool", nil, nil, Departed, "ddmmm", "reps 3 to 5 were not run", nil},
	{"five of six strides", strides, "30:00 warm + 5 x 20s @ 3:20/km off 60s jog + 5:00 cool", nil, nil, Departed, "dddddm", "rep 6 was not run", nil},
	{"three of six strides", strides, "30:00 warm + 3 x 20s @ 3:20/km off 60s jog + 5:00 cool", nil, nil, Departed, "dddmmm", "reps 4 to 6 were not run", nil},
	// Length of reps.
	{"tempo stopped early", "10:00 warm + 25:00 @ 4:10/km + 10:00 cool", "10:00 warm + 21:40 @ 4:10/km + 10:00 cool", nil, nil, Departed, "s", "rep 1 was short by 3:", nil},
	{"tempo stopped early, and no more", "10:00 warm + 25:00 @ 4:10/km + 10:00 cool", "10:00 warm + 21:40 @ 4:10/km", nil, nil, CutShort, "s", "stopped in rep 1 of 1", nil},
	{"three of 8:30 for 10:00", "15:00 warm + 3 x 10:00 @ 4:10/km off 2:00 jog + 10:00 cool", "15:00 warm + 3 x 8:30 @ 4:10/km off 2:00 jog + 10:00 cool", nil, nil, Departed, "sss", "all 3 reps were short", nil},
	{"one of five short", "15:00 warm + 5 x 4:00 off 2:00 jog + 10:00 cool", "15:00 warm + 5 x 4:00 off 2:00 jog + 10:00 cool", nil, func(sc *scene) { sc.scale(sc.works()[2], 0.65) }, Departed, "ddsdd", "rep 3 was short by", nil},
	{"one of five long", "15:00 warm + 5 x 4:00 off 2:00 jog + 10:00 cool", "15:00 warm + 5 x 4:00 off 2:00 jog + 10:00 cool", nil, func(sc *scene) { sc.scale(sc.works()[1], 1.4) }, Departed, "dlddd", "rep 2 was long by", nil},
	{"a halt in a rep", sixEven, sixEven, nil, func(sc *scene) {
		l := &sc.acts[sc.works()[2]].leg
		l.Halts = append(l.Halts, simulate.Halt{AfterS: 90, ForS: 30})
		l.Seconds += 30
	}, Departed, "dddddd", "rep 3 was interrupted for", nil},
	// Recoveries and the rest.
	{"half of the recoveries", sixEven, "15:00 warm + 6 x 3:00 @ 4:00/km off 60s jog + 10:00 cool", nil, nil, Departed, "dddddd", "the recoveries after reps 1 to 5 were short", nil},
	{"one long recovery", sixEven, sixEven, nil, func(sc *scene) { sc.scale(sc.rests()[2], 2.5) }, Departed, "dddddd", "the recovery after rep 3 was long by", nil},
	{"a recovery run through", sixByFeel, sixByFeel, nil, func(sc *scene) {
		l := &sc.acts[sc.rests()[1]].leg
		l.Manner, l.StartMPS, l.EndMPS = "work", 4.2, 4.2
	}, Departed, "dddddd", "rep 2 was run through into the next one", nil},
	{"28.47 km of 20 km easy", "20km easy", "28470m easy", nil, nil, Departed, "", "the easy running was long by 8", nil},
	{"20 km easy", "20km easy", "20300m easy", nil, nil, AsPlanned, "", "", nil},
	{"14:00 of a cool-down of 40:00", "15:00 warm + 6 x 3:00 off 2:00 jog + 40:00 cool", "15:00 warm + 6 x 3:00 off 2:00 jog + 14:00 cool", nil, nil, Departed, "dddddd", "the cool-down was short by 2", nil},
	{"22:00 of a warm-up of 15:00", sixEven, "22:00 warm + 6 x 3:00 @ 4:00/km off 2:00 jog + 10:00 cool", nil, nil, Departed, "dddddd", "the warm-up was long by ", nil},
	{"no warm-up recorded", sixEven, "6 x 3:00 @ 4:00/km off 2:00 jog + 10:00 cool", nil, nil, AsPlanned, "dddddd", "", nil},
	{"forty reps, all slow", "10:00 warm + 40 x 45s @ 3:40/km off 30s jog + 5:00 cool", "10:00 warm + 40 x 45s @ 4:12/km off 30s jog + 5:00 cool", nil, nil, Departed, strings.Repeat("d", 40), "slower than their targets", nil},
	{"eight of 200 m, standing between", "10:00 warm + 8 x 200m off 40s stand + 10:00 cool", "10:00 warm + 8 x 200m @ 3:30/km off 40s stand + 10:00 cool", nil, nil, "", "dddddddd", "", nil}, // a belt needs a third of each rep to come up to speed, but of the first
	{"eight of 400 m, standing between", "10:00 warm + 8 x 400m off 75s stand + 10:00 cool", "10:00 warm + 8 x 400m @ 3:45/km off 75s stand + 10:00 cool", nil, nil, AsPlanned, "dddddddd", "", nil},
	{"ten of 400 m, standing between, where eight were planned", "10:00 warm + 8 x 400m off 75s stand + 10:00 cool", "10:00 warm + 10 x 400m @ 3:45/km off 75s stand + 10:00 cool", nil, nil, Departed, "ddddddddxx", "2 extra reps were run", nil},
	// Sets and unlike steps.
	{"two sets", "15:00 warm + 2 x ( 4 x 90s off 60s jog ) off 4:00 walk + 10:00 cool", "15:00 warm + 2 x ( 4 x 90s off 60s jog ) off 4:00 walk + 10:00 cool", nil, nil, AsPlanned, "dddddddd", "", nil},
	{"a ladder", "15:00 warm + 1:00 + 60s jog + 2:00 + 60s jog + 3:00 + 60s jog + 2:00 + 60s jog + 1:00 + 10:00 cool", "15:00 warm + 1:00 + 60s jog + 2:00 + 60s jog + 3:00 + 60s jog + 2:00 + 60s jog + 1:00 + 10:00 cool", nil, nil, AsPlanned, "ddddd", "", nil},
	{"kilometres in turn", "10:00 warm + 3 x ( 1km @ 4:30/km + 1km @ 4:00/km ) + 10:00 cool", "10:00 warm + 3 x ( 1km @ 4:30/km + 1km @ 4:00/km ) + 10:00 cool", nil, nil, AsPlanned, "dddddd", "", nil},
	// Other sessions.
	{"an easy run for reps", "15:00 warm + 6 x 800m @ 3:50/km off 400m jog + 10:00 cool", "45:00 easy", nil, nil, Different, "", "", nil},
	{"twelve of 400 m for five of 1 km", "15:00 warm + 5 x 1km off 2:00 jog + 10:00 cool", "15:00 warm + 12 x 400m off 200m jog + 10:00 cool", nil, nil, Different, "", "", nil},
	{"eight of 2:00 for a tempo run", "10:00 warm + 20:00 @ 4:10/km + 10:00 cool", "10:00 warm + 8 x 2:00 off 60s jog + 10:00 cool", nil, nil, Different, "", "", nil},
	{"a tempo run for eight of 2:00", "10:00 warm + 8 x 2:00 off 60s jog + 10:00 cool", "10:00 warm + 20:00 @ 4:10/km + 10:00 cool", nil, nil, Different, "", "", nil},
}

// coachDevices are the devices of the table.
var coachDevices = []string{"good watch, open sky", "watch with smart recording", "watch in the city", "watch with foot sensor", "treadmill's own file"}

// wrong tells what a coach would not have said; empty when all is right.
func (c coachCase) wrong(t *testing.T, d simulate.Device, seed uint64) string {
	sc := stage(t, c.ran, 4.2, seed)
	for k, i := range sc.works() {
		if c.paces != nil {
			v := 1000 / c.paces[k]
			sc.acts[i].leg.StartMPS, sc.acts[i].leg.EndMPS = v, v
		}
	}
	if c.change != nil {
		c.change(sc)
	}
	s, _ := sc.run(d, seed, func(r *simulate.Runner) { r.SpreadPct, r.WanderPct = 0, 0.3 })
	s, err := segment.Split(s.Recording)
	if err != nil {
		t.Fatal(err)
	}
	r := check(t, c.plan, s)
	said := strings.Join(r.Reasons, "; ")
	outcomes := ""
	for _, rep := range r.Reps {
		outcomes += map[Outcome]string{Done: "d", Short: "s", Long: "l", Missed: "m", Extra: "x"}[rep.Outcome]
	}
	switch {
	case c.want != "" && r.Verdict != c.want, c.want == "" && r.Verdict == Different:
		return fmt.Sprintf("%s (%s): %s", r.Verdict, outcomes, said)
	case c.reps != "" && outcomes != c.reps:
		return fmt.Sprintf("reps %s: %s", outcomes, said)
	case !strings.Contains(said, c.says):
		return fmt.Sprintf("said %q", said)
	case c.call != nil && !c.call(r.Progression.Call):
		return fmt.Sprintf("progression %s, %.1f ±%.1f s/km", r.Progression.Call, r.Progression.ChangeSPerKm, r.Progression.ChangeMargin)
	case len(r.Reasons) > 3:
		return fmt.Sprintf("too much to say: %q", said)
	}
	return ""
}

// What a coach would say, in 98 of 100 sessions over all cases, devices and seeds, and
// in 4 of 5 of every case.
func TestCoach(t *testing.T) {
	t.Parallel()
	seeds := uint64(1)
	if *full {
		seeds = 10
	}
	var all tally
	for k, c := range coachCases {
		var right tally
		for j, name := range coachDevices {
			for seed := range seeds {
				wrong := c.wrong(t, device(t, name), 700000+1000*uint64(k)+100*uint64(j)+seed)
				right.add(wrong == "")
				if wrong != "" {
					t.Logf("%s, %s, seed %d: %s", c.name, name, seed, wrong)
				}
			}
		}
		all.right, all.of = all.right+right.right, all.of+right.of
		if right.pct() < 80 {
			t.Errorf("%s: right in %d of %d", c.name, right.right, right.of)
		}
	}
	t.Logf("%d cases, %d devices: %.1f %% of %d right", len(coachCases), len(coachDevices), all.pct(), all.of)
	if least := 98 - 100*2.33*math.Sqrt(0.98*0.02/float64(all.of)); all.pct() < least {
		t.Errorf("%.1f %% of %d are right, at least %.1f are needed for 98", all.pct(), all.of, least)
	}
}
