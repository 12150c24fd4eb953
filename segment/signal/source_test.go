package signal

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment/internal/opendata"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// north is metres along a meridian as degrees of latitude near latitude 55.5:
// the WGS84 radius of curvature in the meridian there is 6378.9 km (computed
// from the defining constants: a(1-e2)/(1-e2 sin2)^1.5).
func north(m float64) float64 { return 55.5 + m/6378900*180/math.Pi }

// withPositions gives a recording positions along a meridian.
func withPositions(r *recording.Recording, metres func(t float64) float64) {
	r.Latitude = stream(r, func(t float64) float64 { return north(metres(t)) })
	r.Longitude = stream(r, func(float64) float64 { return 3.5 })
}

var never = math.NaN()

func TestSource(t *testing.T) {
	steady := func(mps float64) func(t float64) float64 { return func(t float64) float64 { return mps * t } }
	constant := func(v float64) func(t float64) float64 { return func(float64) float64 { return v } }
	uneven := func(t float64) float64 { return 3 + math.Sin(t/40) }
	// Integral of uneven from 0 to 600, and the end of its trapezoid sum.
	unevenM := 3*600 + 40*(1-math.Cos(600.0/40))
	until := func(end float64, f func(t float64) float64) func(t float64) float64 {
		return func(t float64) float64 {
			if t > end {
				return never
			}
			return f(t)
		}
	}
	for _, c := range []struct {
		name                   string
		distance, speed, along func(t float64) float64 // along: positions, m
		want                   Source
		reason                 string // a part of it
		metres, tolerance      float64
		knownFrom, knownTo     int // s; 0, 0 when nothing is known
	}{
		{name: "all three", distance: steady(3), speed: uneven, along: steady(2.9),
			want: Odometer, reason: "odometer is complete", metres: 1800, knownTo: 600},
		{name: "odometer alone", distance: steady(3),
			want: Odometer, reason: "odometer", metres: 1800, knownTo: 600},
		{name: "odometer that does not begin at zero", distance: func(t float64) float64 { return 12345 + 3*t },
			want: Odometer, reason: "odometer", metres: 1800, tolerance: 1e-9, knownTo: 600},
		{name: "device speed zero while distance grows", distance: steady(3), speed: constant(0), along: steady(2.9),
			want: Odometer, reason: "odometer", metres: 1800, knownTo: 600},
		{name: "odometer in half of the records", distance: until(299, steady(3)), speed: uneven,
			want: DeviceSpeed, reason: "no usable odometer", metres: unevenM, tolerance: 0.05, knownTo: 600},
		{name: "odometer in just over half of them", distance: until(300, steady(3)), speed: uneven,
			want: Odometer, reason: "odometer", metres: 900, knownTo: 300},
		{name: "odometer stuck at zero", distance: constant(0), speed: uneven,
			want: DeviceSpeed, reason: "no usable odometer", metres: unevenM, tolerance: 0.05, knownTo: 600},
		{name: "odometer stuck somewhere", distance: constant(5000), speed: uneven,
			want: DeviceSpeed, reason: "no usable odometer", metres: unevenM, tolerance: 0.05, knownTo: 600},
		{name: "odometer that only falls", distance: func(t float64) float64 { return 40 - t/30 }, speed: uneven,
			want: DeviceSpeed, reason: "no usable odometer", metres: unevenM, tolerance: 0.05, knownTo: 600},
		{name: "speed alone", speed: uneven,
			want: DeviceSpeed, reason: "no usable odometer", metres: unevenM, tolerance: 0.05, knownTo: 600},
		{name: "a belt's one speed alone", speed: constant(3),
			want: DeviceSpeed, reason: "no usable odometer", metres: 1800, tolerance: 1e-9, knownTo: 600},
		{name: "speed from 100 s on", speed: func(t float64) float64 {
			if t < 100 {
				return never
			}
			return 3
		}, want: DeviceSpeed, reason: "no usable odometer", metres: 1500, tolerance: 1e-9, knownFrom: 100, knownTo: 600},
		{name: "positions alone", along: steady(3),
			want: Positions, reason: "neither a usable odometer nor device speed", metres: 1800, tolerance: 8, knownTo: 600},
		{name: "positions, odometer stuck, speed zero", distance: constant(7), speed: constant(0), along: steady(3),
			want: Positions, reason: "neither a usable odometer nor device speed", metres: 1800, tolerance: 8, knownTo: 600},
		{name: "positions, speed beyond any runner", speed: constant(40), along: steady(3),
			want: Positions, reason: "neither a usable odometer nor device speed", metres: 1800, tolerance: 8, knownTo: 600},
		{name: "positions that stay", along: constant(0), want: Nothing, reason: "no usable distance, speed or positions"},
		{name: "nothing", want: Nothing, reason: "no usable distance, speed or positions"},
		{name: "streams without one value", distance: constant(never), speed: constant(never),
			want: Nothing, reason: "no usable distance, speed or positions"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := ticks(600)
			if c.distance != nil {
				r.Distance = stream(r, c.distance)
			}
			if c.speed != nil {
				r.Speed = stream(r, c.speed)
			}
			if c.along != nil {
				withPositions(r, c.along)
			}
			tr := Build(r)
			if tr.Source != c.want || !strings.Contains(tr.Reason, c.reason) {
				t.Errorf("source is %s, because %s; want %s, because %s", tr.Source, tr.Reason, c.want, c.reason)
			}
			near(t, "the whole distance", tr.DistanceAt(600), c.metres, c.tolerance+1e-6)
			for i, known := range tr.Known {
				if want := i >= c.knownFrom && i < c.knownTo; known != want {
					t.Fatalf("cell %d is known: %v, want %v", i, known, want)
				}
			}
			if tr.Device != (c.want == DeviceSpeed) {
				t.Errorf("device speed was taken for changes of pace: %v", tr.Device)
			}
		})
	}
}

