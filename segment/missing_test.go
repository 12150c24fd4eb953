package segment

import (
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
)

// TestMissing: a labelling that leaves out a rep of a row, wherever it stands,
// gets it back, and one that leaves out none gets nothing.
func TestMissing(t *testing.T) {
	const n = 6
	level := row(3, 600)
	var fast []bool
	fast = append(fast, false)
	for i := range n {
		if i > 0 {
			level = append(level, row(2.6, 90)...)
			fast = append(fast, false)
		}
		level = append(level, row(4.2-0.1*float64(i%3), 180)...) // not all quite alike
		fast = append(fast, true)
	}
	level = append(level, row(3, 600)...)
	fast = append(fast, false)
	at := 0
	var speed []float64
	for i := range level {
		length := level[i].hi - level[i].lo
		level[i].lo, level[i].hi = at, at+length
		at += length
		for range length {
			speed = append(speed, level[i].mean)
		}
	}
	j := newJudge(judgeOf(speed, 0.1).tr, speed, level, recording.Outdoors)
	whole, _ := gather(level, fast)
	if more := j.missing(reading{labelling: whole}); len(more) > 0 {
		t.Errorf("more reps where none is missing: %v", more)
	}
	for out := range n {
		l, _ := whole.without(out)
		found := false
		for _, m := range j.missing(reading{labelling: l}) {
			same := m.key() == whole.key() && m.before.hi == whole.before.hi && m.after.lo == whole.after.lo &&
				slices.EqualFunc(m.between, whole.between, func(a, b piece) bool { return a.lo == b.lo && a.hi == b.hi })
			found = found || same
		}
		if !found {
			t.Errorf("rep %d of %d was left out and is not found", out+1, n)
		}
	}
	l, _ := whole.without(2)
	for c := range speed {
		if c >= whole.works[2].lo && c < whole.works[2].hi {
			speed[c] = 3 // no rep there: a longer recovery, part of it run
		}
	}
	j = newJudge(judgeOf(speed, 0.1).tr, speed, level, recording.Outdoors)
	if more := j.missing(reading{labelling: l}); len(more) > 0 {
		t.Errorf("a run recovery was taken for a rep: %v", more)
	}
}
