package workouts_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// parse reads a workout that is known to be right.
func parse(t testing.TB, src string) workouts.Workout {
	t.Helper()
	w, err := notation.Parse("test", src)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// short writes planned steps as role letter, set.rep: "w1.1 r1.1".
func short(planned []workouts.Planned) string {
	var parts []string
	for _, p := range planned {
		letter := map[segment.Role]string{segment.Warm: "warm", segment.Cool: "cool", segment.Easy: "easy", segment.Work: "w", segment.Recovery: "r"}[p.Role]
		if p.Set > 0 || p.Rep > 0 {
			letter += fmt.Sprintf("%d.%d", p.Set, p.Rep)
		}
		parts = append(parts, letter)
	}
	return strings.Join(parts, " ")
}

func TestRolesSetsAndReps(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"10:00 warm + 3 x 1km off 60s + 10:00 cool", "warm w1.1 r1.1 w1.2 r1.2 w1.3 cool"},
		// Easy running before the first rep warms up, after the last it cools down.
		{"2km easy + 20:00 @ half + 2km jog", "warm w1.1 cool"},
		{"30:00 easy", "easy"},
		{"5:00 warm + 30:00 easy + 5:00 walk", "warm easy easy"},
		// A steady run is work where nothing is harder.
		{"40:00 steady", "w1.1"},
		{"10:00 steady + 3 x 1:00 off 60s", "warm w1.1 r1.1 w1.2 r1.2 w1.3"},
		{"3 x ( 1km + 500m steady )", "w1.1 r1.1 w1.2 r1.2 w1.3 r1.3"},
		// Sets: the innermost group with two or more reps in a pass.
		{"2 x ( 3 x 2:00 off 1:00 ) off 4:00 walk", "w1.1 r1.1 w1.2 r1.2 w1.3 r1.3 w2.4 r2.4 w2.5 r2.5 w2.6"},
		{"3 x ( 400m + 60s jog + 200m ) off 3:00", "w1.1 r1.1 w1.2 r1.2 w2.3 r2.3 w2.4 r2.4 w3.5 r3.5 w3.6"},
		{"3 x ( 800m + 800m easy )", "w1.1 r1.1 w1.2 r1.2 w1.3 r1.3"},
		{"10:00 jog + 2 x ( 5:00 easy + 800m ) + 5:00 jog", "warm warm w1.1 r1.1 w1.2 cool"},
		{"2 x ( 1km + 2 x 200m off 30s )", "w1.1 w1.2 r1.2 w1.3 w2.4 w2.5 r2.5 w2.6"},
		{"2 x ( 2 x ( 2 x 200m ) )", "w1.1 w1.2 w2.3 w2.4 w3.5 w3.6 w4.7 w4.8"},
		{"2 x 1km off 60s + 5:00 jog + 2 x 400m off 60s", "w1.1 r1.1 w1.2 r1.2 w2.3 r2.3 w2.4"},
		{"1:00 + 60s jog + 2:00 + 60s jog + 1:00", "w1.1 r1.1 w1.2 r1.2 w1.3"},
		{"1km + 2 x 400m off 60s + 1km", "w1.1 w2.2 r2.2 w2.3 w3.4"},
		// The rests of a run without work are recovery all the same.
		{"3 x 5:00 jog off 1:00 walk", "easy r easy r easy"},
	} {
		if got := short(parse(t, c.src).Expand()); got != c.want {
			t.Errorf("%s:\ngot  %s\nwant %s", c.src, got, c.want)
		}
	}
}

