package workouts_test

import (
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
	"github.com/google/go-cmp/cmp"
)

func TestFromBlocks(t *testing.T) {
	nan := math.NaN()
	warm := segment.Block{Count: 1, Role: segment.Warm, Amount: segment.Amount{Seconds: 900}, Pace: nan}
	cool := segment.Block{Count: 1, Role: segment.Cool, Amount: segment.Amount{Metres: 2000}, Pace: nan}
	jog := segment.Block{Count: 1, Role: segment.Recovery, Amount: segment.Amount{Seconds: 90}, Pace: 400}
	work := func(n int, a segment.Amount, pace float64, rest *segment.Block) segment.Block {
		return segment.Block{Count: n, Role: segment.Work, Amount: a, Pace: pace, Rest: rest}
	}
	stand, walk := jog, jog
	stand.Manner, walk.Manner = "stand", "walk"
	for _, c := range []struct {
		blocks []segment.Block
		want   string
	}{
		{nil, ""},
		{[]segment.Block{warm, work(5, segment.Amount{Seconds: 240}, 234.6, &jog), cool}, "15:00 warm + 5 x 4:00 @ 3:55/km off 1:30 jog + 2km cool"},
		{[]segment.Block{work(4, segment.Amount{Metres: 1609.344, Mile: true}, nan, &stand)}, "4 x 1mi off 1:30 stand"},
		{[]segment.Block{work(4, segment.Amount{Metres: 400}, math.Inf(1), &walk)}, "4 x 400m off 1:30 walk"},
		{[]segment.Block{{Count: 3, Body: []segment.Block{work(2, segment.Amount{Metres: 300}, nan, &jog)}, Rest: &walk}}, "3 x ( 2 x 300m off 1:30 jog ) off 1:30 walk"},
		{[]segment.Block{{Count: 1, Role: segment.Easy, Amount: segment.Amount{}, Pace: nan}}, "open easy"},
		{[]segment.Block{{Count: 0, Role: segment.Stop, Amount: segment.Amount{Seconds: 0.2}, Pace: nan}}, "1s stand"},
		{[]segment.Block{{Count: 1, Role: segment.Recovery, Manner: "stand", Amount: segment.Amount{Metres: 200}, Pace: nan}}, "200m walk"},
		{[]segment.Block{{Count: 1, Role: segment.Recovery, Manner: "float", Amount: segment.Amount{Metres: 200}, Pace: nan}}, "200m float"},
		{[]segment.Block{{Count: 1, Role: segment.Recovery, Manner: "crawl", Amount: segment.Amount{Metres: 200}, Pace: nan}}, "200m jog"},
		{[]segment.Block{{Count: 1, Role: segment.Work, Amount: segment.Amount{Seconds: 59.6}, Pace: nan, Rest: &jog}}, "1:00"},
	} {
		w := workouts.FromBlocks(c.blocks)
		got := notation.Print(w)
		if got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
		if got == "" {
			continue
		}
		if diff := cmp.Diff(w, parse(t, got)); diff != "" {
			t.Errorf("%s:\n%s", got, diff)
		}
	}
}

func TestFromPlan(t *testing.T) {
	step := func(i int, s recording.PlanStep) recording.PlanStep { s.Index = i; return s }
	for _, c := range []struct {
		name     string
		steps    []recording.PlanStep
		want     string
		warnings []string
	}{
		{"a repeat points back", []recording.PlanStep{
			step(0, recording.PlanStep{TimeS: 600, Intensity: recording.WarmUp}),
			step(1, recording.PlanStep{DistanceM: 1000, Intensity: recording.Active, SpeedLow: 4, SpeedHigh: 4.255}),
			step(2, recording.PlanStep{TimeS: 90, Intensity: recording.Rest}),
			step(3, recording.PlanStep{Repeat: 5, BackTo: 1}),
			step(4, recording.PlanStep{Intensity: recording.CoolDown}),
		}, "10:00 warm + 5 x ( 1km @ 3:55-4:10/km + 1:30 jog ) + open cool", nil},
		{"a repeat of a repeat", []recording.PlanStep{
			step(0, recording.PlanStep{DistanceM: 1609.34}),
			step(1, recording.PlanStep{Repeat: 2, BackTo: 0}),
			step(2, recording.PlanStep{TimeS: 180, Intensity: recording.Rest}),
			step(3, recording.PlanStep{Repeat: 3, BackTo: 0}),
		}, "3 x ( 2 x 1mi + 3:00 jog )", nil},
		{"targets", []recording.PlanStep{
			step(0, recording.PlanStep{TimeS: 60, SpeedLow: 4, SpeedHigh: 4}),
			step(1, recording.PlanStep{TimeS: 60, HeartZone: 3}),
			step(2, recording.PlanStep{TimeS: 60, HeartLow: 80, HeartHigh: 90, HeartPercent: true}),
			step(3, recording.PlanStep{TimeS: 60, HeartLow: 140, HeartHigh: 150}),
			step(4, recording.PlanStep{TimeS: 60, SpeedLow: 0.1, SpeedHigh: 90}),
		}, "1:00 @ 4:10/km + 1:00 @ zone 3 + 1:00 @ 80-90%max + 1:00 @ 140-150bpm + 1:00",
			[]string{"planned step 5: a speed of 0.10 to 90.00 m/s cannot be a target"}},
		{"what is lost is said", []recording.PlanStep{
			step(0, recording.PlanStep{Repeat: 3, BackTo: 0}),
			step(1, recording.PlanStep{TimeS: 1e12, Unsupported: "a power target"}),
			step(2, recording.PlanStep{Repeat: 5000, BackTo: 1}),
		}, "999 x 168:00:00", []string{
			"planned step 1 repeats nothing", "planned step 2: a power target", "planned step 3 repeats 5000 times; 999 are kept"}},
	} {
		w, warnings := workouts.FromPlan(recording.Plan{Name: c.name, Steps: c.steps})
		if got := notation.Print(w); got != c.want || w.Name != c.name {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
		var messages []string
		for _, w := range warnings {
			messages = append(messages, w.Message)
			if w.Code != workouts.PlanStepLost {
				t.Errorf("%s: code %q", c.name, w.Code)
			}
		}
		if diff := cmp.Diff(c.warnings, messages); diff != "" {
			t.Errorf("%s:\n%s", c.name, diff)
		}
	}
}
