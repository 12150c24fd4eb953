package library

import (
	"errors"
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// A heart rate that answers 3 reps of 4:00 exactly as a first-order response
// does (the solution of h' = (d - h)/57.6 for a d in steps) gives back the
// times of the reps.
func TestSplitByHeartTurnsTheResponseRound(t *testing.T) {
	const step = 24.2 * 1.6 // 1.6 m/s quicker
	asked := func(s float64) float64 {
		if in := math.Mod(s-600, 360); s >= 600 && s < 600+3*360-120 && in < 240 {
			return 140 + step
		}
		return 140
	}
	const total = 600 + 3*360 + 480
	r := &recording.Recording{Name: "by hand", HeartRate: recording.MakeStream(total)}
	h := 140.0
	for i := range total {
		r.T = append(r.T, float64(i))
		r.HeartRate.Set(i, math.Round(h)) // sensors give whole beats
		h += (asked(float64(i)) - h) * (1 - math.Exp(-1/57.6))
	}
	s, err := segment.Split(r)
	if err != nil {
		t.Fatal(err)
	}
	by, ok := splitByHeart(s)
	if !ok {
		t.Fatal("not split")
	}
	var starts, lengths []float64
	for _, g := range by.Segments {
		if g.Role == segment.Work {
			starts, lengths = append(starts, g.StartS), append(lengths, g.Seconds())
		}
	}
	if len(starts) != 3 {
		t.Fatalf("%d reps: %v", len(starts), starts)
	}
	for i := range starts {
		if want := 600 + 360*float64(i); math.Abs(starts[i]-want) > 10 || math.Abs(lengths[i]-240) > 10 {
			t.Errorf("rep %d from %.0f for %.0f s, want from %.0f for 240 s", i+1, starts[i], lengths[i], want)
		}
	}
}

func TestFilled(t *testing.T) {
	nan := math.NaN()
	h := make([]float64, 60)
	for i := range h {
		h[i] = 100 + float64(i)
	}
	for _, i := range []int{0, 10, 11, 59} {
		h[i] = nan
	}
	got, ok := filled(h)
	if !ok || got[0] != 101 || got[10] != 110 || got[11] != 111 || got[59] != 158 {
		t.Errorf("%v %v", got, ok)
	}
	if !math.IsNaN(h[0]) {
		t.Error("the given heart rate was changed")
	}
	for i := range 13 {
		h[2*i] = nan
	}
	if _, ok := filled(h); ok {
		t.Error("a fifth and more is unknown")
	}
	if _, ok := filled(nil); ok {
		t.Error("nothing is enough")
	}
}

func TestRecogniseWithoutAnything(t *testing.T) {
	r := &recording.Recording{Name: "bare"}
	for i := range 600 {
		r.T = append(r.T, float64(i))
	}
	s, err := segment.Split(r)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Recognise(Shelf(), s); !errors.Is(err, ErrNoSpeed) {
		t.Error(err)
	}
}
