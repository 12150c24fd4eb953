package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
)

// The variance of the mean of what hangs together: over three times its time it is 0.455508 of its own (the
// Ornstein-Uhlenbeck process, computed), 1 over an instant.
func TestMeanOf(t *testing.T) {
	near(t, "over three correlation times", meanOf(3*wanderS), 0.455508, 1e-6)
	near(t, "over a second", meanOf(1), 1, 1e-3)
}

// Three equations with a known solution.
func TestSolve3(t *testing.T) {
	x := solve3([3][3]float64{{4}, {2, 5}, {-2, 1, 6}}, [3]float64{4*1 + 2*2 - 2*3, 2*1 + 5*2 + 1*3, -2*1 + 1*2 + 6*3})
	for k, want := range [3]float64{1, 2, 3} {
		near(t, "a solution", x[k], want, 1e-12)
	}
}

// The widest value within reach, against looking at all of them.
func TestWidest(t *testing.T) {
	rng := seeded(3)
	for n := range 60 {
		list := make([]float64, n)
		for i := range list {
			list[i] = rng.Float64()
		}
		for _, reach := range []int{0, 1, 7, 40} {
			got := widest(list, reach)
			for i := range list {
				want := 0.0
				for k := max(0, i-reach); k <= min(n-1, i+reach); k++ {
					want = max(want, list[k])
				}
				if got[i] != want {
					t.Fatalf("%d values, reach %d: %g at %d, want %g", n, reach, got[i], i, want)
				}
			}
		}
	}
}

// Of two streams the calmer has the more weight: device speed without noise has nearly all of it, one three
// times as noisy as the odometer little, and where pace changes in a way that it cannot follow, less.
func TestWeights(t *testing.T) {
	const n = 7200
	build := func(countSD, shapeSD, lateS float64) (calm, atChange float64) {
		c := course{}
		for range 20 {
			c = append(c, leg{240, 3}, leg{120, 4.2})
		}
		a, b := wander(seeded(1), n, countSD, 0.7), wander(seeded(2), n, shapeSD, 0.7)
		count, shape := make([]float64, n), make([]float64, n)
		for i := range n {
			count[i] = c.speed(float64(i)) + a[i]
			shape[i] = c.speed(max(0, float64(i)-lateS)) + b[i]
		}
		tr := &Trace{Speed: count, Known: yes(n)}
		calm, list := tr.weights(count, shape)
		return calm, list[240]
	}
	calm, at := build(0.3, 0.02, 0)
	if calm < 0.95 || at < 0.8 {
		t.Errorf("a calm device speed has weights %.2f and %.2f at a change", calm, at)
	}
	if calm, _ = build(0.1, 0.3, 0); calm > 0.25 {
		t.Errorf("a noisy device speed has a weight of %.2f", calm)
	}
	if calm, at = build(0.2, 0.02, 8); calm < 0.8 || at > 0.4 {
		t.Errorf("a late device speed has weights %.2f and %.2f at a change", calm, at)
	}
}

// The time constants of a speed that is alone are found from its own changes: of a course with changes in
// no time to 1.2 s, since the shape also holds what runners take.
func TestOwnLags(t *testing.T) {
	c := intervals(8, 180, 4.4, 90, 2.4)
	for _, x := range []struct{ up, down float64 }{{3, 5}, {6, 6}, {8, 4}} {
		v := make([]float64, int(c.seconds()))
		noise := wander(seeded(4), len(v), 0.01, 0.9)
		for i := range v {
			v[i] = c.shown(float64(i)+0.5, x.up, x.down) + noise[i]
		}
		up, down := ownLags(v, 1, false)
		near(t, "the lag up", up, x.up, 1.2)
		near(t, "the lag down", down, x.down, 1.2)
	}
	up, down := ownLags([]float64{3, 3, 3, 3, 3, 3, 3}, 1, false)
	near(t, "the lag up of nothing", up, usualLagUpS, 1e-9)
	near(t, "the lag down of nothing", down, usualLagDownS, 1e-9)
}

