package signal

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"example.org/rungs/segment/recording"
)

// cumulative is the odometer without the time it holds its count.
func cumulative(t []float64, s recording.Stream) (ts, ds []float64) {
	ts, ds, _ = odometer(t, s)
	return ts, ds
}

// filled is a stream of n records with the given values; NaN is none.
func filled(v ...float64) recording.Stream {
	s := recording.MakeStream(len(v))
	for i, x := range v {
		if !math.IsNaN(x) {
			s.Set(i, x)
		}
	}
	return s
}

func TestCumulative(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name     string
		v        []float64
		ts, want []float64
	}{
		{"from zero", []float64{100, 103, 106}, []float64{0, 1, 2}, []float64{0, 3, 6}},
		{"holes", []float64{nan, 100, nan, 106, nan}, []float64{1, 3}, []float64{0, 6}},
		{"never backwards", []float64{0, 3, 2.5, 2.9, 6}, []float64{0, 1, 2, 3, 4}, []float64{0, 3, 3, 3, 6}},
		{"reset to zero", []float64{1000, 1060, 1063, 0, 3, 6}, []float64{0, 1, 2, 3, 4, 5}, []float64{0, 60, 63, 63, 66, 69}},
		{"reset to somewhere", []float64{1000, 1060, 1063, 500, 503}, []float64{0, 1, 2, 3, 4}, []float64{0, 60, 63, 63, 66}},
		{"reset twice", []float64{0, 60, 0, 60, 0, 3}, []float64{0, 1, 2, 3, 4, 5}, []float64{0, 60, 60, 120, 120, 123}},
		{"no numbers", []float64{0, math.Inf(1), 3, math.Inf(-1), 6}, []float64{0, 2, 4}, []float64{0, 3, 6}},
		{"none", []float64{nan, nan}, nil, nil},
	} {
		at := from(0, float64(len(c.v)-1))
		ts, ds := cumulative(at, filled(c.v...))
		if !slices.Equal(ts, c.ts) || !slices.Equal(ds, c.want) {
			t.Errorf("%s: %v at %v, want %v at %v", c.name, ds, ts, c.want, c.ts)
		}
	}
}

// An odometer that is reset half-way must not lose what was run before.
func TestOdometerReset(t *testing.T) {
	r := ticks(1200)
	r.Distance = stream(r, func(t float64) float64 {
		if t >= 700 {
			return 3.5 * (t - 700)
		}
		return 3.5 * t
	})
	tr := Build(r)
	// What was run between the last record before and the first after is lost.
	near(t, "the whole distance", tr.DistanceAt(1200), 3.5*1199, 1e-9)
	near(t, "the speed at the reset", tr.Speed[699], 3.5, 1e-9)
}

// A device that lost the sky shows the same distance for some seconds and then
// all of the way at once; the runner ran on.
func TestThaw(t *testing.T) {
	frozen := func(a, b float64) func(t float64) float64 {
		return func(t float64) float64 {
			if t > a && t < b {
				return 3 * a
			}
			return 3 * t
		}
	}
	for _, c := range []struct {
		name   string
		metres func(t float64) float64
		want   func(t float64) float64 // nil: left as it is
	}{
		{"frozen for 20 s", frozen(100, 120), func(t float64) float64 { return 3 * t }},
		{"frozen for 5 s", frozen(100, 105), func(t float64) float64 { return 3 * t }},
		{"frozen for 3 s, which noise does too", frozen(100, 103), nil},
		{"crept before it leapt", func(t float64) float64 {
			if t > 100 && t < 120 {
				return 300 + (t-100)/5
			}
			return 3 * t
		}, nil},
		{"caught up at 6.95 m/s, which may have been run", func(t float64) float64 {
			if t > 100 && t < 105 {
				return 1.39 * 100
			}
			return 1.39 * t
		}, nil},
		{"frozen for minutes", frozen(100, 400), func(t float64) float64 { return 3 * t }},
		{"thawed twice", func(t float64) float64 { return min(frozen(100, 130)(t), frozen(300, 320)(t)) }, func(t float64) float64 { return 3 * t }},
		{"stood and ran on", func(t float64) float64 { return 3*min(t, 100) + 3*max(0, t-130) }, nil},
		{"stood and raced off", func(t float64) float64 { return 3*min(t, 100) + 6.5*max(0, t-130) }, nil},
		{"stood, then a jump of position", func(t float64) float64 {
			if t < 130 {
				return 3 * min(t, 100)
			}
			return 300 + 20 + 3*(t-130) // 20 m in 30 s: nobody ran there
		}, nil},
		{"a jump with no freeze before it", func(t float64) float64 {
			if t < 130 {
				return 3 * t
			}
			return 3*t + 40
		}, nil},
		{"caught up further than one can run", func(t float64) float64 {
			if t < 130 {
				return 3 * min(t, 100)
			}
			return 300 + 400 + 3*(t-130)
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := from(0, 600)
			d := make([]float64, len(at))
			for i, x := range at {
				d[i] = c.metres(x)
			}
			ts, ds := thaw(slices.Clone(at), slices.Clone(d))
			if c.want == nil {
				if !slices.Equal(ts, at) || !slices.Equal(ds, d) {
					t.Fatalf("%d of %d records left", len(ts), len(at))
				}
				return
			}
			if len(ts) == len(at) {
				t.Fatal("nothing was dropped")
			}
			for i, x := range ts {
				near(t, "a kept record", ds[i], c.want(x), 1e-9)
			}
			if ts[len(ts)-1] != 600 {
				t.Error("the last record was dropped")
			}
			r := ticks(600)
			r.Distance = stream(r, c.metres)
			tr := Build(r)
			for x := range 601 {
				near(t, "the distance", tr.Dist[x], c.want(float64(x)), 1e-9)
			}
		})
	}
}

