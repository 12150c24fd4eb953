package workouts_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// A workout as the split knows it: amounts in order, parts between that are several have any
// length, and what nobody meant is none.
func TestKnown(t *testing.T) {
	s := func(x float64) segment.Amount { return segment.Amount{Seconds: x} }
	m := func(x float64) segment.Amount { return segment.Amount{Metres: x} }
	for _, c := range []struct {
		text string
		want segment.Known
		ok   bool
	}{
		{"10:00 warm + 3 x 400m off 90s jog + 1km cool", segment.Known{Reps: []segment.Amount{m(400), m(400), m(400)}, Rests: []segment.Amount{s(90), s(90)}}, true},
		{"20:00", segment.Known{Reps: []segment.Amount{s(1200)}}, true},
		{"1km + 60s jog + 30s walk + 2:00", segment.Known{Reps: []segment.Amount{m(1000), s(120)}, Rests: []segment.Amount{{}}}, true},
		{"4 x open off 60s jog", segment.Known{}, false},
		{"40:00 easy", segment.Known{}, false},
	} {
		w, err := notation.Parse("test", c.text)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := workouts.Known(w)
		if ok != c.ok || ok && cmp.Diff(c.want, got) != "" {
			t.Errorf("%s: %v, %v", c.text, got, ok)
		}
	}
}
