package signal

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// twoStreams is a recording of a course by a device with an odometer that is
// noisy (sd 0.4 m/s, correlated over 4 s) and a speed stream that lags by 2 s
// and 4 s, both each second.
func twoStreams(c course, seed uint64) *recording.Recording {
	n := int(c.seconds())
	r := ticks(n)
	r.Distance = stream(r, tracker(c, wander(seeded(seed), n, 0.4, math.Exp(-0.25))))
	r.Speed = stream(r, func(t float64) float64 { return c.shown(t, 2, 4) })
	return r
}

func TestUseDeviceSpeed(t *testing.T) {
	c := intervals(5, 180, 4.2, 90, 2.3)
	change := func(f func(t, v float64) float64) func(r *recording.Recording) {
		return func(r *recording.Recording) {
			for i, v := range r.Speed.Value {
				if v = f(r.T[i], v); math.IsNaN(v) {
					r.Speed.Valid[i] = false
				} else {
					r.Speed.Set(i, v)
				}
			}
		}
	}
	none := func(r *recording.Recording) {}
	rng := seeded(9)
	for _, x := range []struct {
		name   string
		change func(r *recording.Recording)
		want   bool
	}{
		{"in step and calm", none, true},
		{"zero at every tenth record", change(func(t, v float64) float64 {
			if math.Mod(t, 10) == 5 {
				return 0
			}
			return v
		}), true},
		{"missing in every twentieth record", change(func(t, v float64) float64 {
			if math.Mod(t, 20) == 5 {
				return math.NaN()
			}
			return v
		}), true},
		{"missing in half of the records", change(func(t, v float64) float64 {
			if math.Mod(t, 240) > 120 {
				return math.NaN()
			}
			return v
		}), true},
		{"missing in three of four records", change(func(t, v float64) float64 {
			if math.Mod(t, 4) > 0 {
				return math.NaN()
			}
			return v
		}), false},
		{"a glitch that no runner makes", change(func(t, v float64) float64 {
			if t == 1000 || t == 1500 {
				return 600
			}
			return v
		}), true},
		{"5 % fast", change(func(_, v float64) float64 { return 1.05 * v }), true},
		{"a third fast", change(func(_, v float64) float64 { return 4.0 / 3 * v }), false},
		{"zero throughout", change(func(_, _ float64) float64 { return 0 }), false},
		{"stuck at one speed", change(func(_, _ float64) float64 { return 5 }), false},
		{"minutes late", change(func(t, _ float64) float64 { return c.shown(max(0, t-400), 2, 4) }), false},
		{"noisier than the odometer", change(func(_, v float64) float64 { return max(0, v+1.5*rng.NormFloat64()) }), false},
		{"none", func(r *recording.Recording) { r.Speed = recording.Stream{} }, false},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := twoStreams(c, 1)
			x.change(r)
			tr := Build(r)
			if tr.Source != Odometer || tr.Device != x.want || (tr.DeviceSpeed != nil) != x.want {
				t.Fatalf("source %s, device speed taken: %v, kept: %v; want %v", tr.Source, tr.Device, tr.DeviceSpeed != nil, x.want)
			}
			near(t, "the odometer's distance", tr.DistanceAt(c.seconds()), r.Distance.Value[r.Len()-1], 1e-6)
			if !x.want {
				if tr.Fused || tr.DelayS != odometerDelay {
					t.Errorf("fused: %v, delay %g s", tr.Fused, tr.DelayS)
				}
				return
			}
			if tr.Noise.Odometer < tr.Noise.LongRun {
				t.Errorf("distances have noise %g, less than the %g of speed", tr.Noise.Odometer, tr.Noise.LongRun)
			}
			for i, v := range tr.DeviceSpeed {
				if !tr.device(i) {
					continue // the odometer's
				}
				want := c.shown(float64(i)+0.5, 2, 4)
				if x.name == "5 % fast" {
					want *= 1.05
				}
				near(t, "the shown speed", v, want, 0.5)
			}
		})
	}
}