func TestGoals(t *testing.T) {
	goals := func(src string) []workouts.Goal {
		var out []workouts.Goal
		for _, p := range parse(t, src).Expand() {
			if p.Role == segment.Work {
				out = append(out, p.Goal)
			}
		}
		return out
	}
	paces := func(gs []workouts.Goal) string {
		var parts []string
		for _, g := range gs {
			parts = append(parts, fmt.Sprintf("%.1f[%.1f,%.1f]%.1f", g.Pace, g.LowPace, g.HighPace, g.EndPace))
		}
		return strings.Join(parts, " ")
	}
	for _, c := range []struct{ src, want string }{
		{"2 x 1km @ 3:45/km", "225.0[225.0,225.0]0.0 225.0[225.0,225.0]0.0"},
		{"1km @ 3:45/km ±3s", "225.0[222.0,228.0]0.0"},
		{"1km @ 3:50-4:00/km", "235.0[230.0,240.0]0.0"},
		{"1km @ 4:00-3:50/km ±2s", "235.0[228.0,242.0]0.0"},
		// From 4:05 to 3:45 over five reps: five seconds a rep.
		{"5 x 1km @ 4:05 -> 3:45/km off 60s", "245.0[245.0,245.0]0.0 240.0[240.0,240.0]0.0 235.0[235.0,235.0]0.0 230.0[230.0,230.0]0.0 225.0[225.0,225.0]0.0"},
		// Over the passes of the innermost repeat, each time anew.
		{"2 x ( 2 x 1:00 @ 4:00 -> 3:50/km )", "240.0[240.0,240.0]0.0 230.0[230.0,230.0]0.0 240.0[240.0,240.0]0.0 230.0[230.0,230.0]0.0"},
		{"3 x ( 1km @ 4:00 -> 3:50/km + 1km easy )", "240.0[240.0,240.0]0.0 235.0[235.0,235.0]0.0 230.0[230.0,230.0]0.0"},
		// Within a step that is not repeated: from its start to its end.
		{"40:00 steady @ 5:00 -> 4:00/km ±5s", "300.0[235.0,305.0]240.0"},
		// Speeds go in even steps of speed: 14, 15, 16 km/h.
		{"3 x 3:00 @ 14 -> 16km/h off 60s", "257.1[257.1,257.1]0.0 240.0[240.0,240.0]0.0 225.0[225.0,225.0]0.0"},
		// 6:00/mi is 360/1.609344 = 223.7 s/km; 3 s/mi are 1.9 s/km.
		{"1mi @ 6:00/mi ±3s", "223.7[221.8,225.6]0.0"},
	} {
		if got := paces(goals(c.src)); got != c.want {
			t.Errorf("%s:\ngot  %s\nwant %s", c.src, got, c.want)
		}
	}

	for _, c := range []struct {
		src  string
		than []int // the rep each is held against, 0 for none
	}{
		{"3 x 1km @ quicker off 60s", []int{0, 1, 2}},
		{"2 x ( 2 x 1:00 @ quicker off 30s ) off 60s", []int{0, 1, 0, 3}},
		{"3 x ( 1km @ quicker + 200m @ quicker )", []int{0, 0, 1, 2, 3, 4}},
		{"1:00 @ quicker + 30s jog + 1:00 @ quicker", []int{0, 1}},
		{"2 x ( 1km + 2 x 200m @ quicker )", []int{0, 0, 2, 0, 0, 5}},
	} {
		var got []int
		for _, g := range goals(c.src) {
			got = append(got, g.Than)
			if g.Kind == workouts.QuickerGoal && g.First != (g.Than == 0) {
				t.Errorf("%s: First is %v, Than is %d", c.src, g.First, g.Than)
			}
		}
		if diff := cmp.Diff(c.than, got); diff != "" {
			t.Errorf("%s:\n%s", c.src, diff)
		}
	}

	if g := goals("3 x 1km @ quicker by 3s/mi off 60s")[1]; math.Abs(g.QuickerBy-3/1.609344) > 1e-12 {
		t.Errorf("3 s/mi are %v s/km", g.QuickerBy)
	}
	for _, c := range []struct{ src, name string }{
		{"1km @ half", "half"}, {"1km @ 3:40/km - marathon", "marathon"}, {"1km @ zone 4", "zone"}, {"1km @ 80%max", "%max"},
	} {
		if g := goals(c.src)[0]; g.Kind != workouts.UnresolvedGoal || g.Name != c.name {
			t.Errorf("%s: %+v", c.src, g)
		}
	}
}