// seesaw is the distances of a course with every other record out by e metres.
func seesaw(c course, e float64) (t, d []float64) {
	t = from(0, c.seconds())
	d = make([]float64, len(t))
	for i, x := range t {
		d[i] = c.metres(x) + e
		e = -e
	}
	return t, d
}

// Weights of 1/4, 1/2, 1/4 take an alternating error out wholly, leave a
// straight line as it is, and round a corner off by a quarter of the change of
// speed, at the corner's record alone: the edge stays.
func TestCalmTakesOutASeesaw(t *testing.T) {
	c := course{{300, 2.5}, {180, 4.3}, {120, 2.2}, {180, 4.3}, {300, 2.5}}
	at, d := seesaw(c, 0.5)
	got := calm(at, d)
	for i, x := range at {
		want, before, after := c.metres(x), c.speed(x-0.5), c.speed(x+0.5)
		switch {
		case i == 0 || i == len(at)-1:
			want = d[i]
		default:
			want += (after - before) / 4
		}
		if math.Abs(got[i]-want) > 1e-9 {
			t.Errorf("at %g s the distance is %g, want %g", x, got[i], want)
		}
	}
	r := ticks(int(c.seconds()))
	r.Distance = filled(d...)
	near(t, "a step of the trace, m", Build(r).Dist[151]-Build(r).Dist[150], 2.5, 1e-9)
}

// Neighbouring changes of speed go together with a correlation of -2/3 when
// single positions are in error (second differences of white noise: 6, -4, 1),
// and of -(1-rho)/2 when speed is, by first-order autoregressive noise with the
// correlation rho; both elementary. The first kind is smoothed, and white noise
// of speed with it; what hangs together over seconds is left.
func TestCalmTellsKindsOfNoise(t *testing.T) {
	const n = 1800
	at := from(0, n)
	for seed := range uint64(20) {
		position := make([]float64, n+1)
		rng := seeded(seed)
		for i := range at {
			position[i] = 3*at[i] + 0.4*rng.NormFloat64()
		}
		// Steps have weights (-1, 1) before and (-1, -1, 1, 1)/4 after.
		near(t, "scatter of the raw steps, m", scatter(position), 0.4*math.Sqrt2, 0.04)
		near(t, "scatter of the calmed steps, m", scatter(calm(at, position)), 0.4/2, 0.02)
		for _, c := range []struct {
			rho  float64
			left bool
		}{{0, false}, {0.3, true}, {0.8, true}} {
			speed := make([]float64, n+1)
			for i, e := range wander(seeded(seed), n, 0.4, c.rho) {
				speed[i+1] = speed[i] + 3 + e
			}
			if left := slices.Equal(calm(at, speed), speed); left != c.left {
				t.Errorf("seed %d: noise of speed with the correlation %g was left: %v", seed, c.rho, left)
			}
		}
	}
}