// A watch whose speed is the distance since the last record tells of nothing twice; a foot sensor, whose two hardly
// differ, and a belt, whose distance is rounded to metres, do tell of both.
func TestSpeedOfDistance(t *testing.T) {
	for name, want := range map[string]bool{
		"early watch, speed from distance": true, "watch with zero speed": false, "watch with foot sensor": false,
		"treadmill's own file": false, "watch with smart recording": false,
	} {
		d, ok := simulate.DeviceNamed(name)
		if !ok {
			t.Fatal(name)
		}
		for seed := range uint64(30) {
			s := simulate.Grammar(seed)
			r, _ := simulate.Run(s, d, seed)
			if got := ofDistance(r); got != want {
				t.Errorf("%s, seed %d: speed is of distance: %v", name, seed, got)
			}
			if want && Build(r).Device {
				t.Errorf("%s, seed %d: device speed was taken", name, seed)
			}
		}
	}
}

// Nobody stands on purpose at 0 m/s for one record, but runners do stand: a
// device's zeros are believed where the odometer agrees.
func TestDeviceSpeedOfAStop(t *testing.T) {
	c := course{{600, 3}, {60, 0}, {600, 3}, {60, 0}, {600, 3}}
	tr := Build(twoStreams(c, 3))
	if !tr.Device {
		t.Fatal("device speed was not taken")
	}
	near(t, "the speed half-way through the stop", tr.Speed[630], 0, 0.01)
}

// lagging is the trace of a course seen by an odometer with the given errors,
// m/s, and its usual delay, and by a speed stream that lags by first order; distances and speeds
// are exact, in closed form.
func lagging(c course, up, down float64, errors []float64) *Trace {
	n := int(c.seconds())
	tr := &Trace{
		Speed: make([]float64, n), Known: yes(n), Timer: yes(n), Dist: make([]float64, n+1), DeviceSpeed: make([]float64, n),
		Device: true, DelayS: odometerDelay, Noise: Noise{Sigma: 0.1, LongRun: 0.2, Odometer: 0.9},
	}
	for i := range n {
		tr.Dist[i+1] = tr.Dist[i] + c.metres(float64(i+1)-odometerDelay) - c.metres(float64(i)-odometerDelay) + errors[i]
		tr.DeviceSpeed[i] = c.shown(float64(i)+0.5, up, down)
	}
	return tr
}

// reps calls f with the start, end (s) and true metres of each leg over 4 m/s.
func (c course) reps(f func(start, end, metres float64)) {
	at := 0.0
	for _, l := range c {
		if l.mps > 4 {
			f(at, at+l.seconds, l.seconds*l.mps)
		}
		at += l.seconds
	}
}

// The time constants of a known first-order lag are found to a step of the
// list they are sought in, and with them taken out of device speed the reps
// have their true distances to 0.2 %, while device speed alone is short by tau
// times the rise over each rep: 2 to 10 m of 1008 here.
func TestFuseTakesOutAKnownLag(t *testing.T) {
	c := intervals(6, 240, 4.2, 90, 2.3)
	n := int(c.seconds())
	for _, x := range []struct{ up, down, fromUp, toUp, fromDown, toDown float64 }{
		{1, 1, 0.5, 1.5, 0.5, 1.5},
		{1.5, 2, 1, 2, 1.5, 3},
		{2, 2, 1.5, 3, 1.5, 3},
		{2, 4, 1.5, 3, 3, 5},
		{3, 5, 2, 4, 4, 6.5},
		{4, 4, 3, 5, 3, 5},
		{5, 3, 4, 6.5, 2, 4},
		{2, 8, 1.5, 3, 6.5, 10},
	} {
		tr := lagging(c, x.up, x.down, make([]float64, n))
		total := tr.Dist[n]
		tr.fuse()
		if !tr.Fused || tr.DelayS != 0 {
			t.Fatalf("lags %g and %g s: fused %v, delay %g s", x.up, x.down, tr.Fused, tr.DelayS)
		}
		if tr.LagUpS < x.fromUp || tr.LagUpS > x.toUp || tr.LagDownS < x.fromDown || tr.LagDownS > x.toDown {
			t.Errorf("lags of %g and %g s are taken for %g and %g s", x.up, x.down, tr.LagUpS, tr.LagDownS)
		}
		near(t, "the whole distance", tr.Dist[n], total, 1e-6)
		c.reps(func(start, end, metres float64) {
			near(t, "a rep's distance", tr.DistanceAt(end)-tr.DistanceAt(start), metres, 2)
			alone := 0.0
			for i := int(start); i < int(end); i++ {
				alone += tr.DeviceSpeed[i]
			}
			if short := metres - alone; short < 0.9*x.up*(4.2-2.8) {
				t.Errorf("without that a rep is short by only %.1f m: the test shows nothing", short)
			}
		})
	}
}

