package recording

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The workout examples of the FIT SDK, as its own dumps in the library's test
// data have them (the .csv beside each .fit).
func TestPlanExamples(t *testing.T) {
	power := "target power"
	end := PlanStep{Index: 3, Name: "_C_", Intensity: CoolDown, Unsupported: "it ends when heart rate is below 125 beats/min; " + power}
	at := func(s PlanStep, index int) PlanStep { s.Index = index; return s }
	half := func(index int, name string) PlanStep {
		return PlanStep{Index: index, Name: name, Intensity: Active, DistanceM: 500, Unsupported: power}
	}
	warm := PlanStep{Name: "_A_", Intensity: WarmUp, TimeS: 60, HeartZone: 2}
	for name, want := range map[string]Plan{
		"WorkoutIndividualSteps": {Name: "Example 1", Steps: []PlanStep{warm, half(1, "B1_"), half(2, "B2_"), end}},
		"WorkoutRepeatSteps": {Name: "Example 2", Steps: []PlanStep{warm, half(1, "B1_"), half(2, "B2_"),
			{Index: 3, Name: "Rep", Intensity: Active, Repeat: 3, BackTo: 1}, at(end, 4)}},
		"WorkoutRepeatGreaterThanStep": {Name: "Example 2", Steps: []PlanStep{warm, half(1, "B1_"), half(2, "B2_"),
			{Index: 3, Name: "Rep", Intensity: Active, Repeat: 1, BackTo: 1,
				Unsupported: "it repeats until something is reached (rule 11, value 80), so how often is not known beforehand"}, at(end, 4)}},
		"WorkoutCustomTargetValues": {Name: "Example 1", Steps: []PlanStep{
			{Name: "_A_", Intensity: WarmUp, TimeS: 60, HeartLow: 50, HeartHigh: 60, HeartPercent: true}, half(1, "B1_"), half(2, "B2_"), end}},
	} {
		path := filepath.Join(moduleDir(t, muktihari), "testdata", "from_official_sdk", name+".fit")
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got, err := ReadPlan(path, bytes.NewReader(raw))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(&want, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		if _, err := Open(path); !errors.Is(err, ErrPlanOnly) {
			t.Errorf("%s as a recording: %v", name, err)
		}
	}
}

// planSteps are the fields used of workout_step: index, duration type and
// value, target type and value, low, high, intensity.
var planSteps = []field{{254, 2, tUint16}, {1, 1, tEnum}, {2, 4, tUint32}, {3, 1, tEnum}, {4, 4, tUint32}, {5, 4, tUint32}, {6, 4, tUint32}, {7, 1, tEnum}}

// Scales and codes of workout_step from the FIT profile (21.205); for heart
// rates 0 to 100 is a percentage and more is beats + 100.
func TestPlanSteps(t *testing.T) {
	const none = none32
	for _, c := range []struct {
		name   string
		values [7]int64 // from duration type on
		want   PlanStep
	}{
		{"time at a speed", [7]int64{0, 240000, 0, 0, 4000, 4200, 0}, PlanStep{TimeS: 240, SpeedLow: 4, SpeedHigh: 4.2, Intensity: Active}},
		{"distance, one bound of speed", [7]int64{1, 80000, 0, 0, 4000, none, 5}, PlanStep{DistanceM: 800, SpeedLow: 4, Intensity: Active}},
		{"open", [7]int64{5, none, 2, none, none, none, 4}, PlanStep{Intensity: Rest}},
		{"heart rate in beats", [7]int64{0, 60000, 1, 0, 250, 260, 1}, PlanStep{TimeS: 60, HeartLow: 150, HeartHigh: 160, Intensity: Rest}},
		{"heart rate in percent", [7]int64{0, 60000, 1, 0, 85, 90, 2}, PlanStep{TimeS: 60, HeartLow: 85, HeartHigh: 90, HeartPercent: true, Intensity: WarmUp}},
		{"heart rate in both", [7]int64{0, 60000, 1, 0, 85, 260, 2}, PlanStep{TimeS: 60, Intensity: WarmUp, Unsupported: "heart rate from 85 % of maximum to 160 beats/min"}},
		{"heart-rate zone", [7]int64{31, 60000, 1, 4, none, none, 3}, PlanStep{TimeS: 60, HeartZone: 4, Intensity: CoolDown}},
		{"heart-rate zone 7", [7]int64{0, 60000, 1, 7, none, none, 3}, PlanStep{TimeS: 60, Intensity: CoolDown, Unsupported: "heart-rate zone 7"}},
		{"speed zone", [7]int64{28, 60000, 12, 3, none, none, 6}, PlanStep{TimeS: 60, Unsupported: "speed zone 3"}},
		{"cadence", [7]int64{0, 60000, 3, 0, 85, 90, 0}, PlanStep{TimeS: 60, Intensity: Active, Unsupported: "target cadence"}},
		{"until a heart rate", [7]int64{2, 220, 2, none, none, none, 1}, PlanStep{Intensity: Rest, Unsupported: "it ends when heart rate is below 120 beats/min"}},
		{"over a heart rate", [7]int64{3, 90, 2, none, none, none, 0}, PlanStep{Intensity: Active, Unsupported: "it ends when heart rate is above 90 % of maximum"}},
		{"energy", [7]int64{4, 300, 2, none, none, none, 0}, PlanStep{Intensity: Active, Unsupported: "it ends after 300 kcal"}},
		{"repetitions", [7]int64{29, 12, 2, none, none, none, 0}, PlanStep{Intensity: Active, Unsupported: "it ends in a way not known here (rule 29, value 12)"}},
		{"no length", [7]int64{0, none, 2, none, none, none, 0}, PlanStep{Intensity: Active, Unsupported: "its length is missing"}},
		{"repeat", [7]int64{6, 0, 255, 5, none, none, 255}, PlanStep{Repeat: 5}},
		{"repeat of no number", [7]int64{6, 0, 255, none, none, none, 255}, PlanStep{Repeat: 1, Unsupported: "its number of repeats is missing or beyond 1000"}},
		{"repeat until a time", [7]int64{7, 0, 255, 600000, none, none, 255}, PlanStep{Repeat: 1, Unsupported: "it repeats until something is reached (rule 7, value 600000), so how often is not known beforehand"}},
		{"repeat forward", [7]int64{6, 4, 255, 5, none, none, 255}, PlanStep{Repeat: 5, BackTo: 4, Unsupported: "it goes back to step 4, which is not before it"}},
	} {
		f := new(fitFile)
		f.def(0, 0, field{0, 1, tEnum})
		f.data(0, 5)
		f.def(1, 27, planSteps...)
		f.data(1, 0, 5, none, 2, none, none, none, 0)
		v := c.values
		f.data(1, 1, v[0], v[1], v[2], v[3], v[4], v[5], v[6])
		got, err := ReadPlan("p.fit", strings.NewReader(string(f.bytes())))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		c.want.Index = 1
		if diff := cmp.Diff(c.want, got.Steps[1]); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

// A plan inside an activity, its steps out of order, and one chained to it.
func TestPlanInActivity(t *testing.T) {
	const none = none32
	plan := func(f *fitFile) {
		f.def(2, 26, field{8, 16, tString}, field{17, 16, tString})
		f.data(2, "Hill day", "short and steep")
		f.def(3, 27, planSteps...)
		f.data(3, 1, 0, 60000, 2, none, none, none, 1)
		f.data(3, 0, 0, 120000, 2, none, none, none, 0)
		f.data(3, 2, 6, 0, 255, 4, none, none, 255)
	}
	want := &Plan{Name: "Hill day", About: "short and steep", Steps: []PlanStep{
		{Index: 0, TimeS: 120, Intensity: Active}, {Index: 1, TimeS: 60, Intensity: Rest}, {Index: 2, Repeat: 4}}}
	inside := fitRun(each(9, base, 1), steady)
	plan(inside)
	alone := new(fitFile)
	alone.def(0, 0, field{0, 1, tEnum})
	alone.data(0, 5)
	plan(alone)
	chain := string(alone.bytes()) + string(fitRun(each(9, base, 1), steady).bytes())
	for name, data := range map[string]string{"inside": string(inside.bytes()), "chained": chain} {
		r := readOne(t, name, data)
		if diff := cmp.Diff(want, r.Plan); diff != "" || len(r.Warnings) != 0 {
			t.Errorf("%s: %s %v", name, diff, r.Warnings)
		}
		p, err := ReadPlan(name, strings.NewReader(data))
		if diff := cmp.Diff(want, p); err != nil || diff != "" {
			t.Errorf("%s: %v %s", name, err, diff)
		}
	}
}

func TestPlanRefused(t *testing.T) {
	whole := new(fitFile)
	whole.def(0, 0, field{0, 1, tEnum})
	whole.data(0, 5)
	whole.def(1, 27, planSteps...)
	whole.data(1, 0, 0, 60000, 2, 0, 0, 0, 0)
	for _, c := range []struct {
		data string
		is   error
		says string
	}{
		{"", ErrEmpty, "p: is empty; copy it from the device again"},
		{"5 x 400m", ErrFormat, "p: is no FIT file; planned workouts are read from FIT files and from the text notation"},
		{string(fitRun(each(9, base, 1), steady).bytes()), ErrNoRecords, "p: holds no planned workout"},
		{string(whole.bytes()[:60]), ErrDamaged, "p: byte 60: is a damaged FIT file: it breaks off; copy it from the device again"},
	} {
		p, err := ReadPlan("p", strings.NewReader(c.data))
		if p != nil || !errors.Is(err, c.is) || err.Error() != c.says {
			t.Errorf("got %v, want %s", err, c.says)
		}
	}
}