// scatter is the standard deviation of the steps of a walk of 3 m a second.
func scatter(d []float64) float64 {
	sum := 0.0
	for i := 1; i < len(d); i++ {
		e := d[i] - d[i-1] - 3
		sum += e * e
	}
	return math.Sqrt(sum / float64(len(d)-1))
}

func TestCalmLeavesShortAndBroken(t *testing.T) {
	at, d := seesaw(course{{18, 3}}, 0.5)
	if !slices.Equal(calm(at, d), d) {
		t.Error("19 records were smoothed")
	}
	// Across a long gap there is no neighbour to take a mean with.
	at, d = seesaw(course{{200, 3}}, 0.5)
	for i := 100; i < len(at); i++ {
		at[i] += 3600
	}
	got := calm(at, d)
	for i := range d {
		if kept := got[i] == d[i]; kept != (i == 0 || i == 99 || i == 100 || i == len(d)-1) {
			t.Errorf("record %d was kept: %v", i, kept)
		}
	}
}

// However records are spaced, calm distances never fall.
func TestCalmNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(40, 120).Draw(t, "records")
		at, d := make([]float64, n), make([]float64, n)
		for i := 1; i < n; i++ {
			at[i] = at[i-1] + rapid.SampledFrom([]float64{0.3, 1, 1, 1, 2, 7, 40}).Draw(t, "seconds")
			d[i] = d[i-1]
			if i%2 == 0 {
				d[i] += rapid.Float64Range(0, 6).Draw(t, "metres")
			}
		}
		got := calm(at, d)
		for i := 1; i < n; i++ {
			if got[i] < got[i-1]-1e-9 {
				t.Fatalf("from %g to %g at record %d", got[i-1], got[i], i)
			}
		}
		if got[0] != d[0] || got[n-1] != d[n-1] {
			t.Fatal("the ends moved")
		}
	})
}

// TestSteppedOdometer: kilometres to two decimals, a record a second, with a stop.
// Distance is known to less than a step, and speed as if counted finely.
func TestSteppedOdometer(t *testing.T) {
	const step = 10.0
	var at, fine, coarse []float64
	x := 0.0
	for i := range 1200 {
		v := 3.0
		switch {
		case i >= 300 && i < 540:
			v = 4.2
		case i >= 700 && i < 760:
			v = 0
		}
		at, fine, coarse = append(at, float64(i)), append(fine, x), append(coarse, step*math.Floor(x/step))
		x += v
	}
	ts, ds := stepped(at, coarse)
	if len(ts) > len(at)/2 {
		t.Fatalf("%d of %d records were kept", len(ts), len(at))
	}
	k := 0
	read := func(s float64) float64 {
		for k = 0; k < len(ts)-2 && ts[k+1] < s; k++ {
		}
		return ds[k] + (ds[k+1]-ds[k])*(s-ts[k])/(ts[k+1]-ts[k])
	}
	for i := range at {
		if off := read(at[i]) - fine[i]; math.Abs(off) > step {
			t.Fatalf("at %d s the odometer is off by %.1f m", i, off)
		}
	}
	for _, c := range []struct {
		name     string
		from, to float64
		want     float64 // m/s
	}{{"easy", 60, 280, 3}, {"rep", 320, 520, 4.2}, {"standing", 710, 750, 0}, {"after", 780, 1100, 3}} {
		if v := (read(c.to) - read(c.from)) / (c.to - c.from); math.Abs(v-c.want) > 0.08 {
			t.Errorf("%s at %.2f m/s, want %.2f", c.name, v, c.want)
		}
		for s := c.from; s+15 <= c.to; s++ {
			if v := (read(s+15) - read(s)) / 15; math.Abs(v-c.want) > 0.45 {
				t.Fatalf("%s: %.2f m/s over 15 s from %g s", c.name, v, s)
			}
		}
	}
	for name, d := range map[string][]float64{"fine": fine, "a step with every record": {0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120}, "smart": {0, 14, 31, 44, 60, 77, 91, 104, 121, 136, 151, 167}} {
		if ts, _ := stepped(at[:len(d)], d); len(ts) != len(d) {
			t.Errorf("%s: %d of %d records were kept", name, len(ts), len(d))
		}
	}
}