// With an odometer as noisy as that of a good watch (sd 0.15 m/s, correlated
// over 4 s) the lags are found to 1.5 s, and reps are right to 0.35 % but for
// the error of the whole distance, which is the odometer's.
func TestFuseUnderNoise(t *testing.T) {
	c := intervals(6, 240, 4.2, 90, 2.3)
	n := int(c.seconds())
	for seed := range uint64(10) {
		tr := lagging(c, 2, 4, wander(seeded(seed), n, 0.15, math.Exp(-0.25)))
		total := tr.Dist[n]
		tr.fuse()
		near(t, "the lag of a quicker runner", tr.LagUpS, 2, 1.5)
		near(t, "the lag of a slower one", tr.LagDownS, 4, 1.5)
		near(t, "the whole distance", tr.Dist[n], total, 1e-6)
		c.reps(func(start, end, metres float64) {
			near(t, "a rep's distance over the truth", (tr.DistanceAt(end)-tr.DistanceAt(start))/metres*c.metres(float64(n))/total, 1, 0.0035)
		})
	}
}

// What the device shows is the odometer's own count, whatever is made of it, and
// stays so when distances are rescaled.
func TestShownIsTheOdometer(t *testing.T) {
	d, _ := simulate.DeviceNamed("older watch, every second")
	k, _ := simulate.KindNamed("1000s on the road")
	r, truth := simulate.Run(k.Make(1), d, 1)
	tr := Build(r)
	if !tr.Fused {
		t.Fatal("not fused")
	}
	apart := 0.0
	for i := range r.T {
		near(t, "what is shown", tr.ShownAt(r.T[i]), r.Distance.Value[i], 1)
		apart = max(apart, math.Abs(tr.ShownAt(r.T[i])-tr.DistanceAt(r.T[i])))
	}
	if apart < 5 {
		t.Errorf("distances are within %.1f m of the odometer's, so nothing was fused", apart)
	}
	for _, l := range truth.Legs {
		if l.Role == "work" {
			near(t, "a kilometre as shown", tr.ShownAt(l.EndS)-tr.ShownAt(l.StartS), 1000, 6)
		}
	}
	shown, run := tr.ShownAt(1000), tr.DistanceAt(1000)
	tr.Rescale(1.01)
	near(t, "what is shown after rescaling", tr.ShownAt(1000), shown, 1e-9)
	near(t, "the distance after rescaling", tr.DistanceAt(1000), 1.01*run, 1e-6)

	r.Speed = recording.Stream{}
	if tr = Build(r); tr.Fused || &tr.Shown[0] != &tr.Dist[0] {
		t.Error("without device speed what is shown is not the distance")
	}
	shown, run = tr.ShownAt(1000), tr.DistanceAt(1000)
	tr.Rescale(0.99)
	near(t, "what is shown, where it was the distance", tr.ShownAt(1000), shown, 1e-9)
	near(t, "that distance", tr.DistanceAt(1000), 0.99*run, 1e-6)
	near(t, "before the start", tr.ShownAt(-1), 0, 0)
}

// Where nothing is known the odometer's distance stays; the rest is scaled so
// that the whole is the odometer's.
func TestFuseLeavesUnknownCells(t *testing.T) {
	c := intervals(6, 240, 4.2, 90, 2.3)
	n := int(c.seconds())
	tr := lagging(c, 2, 4, make([]float64, n))
	for i := 1000; i < 1060; i++ {
		tr.Known[i] = false
		tr.DeviceSpeed[i] = 11 // must not count
	}
	was := slices.Clone(tr.Dist)
	tr.fuse()
	if !tr.Fused {
		t.Fatal("not fused")
	}
	near(t, "the lag of a quicker runner", tr.LagUpS, 2, 1)
	near(t, "the lag of a slower one", tr.LagDownS, 4, 1.5)
	near(t, "the distance of the gap", tr.Dist[1060]-tr.Dist[1000], was[1060]-was[1000], 1e-6)
	near(t, "the whole distance", tr.Dist[n], was[n], 1e-6)
}

