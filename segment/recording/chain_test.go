package recording

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Nobody runs further in the time than the records tell: the men's of 100 m,
// 1500 m and the marathon (World Athletics), and on between and beyond.
func TestQuickest(t *testing.T) {
	for _, c := range []struct{ seconds, metres float64 }{
		{0, 0}, {1, 12}, {9.58, 100}, {206, 1500}, {7235, 42195}, {2 * 7235, 2 * 42195},
	} {
		if got := quickest(c.seconds); math.Abs(got-c.metres) > 1e-9 {
			t.Errorf("in %g s %g m, want %g", c.seconds, got, c.metres)
		}
	}
	last := 0.0
	for s := 0.0; s < 20000; s += 0.5 {
		if m := quickest(s); m < last || m > 12*s+1e-9 {
			t.Fatalf("in %g s %g m, half a second before %g", s, m, last)
		} else {
			last = m
		}
	}
}

// counted reads distances a second apart as a table, and gives what is valid of
// them, "-" for what is not.
func counted(t *testing.T, d []float64) *Recording {
	t.Helper()
	return readOne(t, "x.csv", csvOf("t_s,distance_m,hr", len(d), func(i int) string { return fmt.Sprintf("%d,%.2f,140", i, d[i]) }))
}

// Each way an odometer may go, what is left of it and the length that it tells.
func TestOdometerFaults(t *testing.T) {
	make3 := func(change func(i int, d float64) float64) []float64 {
		d := make([]float64, 600)
		for i := range d {
			d[i] = change(i, 3*float64(i))
		}
		return d
	}
	from := func(at int, by float64) func(int, float64) float64 {
		return func(i int, d float64) float64 {
			if i >= at {
				return d + by
			}
			return d
		}
	}
	for _, c := range []struct {
		name  string
		d     []float64
		total float64 // m, from the first to the last; 1797 were run
		lost  int     // values taken out
		codes string
	}{
		{"nothing", make3(func(_ int, d float64) float64 { return d }), 1797, 0, ""},
		{"a lost sky for half a minute, then all at once", make3(func(i int, d float64) float64 {
			if i >= 200 && i < 230 {
				return 600
			}
			return d
		}), 1797, 0, ""},
		{"a sky lost for a minute and a half: that is told", make3(func(i int, d float64) float64 {
			if i >= 200 && i < 290 {
				return 600
			}
			return d
		}), 1797, 0, DistanceJump},
		{"a lost sky for a minute, caught up within ten seconds", make3(func(i int, d float64) float64 {
			switch {
			case i >= 200 && i < 260:
				return 600
			case i >= 260 && i < 270:
				return 600 + 21*float64(i-259)
			}
			return d
		}), 1797, 0, ""},
		{"held for 3 s", make3(func(i int, d float64) float64 { return 9 * float64(i/3) }), 1791, 0, ""},
		{"steps of 100 m", make3(func(_ int, d float64) float64 { return 100 * math.Floor(d/100) }), 1700, 0, ""},
		{"a correction by 400 m within four minutes", make3(func(i int, d float64) float64 {
			return d + 400*max(0, min(1, (float64(i)-300)/240))
		}), 2197, 0, ""},
		{"a correction by -30 m at once", make3(from(300, -30)), 1767, 0, DistanceFalls},
		{"a counter that begins anew", make3(from(300, -900)), 1797, 0, DistanceFalls},
		{"one that begins anew twice", make3(func(i int, d float64) float64 { return 3 * float64(i%250) }), 1791, 0, DistanceFalls},
		{"a leap of 20 km", make3(from(300, 20_000)), 1797, 0, DistanceJump},
		{"a leap of 20 km, and back after a while", make3(func(i int, d float64) float64 {
			if i >= 300 && i < 500 {
				return d + 20_000
			}
			return d
		}), 1797, 0, DistanceJump},
		{"a leap right after the start", make3(from(2, 700)), 1797, 0, DistanceJump},
		{"a wrong last one", make3(from(599, 700)), 1797, 0, DistanceJump},
		{"five wrong ones", make3(func(i int, d float64) float64 {
			if i >= 300 && i < 305 {
				return d * float64(i-290)
			}
			return d
		}), 1797, 5, StrayValue},
	} {
		r := counted(t, c.d)
		got, _ := r.travelled()
		// What is run in the moment of a leap is not known: 3 m each.
		if codes(r) != c.codes || r.Len()-r.Distance.Count() != c.lost || math.Abs(got-c.total) > 6 {
			t.Errorf("%s: %.0f m, %d taken out, %v; want %.0f m, %d, %s", c.name, got, r.Len()-r.Distance.Count(), r.Warnings, c.total, c.lost, c.codes)
		}
		if fault := invariant(r); fault != "" {
			t.Errorf("%s: %s", c.name, fault)
		}
	}
}

// A correction in the last record of a treadmill counts, and is told.
func TestTreadmillCorrection(t *testing.T) {
	f := new(fitFile).start().sport(1, 1)
	f.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32}, field{3, 1, tUint8})
	for i := range 600 {
		d := 300 * i
		if i == 599 {
			d += 20_000
		}
		f.data(1, base+i, d, 140)
	}
	r := readOne(t, "belt.fit", string(f.bytes()))
	if got, _ := r.travelled(); r.Place != Treadmill || math.Abs(got-1997) > 1 || codes(r) != DistanceJump || r.Warnings[0].EndS != 599 {
		t.Errorf("%v m on the %s, %v", got, r.Place, r.Warnings)
	}
}

// slowSort is chain.sort as it is meant, for single faults: a value is wrong
// when the values on both sides fit each other and not it.
func slowSort(v []float64, fits func(a, b float64) bool) []int {
	var wrong []int
	for i := 1; i+1 < len(v); i++ {
		if !fits(v[i-1], v[i]) && !fits(v[i], v[i+1]) && fits(v[i-1], v[i+1]) {
			wrong = append(wrong, i)
		}
	}
	return wrong
}

func TestChainAgainstPlainRule(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		v := make([]float64, 100)
		for i := 1; i < len(v); i++ {
			v[i] = v[i-1] + rng.Float64() - .5
		}
		for _, i := range []int{10 + rng.IntN(20), 40 + rng.IntN(20), 70 + rng.IntN(20)} {
			v[i] += 20
		}
		fits := func(a, b float64) bool { return math.Abs(a-b) < 5 }
		c := chain{n: len(v), at: func(i int) float64 { return float64(i) }, most: 5, over: 10,
			fits: func(i, j int) bool { return fits(v[i], v[j]) }}
		wrong, levels := c.sort()
		var got []int
		for i, w := range wrong {
			if w {
				got = append(got, i)
			}
		}
		if want := slowSort(v, fits); !slices.Equal(got, want) || len(levels) > 0 {
			t.Fatalf("wrong are %v, levels %v; want %v", got, levels, want)
		}
	}
}
