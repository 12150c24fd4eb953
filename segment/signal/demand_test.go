package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// BioMed Eng OnLine 2015, doi 10.1186/s12938-015-0112-7: a time constant of
// 57.6 s. The fractions of a change reached by then are computed from it.
func TestHeartConstants(t *testing.T) {
	for _, c := range []struct{ s, fraction float64 }{{30, 0.406}, {60, 0.647}, {90, 0.790}, {180, 0.956}, {300, 0.995}} {
		near(t, "the fraction reached", 1-math.Exp(-c.s/HeartTauS), c.fraction, 5e-4)
	}
	near(t, "the gain, bpm per m/s", HeartGain, 24.2, 0)
}

// response is the heart rate of a course at the middle of each second: the
// first-order response in closed form, from a settled start.
func response(c course, gain, tau float64) []float64 {
	hr := make([]float64, int(c.seconds()))
	for i := range hr {
		hr[i] = 72 + gain*c.shown(float64(i)+0.5, tau, tau)
	}
	return hr
}

// Inverting the response in closed form gives the course back, up to a shift
// that puts the median at 3 m/s. Straight lines fitted over 21 s smooth a
// change over as long and nothing beyond: a quadratic's error is left, of
// (10.5/57.6)^2/6 = 0.6 % of the change at the most.
func TestDemandInvertsTheResponse(t *testing.T) {
	c := course{{600, 2.6}, {180, 3.9}, {90, 2.1}, {180, 3.9}, {90, 2.1}, {180, 3.9}, {600, 2.6}}
	speed, known := demand(response(c, HeartGain, HeartTauS))
	shift := 3 - 2.6 // its median is the easy running
	at := 0.0
	for _, l := range c {
		for x := at; x < at+l.seconds; x++ {
			i := int(x)
			if !known[i] {
				t.Fatalf("second %d is not known", i)
			}
			if x >= at+11 && x < at+l.seconds-11 || at == 0 && x < at+l.seconds-11 {
				near(t, "the demand", speed[i], l.mps+shift, 0.006*1.8+1e-3)
			}
		}
		at += l.seconds
	}
	// The edge itself: half of the change is passed within 2 s of it.
	for _, edge := range []int{600, 780, 870, 1050, 1140, 1320} {
		before, after := speed[edge-20], speed[edge+20]
		half, x := (before+after)/2, edge-20
		for (speed[x] < half) == (before < half) {
			x++
		}
		near(t, "the second of an edge", float64(x), float64(edge), 2)
	}
}

func TestDemandOfLittle(t *testing.T) {
	if speed, known := demand(nil); len(speed) != 0 || len(known) != 0 {
		t.Errorf("of nothing: %v %v", speed, known)
	}
	nan := make([]float64, 100)
	for i := range nan {
		nan[i] = math.NaN()
	}
	speed, known := demand(nan)
	if cells(known) != "100-" || speed[50] != 0 {
		t.Errorf("of nothing known: %s, %g", cells(known), speed[50])
	}
	// A line needs ten values in 21 s.
	c := course{{300, 3}}
	hr := response(c, HeartGain, HeartTauS)
	for i := 100; i < 200; i++ {
		hr[i] = math.NaN()
	}
	speed, known = demand(hr)
	if got := cells(known); got != "101+ 98- 101+" {
		t.Errorf("known: %s", got)
	}
	for _, v := range speed {
		near(t, "an even demand", v, 3, 1e-9)
	}
	// Whatever the heart does, demand is the speed of somebody.
	for i := range hr {
		hr[i] = 30 + 210*float64(i/15%2)
	}
	speed, _ = demand(hr)
	for _, v := range speed {
		if !(v >= 0 && v <= 8) {
			t.Fatalf("a demand of %g m/s", v)
		}
	}
}

// A simulated session that holds nothing but heart rate: demand tells work from
// rest, and there is no distance.
func TestHeartRateAlone(t *testing.T) {
	d, ok := simulate.DeviceNamed("treadmill, heart rate only")
	if !ok {
		t.Fatal("no such device")
	}
	leg := func(role, manner string, seconds, mps float64) simulate.Leg {
		return simulate.Leg{Role: role, Manner: manner, Seconds: seconds, StartMPS: mps, EndMPS: mps}
	}
	s := simulate.Session{Place: recording.Treadmill, Legs: []simulate.Leg{leg("warm", "warm", 900, 2.7)}}
	for range 4 {
		s.Legs = append(s.Legs, leg("work", "work", 240, 4), leg("recovery", "jog", 120, 2.3))
	}
	s.Legs = append(s.Legs, leg("cool", "cool", 600, 2.5))
	r, truth := simulate.Run(s, d, 3)
	tr := Build(r)
	if tr.Source != Nothing || tr.HeartRate == nil || tr.Grade != nil || tr.Device {
		t.Fatalf("source %s", tr.Source)
	}
	if tr.DistanceAt(1000) != 0 {
		t.Errorf("heart rate covered %g m", tr.DistanceAt(1000))
	}
	if &tr.Effort[0] != &tr.Speed[0] {
		t.Error("effort is not demand")
	}
	inside := func(l simulate.TruthLeg) float64 {
		return mean(tr.Speed[int(l.StartS)+20 : int(l.EndS)-20])
	}
	for i, l := range truth.Legs {
		if l.Role != "work" {
			continue
		}
		if rise := inside(l) - inside(truth.Legs[i+1]); rise < 1 || rise > 2.4 {
			t.Errorf("rep %d is %.2f m/s above its recovery, want about 1.7", l.Rep, rise)
		}
	}
}