// The FIT record message has two fields for speed (global FIT profile): many
// devices write only the newer one, enhanced_speed.
func TestEnhancedSpeedOnly(t *testing.T) {
	c := intervals(4, 180, 4, 90, 2.4)
	r := ticks(int(c.seconds()))
	r.Speed = stream(r, c.speed)
	var file bytes.Buffer
	if err := simulate.WriteFIT(&file, r); err != nil {
		t.Fatal(err)
	}
	list, err := recording.Read("enhanced.fit", &file)
	if err != nil {
		t.Fatal(err)
	}
	tr := Build(list[0])
	if tr.Source != DeviceSpeed || list[0].Distance.Count() > 0 {
		t.Fatalf("source is %s, with %d odometer values", tr.Source, list[0].Distance.Count())
	}
	// A step between two records is a ramp to the trapezoid rule: half a second
	// of the jump at each edge, which cancels over a session.
	near(t, "the whole distance", tr.DistanceAt(c.seconds()), c.metres(c.seconds()), 1)
}

// Device speed is summed by the trapezoid rule, exact for a ramp; over a gap
// too long for smart recording the slower end is held, and over a pause nothing is covered, unless
// the recording tells of its pauses itself.
func TestIntegrate(t *testing.T) {
	r := blank(0, 1, 3, 9, 10, 11, 40, 41)
	s := stream(r, func(t float64) float64 {
		switch t {
		case 9:
			return 12.5 // beyond any runner: left out
		case 10:
			return -1
		}
		return 2 + t/20
	})
	ts, ds := integrate(r.T, s, false)
	wantT := []float64{0, 1, 3, 11, 40, 41}
	ramp := func(t float64) float64 { return 2*t + t*t/40 }
	hold := ramp(11) + 29*(2+11.0/20)
	wantD := []float64{0, ramp(1), ramp(3), ramp(11), hold, hold + ramp(41) - ramp(40)}
	if len(ts) != len(wantT) {
		t.Fatalf("times %v, want %v", ts, wantT)
	}
	for i := range ts {
		if ts[i] != wantT[i] {
			t.Errorf("time %d is %g, want %g", i, ts[i], wantT[i])
		}
		near(t, "the sum", ds[i], wantD[i], 1e-12)
	}
}

