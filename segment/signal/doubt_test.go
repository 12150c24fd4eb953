package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// owing is an odometer that counts half of the way from one moment to another and adds the rest
// within two minutes later.
func owing(c course, from, to, paid float64) func(t float64) float64 {
	owed := (c.metres(to) - c.metres(from)) / 2
	return func(t float64) float64 {
		short := (c.metres(min(max(t, from), to)) - c.metres(from)) / 2
		return c.metres(t) - short + owed*min(max((t-paid)/120, 0), 1)
	}
}

// A distance that is corrected late is told of once; each rep has its true length, by device speed where
// distance is not to be believed, and the whole is that of the device.
func TestLateCorrection(t *testing.T) {
	c := intervals(8, 180, 4.2, 90, 2.4)
	r := ticks(int(c.seconds()))
	r.Distance = stream(r, owing(c, 900, 1500, 2200))
	r.Speed = stream(r, func(t float64) float64 { return c.shown(t, 2, 4) })
	tr := Build(r)
	if len(tr.Faults) != 1 || tr.Faults[0].Code != lateDistance {
		t.Fatalf("faults %+v", tr.Faults)
	}
	near(t, "the start of the fault", tr.Faults[0].StartS, 900, 25)
	near(t, "the end of the fault", tr.Faults[0].EndS, 2320, 25)
	near(t, "the whole distance", tr.DistanceAt(c.seconds()), c.metres(c.seconds()), 0.01*c.metres(c.seconds()))
	c.reps(func(start, end, metres float64) {
		near(t, "a rep", tr.RunBy(end)-tr.RunBy(start), metres, 0.02*metres)
	})
}

// The same of the simulated device, whatever the session: reps within 2 % of the truth, but for the
// scale of the run.
func TestLateCorrectionOfSimulatedReps(t *testing.T) {
	var late simulate.Device
	for _, d := range simulate.FurtherDevices() {
		if d.OweS > 0 {
			late = d
		}
	}
	sum, n, faults := 0.0, 0.0, 0
	for seed := uint64(40); seed < 48; seed++ {
		k, _ := simulate.KindNamed("4 minute reps")
		s := k.Make(seed)
		s.Place = recording.Outdoors
		r, truth := simulate.Run(s, late, seed)
		tr := Build(r)
		faults += len(tr.Faults)
		for _, l := range truth.Legs {
			if l.Role == "work" {
				sum, n = sum+sq((tr.RunBy(l.EndS)-tr.RunBy(l.StartS))/truth.Scale/l.DistanceM-1), n+1
			}
		}
	}
	off := math.Sqrt(sum / n)
	t.Logf("%.0f reps are off by %.2f %% (root mean square), %d faults in 8 runs", n, 100*off, faults)
	if !(off < 0.02) || faults < 8 || faults > 10 {
		t.Errorf("%.0f reps are off by %.2f %%, %d faults in 8 runs", n, 100*off, faults)
	}
}

// Device speed that only comes after a change is not right about it: with a device that takes 40 s to
// show a rep of 45 s, the odometer's sharp edges stay, and nothing is told.
func TestSlowDeviceSpeedIsNoFault(t *testing.T) {
	c := course{{1200, 3}}
	for range 6 {
		c = append(c, leg{120, 1.2}, leg{45, 5})
	}
	c = append(c, leg{300, 1.2})
	r := ticks(int(c.seconds()))
	r.Distance = stream(r, tracker(c, wander(seeded(5), int(c.seconds()), 0.2, math.Exp(-0.25))))
	shown := 3.0
	r.Speed = stream(r, func(t float64) float64 {
		shown += min(max(c.speed(t)-shown, -0.4), 0.1) // m/s in a second
		return shown
	})
	tr := Build(r)
	if len(tr.Faults) > 0 {
		t.Errorf("faults %+v", tr.Faults)
	}
	c.reps(func(start, end, metres float64) {
		near(t, "a rep", tr.RunBy(end)-tr.RunBy(start), metres, 0.1*metres)
	})
}

// A device speed that goes wrong for half a minute beside a calm odometer is the one that is doubted.
func TestGlitchOfDeviceSpeed(t *testing.T) {
	c := course{{1800, 3}}
	r := twoStreams(c, 6)
	for i := 900; i < 930; i++ {
		r.Speed.Set(i, 7.5)
	}
	tr := Build(r)
	near(t, "the distance of that minute", tr.DistanceAt(945)-tr.DistanceAt(885), 180, 25)
	for _, f := range tr.Faults {
		if f.Stream != DeviceSpeed {
			t.Errorf("fault %+v", f)
		}
	}
}
