package segment

import (
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
)

// TestFloats: strides, and then an alternation whose floats are quicker than any recovery of theirs: the whole of it is one
// rep at first, and told apart in the end.
func TestFloats(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	var speed []float64
	var strides, reps [][2]int
	run := func(seconds int, mps float64) (from, to int) {
		from = len(speed)
		for range seconds {
			speed = append(speed, mps+0.08*rng.NormFloat64())
		}
		return from, len(speed)
	}
	run(600, 2.8)
	for range 4 {
		a, b := run(20, 5)
		strides = append(strides, [2]int{a, b})
		run(45, 2)
	}
	for range 6 {
		a, b := run(120, 4)
		reps = append(reps, [2]int{a, b})
		run(120, 3.6)
	}
	last := len(speed)
	run(600, 2.7)
	j := judgeOf(speed, 0.08)
	j.tr.Shown = make([]float64, len(speed)+1)
	for i, v := range speed {
		j.tr.Shown[i+1] = j.tr.Shown[i] + v
	}
	j = newJudge(j.tr, speed, cut(speed, j.tr), recording.Outdoors)
	j.proposals(&proposals{})
	var r reading
	r.labelling = j.labelled(append(slices.Clone(strides), [2]int{reps[0][0], last}))
	list := j.floats(&r)
	near := func(l labelling, want [][2]int) bool {
		return len(l.works) == len(want) && !slices.ContainsFunc(l.works, func(w piece) bool {
			return !slices.ContainsFunc(want, func(x [2]int) bool { return max(w.lo-x[0], x[0]-w.lo, w.hi-x[1], x[1]-w.hi) <= 5 })
		})
	}
	for what, want := range map[string][][2]int{"the reps": reps, "strides and reps": append(slices.Clone(strides), reps...)} {
		if !slices.ContainsFunc(list, func(l labelling) bool { return near(l, want) }) {
			t.Errorf("%s are not among %d labellings", what, len(list))
		}
	}
	if again := j.floats(&r); len(again) > 0 {
		t.Errorf("the same stretch is told apart twice: %d labellings", len(again))
	}
	r.labelling = j.labelled([][2]int{{reps[0][0], last}})
	if lone := j.floats(&r); len(lone) > 0 {
		t.Errorf("a lone block is told apart: %d labellings", len(lone))
	}
}
