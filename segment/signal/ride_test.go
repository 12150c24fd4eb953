package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
)

// A ride of six minutes at 8 m/s after a run is no running: it is told of once, with the distance that it
// would have added, and not counted. What was run before and after stays.
func TestRideIsNotRun(t *testing.T) {
	c := course{{1800, 3}, {360, 8}, {600, 1.3}}
	r := ticks(int(c.seconds()))
	r.Distance = stream(r, c.metres)
	for _, withSpeed := range []bool{false, true} {
		if withSpeed {
			r.Speed = stream(r, func(t float64) float64 { return c.shown(t, 3, 5) })
		}
		tr := Build(r)
		if len(tr.Faults) != 1 || tr.Faults[0].Code != beyondRunning {
			t.Fatalf("device speed %v: faults %+v", withSpeed, tr.Faults)
		}
		f := tr.Faults[0]
		near(t, "the start of the fault", f.StartS, 1800, 25)
		near(t, "the end of the fault", f.EndS, 2160, 25)
		near(t, "what was run before", tr.DistanceAt(1770), 3*1770, 5)
		near(t, "what was walked after", tr.DistanceAt(2760)-tr.DistanceAt(2200), 1.3*560, 5)
		near(t, "what was told and what was left out", tr.DistanceAt(2760)+f.ExcessM, c.metres(2760), 60)
		if tr.Known[2000] || tr.DistanceAt(2760) > 1800*3+360*3+600*1.3 {
			t.Errorf("known %v in the ride, %.0f m in all", tr.Known[2000], tr.DistanceAt(2760))
		}
	}
	r.Sport = recording.Cycling
	if tr := Build(r); len(tr.Faults) > 0 || math.Abs(tr.DistanceAt(2760)-c.metres(2760)) > 1 {
		t.Errorf("a ride that is one has faults %+v and %.0f m", tr.Faults, tr.DistanceAt(2760))
	}
}

// A session of a quick runner, at the edge of the records, has no faults.
func TestQuickRunnersHaveNoFaults(t *testing.T) {
	for _, c := range []course{
		{{600, 3}, {43, 9.2}, {300, 0}, {43, 9.2}, {300, 2}},
		{{600, 3}, {100, 7.8}, {300, 0}, {206, 7.2}, {300, 2}},
		{{60, 2}, {1571, 6.36}, {300, 2}},
	} {
		r := ticks(int(c.seconds()))
		r.Distance = stream(r, c.metres)
		if tr := Build(r); len(tr.Faults) > 0 {
			t.Errorf("%v: %+v", c, tr.Faults)
		}
	}
}

// A bus that stops now and then is slower than the records, but its passenger's heart slows down: then what it covers is
// not counted. It is counted without heart rate, and with one that rises or is high, as that of a very quick runner would;
// and where device speed says otherwise, the odometer may be at fault.
func TestHeartTellsOfRides(t *testing.T) {
	c := course{{1800, 3}, {240, 1.3}, {45, 7.5}, {30, 0}, {60, 7.4}, {600, 1.3}}
	ride := 45*7.5 + 60*7.4
	for _, x := range []struct {
		name  string
		heart func(t float64) float64 // beats/min; nil for none
		speed float64                 // by the device, m/s; 0 for none
		rides int
	}{
		{"a heart that slows down", func(t float64) float64 { return 110 + 50*min(1, math.Exp((1800-t)/120)) }, 0, 2},
		{"a device speed that says otherwise", func(t float64) float64 { return 110 + 50*min(1, math.Exp((1800-t)/120)) }, 3, 0},
		{"a heart that works", func(t float64) float64 {
			if t > 2040 && t < 2230 {
				return 120 + (t-2040)/4
			}
			return 110 + 50*min(1, math.Exp((1800-t)/120))
		}, 0, 0},
		{"a heart near its highest", func(t float64) float64 { return 160 - t/1000 }, 0, 0},
		{"no heart rate", nil, 0, 0},
	} {
		r := ticks(int(c.seconds()))
		r.Distance = stream(r, c.metres)
		if x.heart != nil {
			r.HeartRate = stream(r, x.heart)
		}
		if x.speed > 0 {
			r.Speed = stream(r, func(float64) float64 { return x.speed })
		}
		tr := Build(r)
		rides := 0
		for _, f := range tr.Faults {
			if f.Code == carriedAlong {
				rides++
			}
		}
		if rides != x.rides {
			t.Fatalf("%s: faults %+v", x.name, tr.Faults)
		}
		if x.speed > 0 {
			continue
		}
		want := c.metres(c.seconds())
		if x.rides > 0 {
			want -= ride
		}
		near(t, x.name, tr.DistanceAt(c.seconds()), want, 100)
	}
}
