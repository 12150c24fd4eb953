package match

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/trend"
)

// level is a runner who holds every intended speed exactly, so that what reps
// differ by is known.
func level(r *simulate.Runner) { r.SpreadPct, r.WanderPct = 0, 0 }

// Sessions of equal reps by length. Each is run level, and with every rep
// quicker than the last by a step.
var calibrationPlans = []struct{ name, plan string }{
	{"60 s", "10:00 warm + 10 x 1:00 off 60s jog + 3:00 cool"},
	{"3 min", "10:00 warm + 6 x 3:00 off 90s jog + 3:00 cool"},
	{"1 km", "10:00 warm + 6 x 1km off 90s jog + 3:00 cool"},
}

// A called is how often pairs of reps were called quicker, and how often they
// would have been called quicker or slower had they truly been level.
type called struct{ quicker, falseQuicker, falseSlower, of, reps int }

func (c called) pct() float64 { return 100 * float64(c.quicker) / math.Max(float64(c.of), 1) }

func (c called) falsePct() float64 {
	return 100 * float64(c.falseQuicker) / math.Max(float64(c.of), 1)
}

func (c *called) add(d called) {
	c.quicker, c.falseQuicker, c.falseSlower = c.quicker+d.quicker, c.falseQuicker+d.falseQuicker, c.falseSlower+d.falseSlower
	c.of, c.reps = c.of+d.of, c.reps+d.reps
}

// splitAndChecked splits a run of a scene and holds it against the plan.
func splitAndChecked(t *testing.T, sc *scene, s *segment.Session) *Result {
	t.Helper()
	s, err := segment.Split(s.Recording)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Check(sc.plan, s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// callPairs runs a session in which each rep is quicker than the last by step
// s/km and counts the calls. The fastest rep is about 3:50 per km.
func callPairs(t *testing.T, d simulate.Device, plan string, step float64, seed uint64) (c called) {
	sc := stage(t, plan, 4.2, seed)
	works := sc.works()
	for k, i := range works {
		pace := 230 + step*float64(len(works)-1-k)
		sc.acts[i].leg.StartMPS, sc.acts[i].leg.EndMPS = 1000/pace, 1000/pace
	}
	s, truth := sc.run(d, seed, level)
	r := splitAndChecked(t, sc, s)
	for _, rep := range r.Reps {
		if rep.Step >= 0 && rep.Outcome == Done {
			c.reps++
		}
		if rep.VsPrevious.With < 0 {
			continue
		}
		c.of++
		if rep.VsPrevious.Call == Quicker {
			c.quicker++
		}
		// Reps meant to be level differ by some tenths of a second in truth: a
		// simulated runner starts one a little too fast, the next too slow.
		before := r.Reps[rep.VsPrevious.With]
		off := rep.VsPrevious.DeltaSPerKm - (sc.truePace(rep.Step, truth) - sc.truePace(before.Step, truth))
		switch {
		case off < -trend.Z95*rep.VsPrevious.SE:
			c.falseQuicker++
		case off > trend.Z95*rep.VsPrevious.SE:
			c.falseSlower++
		}
	}
	return c
}

// At the printed margin one level pair in twenty may be called quicker or slower, at
// each length of rep. The noise is that of the simulated devices, which are held to
// open recordings. Margins far too wide would pass that: TestPower holds them.
func TestFalsePairs(t *testing.T) {
	t.Parallel()
	seeds := uint64(20)
	if *full {
		seeds = 40
	}
	for i, p := range calibrationPlans {
		var length called
		for k, d := range usableDevices() {
			for seed := range seeds {
				length.add(callPairs(t, d, p.plan, 0, 7000+1000*uint64(i)+100*uint64(k)+seed))
			}
		}
		t.Logf("%-5s reps: %.1f %% of %d level pairs called quicker, %.1f %% slower", p.name, length.falsePct(), length.of, 100*float64(length.falseSlower)/float64(length.of))
		if length.of < 400 {
			t.Errorf("%s: only %d pairs were run", p.name, length.of)
		}
		if rate := length.falseQuicker + length.falseSlower; float64(rate) > 0.05*float64(length.of) {
			t.Errorf("%s: %d of %d level pairs are called", p.name, rate, length.of)
		}
	}
}

// How often a true step is seen. With -v it prints the table for the manual.
func TestPower(t *testing.T) {
	t.Parallel()
	steps := []float64{2, 4, 8}
	devices, seeds := usableDevices(), uint64(12)
	if !testing.Verbose() {
		devices, seeds = []simulate.Device{device(t, "treadmill's own file"), device(t, "good watch, open sky")}, 3
	}
	power := map[string]float64{}
	var b strings.Builder
	fmt.Fprintf(&b, "\n%-36s", "percent of true steps called")
	for _, p := range calibrationPlans {
		fmt.Fprintf(&b, "%20s", p.name)
	}
	fmt.Fprintf(&b, "\n%-36s%s\n", "s/km quicker than the last", strings.Repeat("      2      4      8", len(calibrationPlans)))
	for k, d := range devices {
		fmt.Fprintf(&b, "%-36s", d.Name)
		for i, p := range calibrationPlans {
			for j, step := range steps {
				var c called
				for seed := range seeds {
					c.add(callPairs(t, d, p.plan, step, 20000+1000*uint64(i)+300*uint64(j)+20*uint64(k)+seed))
				}
				power[fmt.Sprint(d.Name, p.name, step)] = c.pct()
				fmt.Fprintf(&b, "%7.0f", c.pct())
			}
		}
		fmt.Fprintln(&b)
	}
	t.Log(b.String())
	// A step is the easier to see the larger it is and the longer the reps.
	for _, d := range devices {
		for _, p := range calibrationPlans {
			if two, eight := power[fmt.Sprint(d.Name, p.name, 2)], power[fmt.Sprint(d.Name, p.name, 8)]; eight < two-5 {
				t.Errorf("%s, %s: 8 s/km are seen in %.0f %%, 2 s/km in %.0f %%", d.Name, p.name, eight, two)
			}
		}
	}
	for what, least := range map[string]float64{ // half of what was measured, and more where it was all
		"treadmill's own file60 s4": 35, "treadmill's own file3 min2": 60, "treadmill's own file3 min4": 90, "treadmill's own file3 min8": 95, "treadmill's own file1 km2": 75,
		"good watch, open sky60 s8": 45, "good watch, open sky3 min4": 55, "good watch, open sky3 min8": 90, "good watch, open sky1 km4": 60, "good watch, open sky1 km8": 90,
	} {
		if p, ok := power[what]; !ok || p < least {
			t.Errorf("%s s/km are seen in %.0f %%, at least %.0f expected", what, p, least)
		}
	}
}