// The unrolled workout against one built with no more than loops.
func TestExpandAgainstPlainUnrolling(t *testing.T) {
	var unroll func(items []workouts.Item) []workouts.Step
	unroll = func(items []workouts.Item) (out []workouts.Step) {
		for _, it := range items {
			for k := range it.Count {
				if k > 0 && it.Rest != nil {
					out = append(out, *it.Rest)
				}
				if len(it.Body) > 0 {
					out = append(out, unroll(it.Body)...)
				} else {
					out = append(out, it.Step)
				}
			}
		}
		return out
	}
	rapid.Check(t, func(t *rapid.T) {
		w := workouts.Workout{Items: drawItems(t, 0)}
		if w.Size() > workouts.MaxPlanned {
			t.Skip("too long")
		}
		want := unroll(w.Items)
		planned := w.Expand()
		if len(planned) != len(want) || len(planned) != w.Size() {
			t.Fatalf("%d steps, %d by loops, Size %d", len(planned), len(want), w.Size())
		}
		rep, set := 0, 0
		var seconds, metres float64
		for i, p := range planned {
			if p.Step != want[i] || p.Index != i {
				t.Fatalf("step %d is %+v, want %+v", i, p.Step, want[i])
			}
			if p.Role == segment.Work {
				if p.Rep != rep+1 || p.Set != set && p.Set != set+1 {
					t.Fatalf("step %d: set %d rep %d after set %d rep %d", i, p.Set, p.Rep, set, rep)
				}
				rep, set = p.Rep, p.Set
			}
			if p.Role == segment.Recovery && (p.Rep != rep || p.Set != set) {
				t.Fatalf("the recovery at %d is %d.%d after %d.%d", i, p.Set, p.Rep, set, rep)
			}
			seconds += p.Step.Amount.Seconds
			metres += p.Step.Amount.Metres
		}
		if s, m := w.Length(); math.Abs(s-seconds) > 1e-6 || math.Abs(m-metres) > 1e-6 {
			t.Fatalf("Length is %v s, %v m; the steps have %v, %v", s, m, seconds, metres)
		}
		// The normal form unrolls into the same.
		if diff := cmp.Diff(planned, w.Normal().Expand()); diff != "" {
			t.Fatal(diff)
		}
		if diff := cmp.Diff(w.Normal(), w.Normal().Normal()); diff != "" {
			t.Fatal(diff)
		}
	})
}

func drawItems(t *rapid.T, depth int) []workouts.Item {
	var out []workouts.Item
	for range rapid.IntRange(1, 3).Draw(t, "items") {
		it := workouts.Item{Count: rapid.IntRange(1, 4).Draw(t, "count")}
		if it.Count > 1 && rapid.Bool().Draw(t, "rest") {
			it.Rest = &workouts.Step{Amount: workouts.Seconds(60), Manner: workouts.Jog}
		}
		if depth < 3 && rapid.Bool().Draw(t, "group") {
			it.Body = drawItems(t, depth+1)
		} else {
			m := rapid.SampledFrom(workouts.Manners).Draw(t, "manner")
			it.Step = workouts.Step{Amount: workouts.Metres(float64(rapid.IntRange(1, 9).Draw(t, "m")) * 100), Manner: m}
		}
		out = append(out, it)
	}
	return out
}

// What nobody could have written is unrolled within bounds all the same.
func TestExpandIsBounded(t *testing.T) {
	step := workouts.Step{Amount: workouts.Seconds(1)}
	deep := workouts.Item{Count: math.MaxInt, Step: step, Rest: &step}
	for range 100 {
		deep = workouts.Item{Count: math.MaxInt, Body: []workouts.Item{deep, {Count: -5, Step: step}}, Rest: &step}
	}
	w := workouts.Workout{Items: []workouts.Item{deep}}
	if n := len(w.Expand()); n != workouts.MaxPlanned {
		t.Errorf("unrolled into %d steps", n)
	}
	if n := w.Size(); n <= workouts.MaxPlanned {
		t.Errorf("Size is %d", n)
	}
	if n := len(workouts.Workout{}.Expand()); n != 0 {
		t.Errorf("nothing unrolls into %d steps", n)
	}
}