// Speed that is alone gives reps their true lengths when its lag is taken out.
func TestSpeedAloneLosesItsLag(t *testing.T) {
	c := intervals(8, 60, 4.6, 60, 2.4)
	r := ticks(int(c.seconds()))
	r.Speed = stream(r, func(t float64) float64 { return c.shown(t, 5, 6) })
	tr := Build(r)
	near(t, "the whole distance", tr.DistanceAt(c.seconds()), c.metres(c.seconds()), 0.01*c.metres(c.seconds()))
	c.reps(func(start, end, metres float64) {
		late := 0.0
		for s := int(start); s < int(end); s++ {
			late += c.shown(float64(s)+0.5, 5, 6)
		}
		near(t, "a rep", tr.RunBy(end)-tr.RunBy(start), metres, 4)
		if metres-late < 8 {
			t.Errorf("without that a rep is short by only %.1f m: the test shows nothing", metres-late)
		}
	})
}

// Speed from positions each second, with errors of 1.5 m that are new each time: within 0.35 m/s (root mean
// square) over single seconds, where means of five positions leave sqrt(2)*1.5/5 = 0.42 m/s
// in the difference of two of them; and the reps stay sharp.
func TestSpeedFromPositions(t *testing.T) {
	c := course{{600, 3}}
	for range 10 {
		c = append(c, leg{30, 5}, leg{30, 2.5})
	}
	rng := seeded(8)
	r := ticks(int(c.seconds()))
	withPositions(r, func(t float64) float64 { return c.metres(t) + 1.5*rng.NormFloat64() })
	tr := Build(r)
	sum, k := 0.0, 0.0
	for i := 20; i < 580; i++ {
		sum, k = sum+sq(tr.Speed[i]-3), k+1
	}
	if rms := math.Sqrt(sum / k); rms > 0.35 {
		t.Errorf("speed is off by %.2f m/s", rms)
	}
	for rep := range 10 {
		from := 600 + 60*rep
		near(t, "the middle of a rep", mean(tr.Speed[from+8:from+22]), 5, 0.4)
		near(t, "the middle of a jog", mean(tr.Speed[from+38:from+52]), 2.5, 0.4)
	}
}

// A belt or a footpod cannot be told from a watch by place alone: only what is calm has a wandering
// scale, and only what is noisy on a treadmill leans.
func TestNoiseTellsTheKindOfSensor(t *testing.T) {
	c := intervals(6, 180, 4.2, 90, 2.4)
	n := int(c.seconds())
	build := func(sd float64, place recording.Place) Noise {
		r := ticks(n)
		r.Place = place
		r.Distance = stream(r, tracker(c, wander(seeded(9), n, sd, 0.5)))
		return Build(r).Noise
	}
	if z := build(0.08, recording.Outdoors); z.Wander != stepWander || z.Lean != 0 {
		t.Errorf("a step counter: %+v", z)
	}
	if z := build(0.5, recording.Outdoors); z.Wander != leastWander || z.Lean != 0 {
		t.Errorf("a watch by satellites: %+v", z)
	}
	if z := build(0.3, recording.Treadmill); z.Lean != wristLean {
		t.Errorf("a wrist on a treadmill: %+v", z)
	}
}

// Steps of runners are as long in the plane as on the ellipsoid, to a twenty-thousandth, at any latitude.
func TestPlane(t *testing.T) {
	rng := seeded(12)
	var near plane
	for range 5000 {
		lat, lon := 170*rng.Float64()-85, 360*rng.Float64()-180
		north, east := 1e-3*rng.NormFloat64(), 1e-3*rng.NormFloat64()
		want := recording.Geodesic(lat, lon, lat+north, lon+east)
		if got := near.distance(lat, lon, lat+north, lon+east); math.Abs(got-want) > 1e-4+5e-5*want {
			t.Fatalf("%g m from %g, %g, want %g", got, lat, lon, want)
		}
	}
}