// Noise of position makes a sum of steps too long (Ranacher et al. 2016, IJGIS
// 30(2):316-333). With independent errors of 2 m to either side each second, a
// step at 3 m/s has errors of 2 sqrt(2) m along and across and a mean of 4.478
// m, half as long again (mean of the Rice distribution, computed). Means of
// five leave errors of 2 sqrt(2)/5 m, and a step longer by about 0.0533 m
// (variance over twice the step).
func TestPositionsAreSmoothed(t *testing.T) {
	rng := seeded(4)
	r := ticks(7200)
	lat, lon := recording.MakeStream(r.Len()), recording.MakeStream(r.Len())
	raw := 0.0
	for i, t := range r.T {
		lat.Set(i, north(3*t+2*rng.NormFloat64()))
		// 6392.7 km is the radius of curvature across the meridian.
		lon.Set(i, 3.5+2*rng.NormFloat64()/(6392700*math.Cos(55.5*math.Pi/180))*180/math.Pi)
		if i > 0 {
			raw += recording.Geodesic(lat.Value[i-1], lon.Value[i-1], lat.Value[i], lon.Value[i])
		}
	}
	r.Latitude, r.Longitude = lat, lon
	near(t, "the mean raw step, m", raw/7200, 4.478, 0.07)
	near(t, "the mean step, m", Build(r).DistanceAt(7200)/7200, 3.0533, 0.02)
}

// On Taveuni the road crosses from longitude 180 to -180.
func TestPositionsAcrossTheDateLine(t *testing.T) {
	r := ticks(600)
	perDegree := recording.Geodesic(-16.8, 179, -16.8, 180)
	r.Latitude = stream(r, func(float64) float64 { return -16.8 })
	r.Longitude = stream(r, func(t float64) float64 {
		return math.Remainder(180+3*(t-300)/perDegree, 360)
	})
	tr := Build(r)
	near(t, "the distance", tr.DistanceAt(600), 1800, 8)
	near(t, "the speed at the line", tr.Speed[300], 3, 0.01)
}

func TestOneRecordOrNone(t *testing.T) {
	for _, r := range []*recording.Recording{blank(), blank(0)} {
		r.Distance, r.Speed = stream(r, func(float64) float64 { return 5 }), stream(r, func(float64) float64 { return 3 })
		tr := Build(r)
		if tr.Len() != 0 || len(tr.Dist) != 1 || tr.Source != Nothing {
			t.Errorf("%d records: %d cells, %d borders, source %s", r.Len(), tr.Len(), len(tr.Dist), tr.Source)
		}
		if tr.DistanceAt(5) != 0 || tr.LockedShare() != 0 {
			t.Errorf("%d records: %g m, %g locked", r.Len(), tr.DistanceAt(5), tr.LockedShare())
		}
	}
}

// An open recording whose device speed is zero at times while distance grows
// (jmackie/activityio test data, MIT), read from the data folder.
func TestZeroSpeedRecording(t *testing.T) {
	list, err := recording.Open(opendata.File(t, "real-10k-zero-speed.csv"))
	if err != nil {
		t.Fatal(err)
	}
	tr := Build(list[0])
	if tr.Source != Odometer {
		t.Errorf("source %s", tr.Source)
	}
	for i, v := range tr.Speed {
		if tr.Dist[i+1]-tr.Dist[i] > 1 && v < 0.5 {
			t.Fatalf("%.2f m/s at %d s, where distance grows", v, i)
		}
	}
	near(t, "a run of 10 km, m", tr.DistanceAt(float64(tr.Len())), 10000, 50)
	if tr.Known[1] || !tr.Known[2] { // its first distance is that of 2 s
		t.Errorf("known from %v", tr.Known[:4])
	}
}

// A device that stops recording with the runner leaves a gap: nothing is covered in it, unless the file
// tells of its stops and has none there, since then the records were lost.
func TestIntegrateOverAPause(t *testing.T) {
	r := blank(0, 10, 20, 200, 210)
	s := stream(r, func(float64) float64 { return 4 })
	_, paused := integrate(r.T, s, false)
	_, lost := integrate(r.T, s, true)
	near(t, "with a pause", paused[4], 4*30, 1e-9)
	near(t, "with lost records", lost[4], 4*210, 1e-9)
}
