package recording

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// TestValidate: each fault is named with its place; what is in order passes.
func TestValidate(t *testing.T) {
	var none *Recording
	if err := none.Validate(); err == nil || !errors.Is(err, ErrEmpty) {
		t.Errorf("a nil recording: %v", err)
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		spoil func(r *Recording)
		want  string // nothing when it is in order
	}{
		{func(r *Recording) {}, ""},
		{func(r *Recording) { *r = Recording{} }, ""},
		{func(r *Recording) { r.T = []float64{0, 1, 1, 3} }, "record 3 is at 1 s, which is not after the one before, at 1 s"},
		{func(r *Recording) { r.T = []float64{0, 2, 1, 3} }, "record 3 is at 1 s, which is not after the one before, at 2 s"},
		{func(r *Recording) { r.T[1] = nan }, "the time of record 2 (T[1]) is NaN s"},
		{func(r *Recording) { r.T[3] = inf }, "the time of record 4 (T[3]) is +Inf s"},
		{func(r *Recording) { r.Speed = MakeStream(3) }, "speed has 3 values and 3 marks for 4 records"},
		{func(r *Recording) { r.HeartRate.Value = make([]float64, 4) }, "heart rate has 4 values and 0 marks for 4 records"},
		{func(r *Recording) { r.Distance.Set(2, nan) }, ""}, // counts as not measured
		{func(r *Recording) { r.Stage = []string{"work"} }, "there are 1 stages for 4 records"},
	} {
		r := &Recording{Name: "mine", T: []float64{0, 1, 2, 3}, Distance: MakeStream(4)}
		c.spoil(r)
		err := r.Validate()
		if c.want == "" {
			if err != nil {
				t.Errorf("in order: %v", err)
			}
			continue
		}
		if err == nil || !errors.Is(err, ErrDamaged) || !strings.HasPrefix(err.Error(), "mine: "+c.want) {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}