// Sums that differ by more than 15 % are not of one run.
func TestFuseRefusesADisagreement(t *testing.T) {
	c := intervals(6, 240, 4.2, 90, 2.3)
	for factor, want := range map[float64]bool{0.8: false, 0.9: true, 1.1: true, 1.25: false, 0: false} {
		tr := lagging(c, 2, 4, make([]float64, int(c.seconds())))
		for i := range tr.DeviceSpeed {
			tr.DeviceSpeed[i] *= factor
		}
		was := slices.Clone(tr.Dist)
		if tr.fuse(); tr.Fused != want {
			t.Errorf("device speed %g times the odometer's: fused %v", factor, tr.Fused)
		}
		if !want && (!slices.Equal(tr.Dist, was) || tr.DelayS != odometerDelay || tr.Noise.Odometer != 0.9) {
			t.Errorf("device speed %g times the odometer's left a mark", factor)
		}
	}
}

// Device speed that is right nearly always, but for minutes beyond what anyone runs, is not believed
// there, and elsewhere it is; what is missing comes from the odometer, so that distances stay right.
func TestDeviceSpeedThatRunsAway(t *testing.T) {
	c := course{{3600, 3}}
	r := twoStreams(c, 2)
	for i := 1000; i < 1500; i++ {
		r.Speed.Set(i, 9)
	}
	tr := Build(r)
	if !tr.Device || !tr.Fused || tr.DelayS != 0 {
		t.Fatalf("device speed taken %v, fused %v, delay %g s", tr.Device, tr.Fused, tr.DelayS)
	}
	near(t, "the whole distance", tr.DistanceAt(3600), r.Distance.Value[3600], 1e-6)
	for _, span := range [][2]float64{{100, 900}, {1000, 1500}, {1600, 3500}} {
		// The odometer's noise, 0.4 m/s over 4 s, is 0.4*sqrt(8 T) m in T seconds.
		near(t, "a stretch", tr.RunBy(span[1])-tr.RunBy(span[0]), 3*(span[1]-span[0]), 3*0.4*math.Sqrt(8*(span[1]-span[0])))
	}
	for i, v := range tr.Speed {
		if v > 5.5 {
			t.Fatalf("%.1f m/s at %d s", v, i)
		}
	}
}

// On simulated devices that match open recordings (package simulate), fused
// distances of reps must be nearer to the truth than the odometer's own, whose
// delay is allowed for.
func TestFusedDistancesOfSimulatedReps(t *testing.T) {
	for _, name := range []string{"good watch, open sky", "watch leading through steps", "older watch, every second"} {
		d, ok := simulate.DeviceNamed(name)
		if !ok {
			t.Fatalf("no device is called %q", name)
		}
		k, ok := simulate.KindNamed("4 minute reps")
		if !ok {
			t.Fatal("no kind of session has reps of 4 minutes")
		}
		var fused, odometer, n float64
		for seed := range uint64(6) {
			s := k.Make(seed)
			s.Place = recording.Outdoors
			r, truth := simulate.Run(s, d, seed)
			tr := Build(r)
			if !tr.Fused {
				t.Fatalf("%s, seed %d: not fused", name, seed)
			}
			raw := &Trace{Speed: make([]float64, tr.Len()), Known: make([]bool, tr.Len()), Timer: tr.Timer, Dist: make([]float64, tr.Len()+1)}
			raw.lay(cumulative(r.T, r.Distance))
			for _, l := range truth.Legs {
				if l.Role != "work" {
					continue
				}
				a := (tr.DistanceAt(l.EndS)-tr.DistanceAt(l.StartS))/truth.Scale - l.DistanceM
				b := (raw.DistanceAt(l.EndS+odometerDelay)-raw.DistanceAt(l.StartS+odometerDelay))/truth.Scale - l.DistanceM
				fused, odometer, n = fused+a*a, odometer+b*b, n+1
			}
		}
		fused, odometer = math.Sqrt(fused/n), math.Sqrt(odometer/n)
		t.Logf("%s: reps of 4 min are wrong by %.1f m fused and %.1f m by the odometer (rms of %.0f)", name, fused, odometer, n)
		if !(fused < 0.75*odometer) || fused > 10 {
			t.Errorf("%s: fused %.1f m, odometer %.1f m", name, fused, odometer)
		}
	}
}
