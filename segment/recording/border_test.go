package recording

import (
	"slices"
	"testing"
)

// at makes a recording with records at the times given, at so many m/s.
func at(mps float64, times ...float64) *Recording {
	r := &Recording{Sport: Running, Format: "fit", T: times, Distance: MakeStream(len(times)), Cadence: MakeStream(len(times))}
	for i, t := range times {
		r.Distance.Set(i, mps*t)
	}
	return r
}

// every gives times a step apart, up to the end.
func every(step, end float64) (times []float64) {
	for i := 0; float64(i)*step <= end; i++ {
		times = append(times, float64(i)*step)
	}
	return times
}

func warned(r *Recording, code string) bool {
	return slices.ContainsFunc(r.Warnings, func(w Warning) bool { return w.Code == code })
}

// The borders that the package comment names for the time between records: over
// 2.5 s for a fifth of the time, over 20 s or four usual intervals.
func TestBordersOfSampling(t *testing.T) {
	// A minute of records a second apart, then some at a step.
	mixed := func(step float64, n int) []float64 {
		times := every(1, 60)
		for range n {
			times = append(times, times[len(times)-1]+step)
		}
		return times
	}
	for _, c := range []struct {
		name        string
		times       []float64
		sparse, gap bool
	}{
		{"2.4 s apart", every(2.4, 240), false, false},
		{"2.6 s apart", every(2.6, 260), true, false},
		{"19 % of the time 3 s apart", mixed(3, 4), false, false}, // 12 of 72 s
		{"a quarter of the time 3 s apart", mixed(3, 7), true, false},
		{"once 19 s", append(every(1, 200), 219), false, false},
		{"once 21 s", append(every(1, 200), 221), false, true},
		{"once 35 s of 10", append(every(10, 400), 435), true, false},
		{"once 41 s of 10", append(every(10, 400), 441), true, true},
	} {
		r := at(3, c.times...)
		r.judgeSampling()
		if warned(r, SparseSampling) != c.sparse || warned(r, Gap) != c.gap {
			t.Errorf("%s: %v", c.name, r.Warnings)
		}
	}
}

// Strides and steps are told apart at 120 a minute.
func TestBorderOfCadence(t *testing.T) {
	for _, c := range []struct{ is, want float64 }{{119, 238}, {121, 121}, {135, 135}, {85, 170}} {
		r := at(3, every(1, 60)...)
		for i := range r.T {
			r.Cadence.Set(i, c.is)
		}
		r.judgeCadence()
		if got := r.Cadence.Value[30]; got != c.want {
			t.Errorf("%v a minute became %v, want %v", c.is, got, c.want)
		}
	}
}

// A run is too fast at a mean of over 8 m/s over two minutes; the rest here is at
// 1 m/s.
func TestBordersOfTooFast(t *testing.T) {
	for _, c := range []struct {
		mps, seconds float64
		want         bool
	}{{7.9, 600, false}, {8.1, 125, true}, {8.1, 115, false}, {20, 100, true}} {
		r := at(3, every(1, 900)...)
		metres := 0.0
		for i := range r.T {
			r.Distance.Set(i, metres)
			if i >= 300 && float64(i) < 300+c.seconds {
				metres += c.mps
			} else {
				metres++
			}
		}
		r.judgePace()
		if warned(r, TooFast) != c.want {
			t.Errorf("%v m/s for %v s: %v", c.mps, c.seconds, r.Warnings)
		}
	}
}
