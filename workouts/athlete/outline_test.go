package athlete_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"github.com/google/go-cmp/cmp"
)

func TestOutline(t *testing.T) {
	// An easy pace that makes the sums plain; what is assumed is marked by "~".
	me := athlete.New()
	me.Paces = map[string]workouts.Pace{"easy": workouts.MakePace(300, workouts.PerKm)}
	for _, c := range []struct {
		who   athlete.Athlete
		src   string
		steps []string // where each begins: s, m
		total string
		open  int
	}{
		// 4 min at 4:00/km are 1 km; 1 km at 4:00/km is 4 min. Nothing is assumed.
		{me, "4:00 @ 4:00/km + 1km @ 4:00/km + 1:00 stand", []string{"0 0", "240 1000", "480 2000"}, "540 2000", 0},
		// 10 min of warming up at 1.05 of the easy pace are 1.905 km.
		{me, "10:00 warm + 1km @ 4:00/km", []string{"0 0", "600 ~1904.8"}, "840 ~2904.8", 0},
		// 1 km easy takes about 5 min; only the time is rough.
		{me, "1km easy + 2:00 @ 4:00/km", []string{"0 0", "~300 1000"}, "~420 1500", 0},
		// A band counts by its middle, a progression rep by rep.
		{me, "1km @ 3:50-4:10/km + 3 x 1km @ 4:00 -> 3:40/km off 1:00 stand", []string{"0 0", "240 1000", "480 2000", "540 2000", "770 3000", "830 3000"}, "1050 4000", 0},
		// Within a step by the middle of its ends.
		{me, "1km @ 5:00 -> 4:00/km", []string{"0 0"}, "270 1000", 0},
		// An open rest adds nothing.
		{me, "2 x 1km @ 4:00/km off open walk", []string{"0 0", "240 1000", "240 1000"}, "480 2000", 1},
		// Walking at 6 km/h.
		{me, "10:00 walk", []string{"0 0"}, "600 ~1000", 0},
		// Heart and feeling say no pace: work is 0.78 of easy.
		{me, "3:54 @ 150-160bpm + 3:54 @ quicker", []string{"0 0", "234 ~1000"}, "468 ~2000", 0},
		// Nothing known: 6:00/km easy.
		{athlete.New(), "30:00 easy", []string{"0 0"}, "1800 ~5000", 0},
		// From a race: 10 km in 50:00 makes 6:24/km easy.
		{athlete.Athlete{Race: &athlete.Race{Metres: 10000, Seconds: 3000}}, "1km easy", []string{"0 0"}, "~384 1000", 0},
	} {
		o := c.who.Outline(parse(t, c.src))
		show := func(s, m athlete.Estimate) string { return estimate(s) + " " + estimate(m) }
		var got []string
		for _, s := range o.Steps {
			got = append(got, show(s.BeginsS, s.BeginsM))
		}
		if diff := cmp.Diff(c.steps, got); diff != "" {
			t.Errorf("%s:\n%s", c.src, diff)
		}
		if total := show(o.Seconds, o.Metres); total != c.total || o.Open != c.open {
			t.Errorf("%s: in all %s with %d open, want %s with %d", c.src, total, o.Open, c.total, c.open)
		}
	}
	if o := me.Outline(parse(t, "1km @ nobody")); len(o.Warnings) != 1 || !o.Seconds.Rough {
		t.Errorf("an unknown reference pace: %+v", o)
	}
}

func estimate(e athlete.Estimate) string {
	s := fmt.Sprint(math.Round(e.Value*10) / 10)
	if e.Rough {
		s = "~" + s
	}
	return s
}

// 4:00/km is 4.1667 m/s, 8:00/km half of it.
func TestOutlineSpeed(t *testing.T) {
	me := athlete.New()
	for _, c := range []struct {
		src      string
		from, to float64
		want     float64
	}{
		{"2 x 4:00 @ 4:00/km off 4:00 stand", 0, 240, 1000.0 / 240},
		{"2 x 4:00 @ 4:00/km off 4:00 stand", 240, 480, 0},
		{"2 x 4:00 @ 4:00/km off 4:00 stand", 120, 360, 500.0 / 240},
		{"4:00 @ 4:00/km + 4:00 easy @ 8:00/km", 0, 480, 750.0 / 240},
		{"4:00 @ 4:00/km + 4:00 easy @ 8:00/km", 400, 1000, 500.0 / 240}, // what is outside does not count
		{"4:00 @ 4:00/km", 240, 300, math.NaN()},
		{"open", 0, 10, math.NaN()},
	} {
		got := me.Outline(parse(t, c.src)).Speed(c.from, c.to)
		if math.Abs(got-c.want) > 1e-9 || math.IsNaN(got) != math.IsNaN(c.want) {
			t.Errorf("%s from %g to %g s: %g m/s, want %g", c.src, c.from, c.to, got, c.want)
		}
	}
}
