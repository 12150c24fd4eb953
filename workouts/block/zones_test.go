package block

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
)

// steady is a recording of so many seconds at speed(t), a record a second, with
// heart(t); a NaN is not measured.
func steady(seconds int, speed, heart func(t float64) float64) *recording.Recording {
	n := seconds + 1
	r := &recording.Recording{Name: "made", Start: utc(9, 8, 17), Sport: recording.Running, Place: recording.Outdoors,
		Distance: recording.MakeStream(n), HeartRate: recording.MakeStream(n)}
	d := 0.0
	for i := range n {
		t := float64(i)
		r.T = append(r.T, t)
		r.Distance.Set(i, d)
		d += speed(t + .5)
		if h := heart(t); !math.IsNaN(h) {
			r.HeartRate.Set(i, h)
		}
	}
	return r
}

func summarise(t testing.TB, r *recording.Recording) Run {
	t.Helper()
	s, err := segment.Split(r)
	if err != nil {
		t.Fatal(err)
	}
	return Summarise(s)
}

func even(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// A heart rate that climbs evenly spends in each zone its width over the slope:
// from 100 to 190 in 1800 s, 20 s a beat. Zones of 60, 72, 82, 88 and 94 % of
// 190 begin at 114, 136.8, 155.8, 167.2 and 178.6 beats/min.
func TestTimeInZoneOnARamp(t *testing.T) {
	r := summarise(t, steady(1800, even(3), func(t float64) float64 { return 100 + t/20 }))
	a := athlete.New()
	a.MaxHR = 190
	b := New([]Run{r}, []Run{r}, a, calendar(t, "UTC"))
	h := b.Whole.Heart
	near(t, "below", h.BelowS, 14*20, 1)
	for i, beats := range []float64{22.8, 19, 11.4, 11.4, 11.4} {
		near(t, fmt.Sprintf("zone %d", i+1), h.ZonesS[i], beats*20, 1)
	}
	near(t, "upper two", h.UpperTwoS(), 22.8*20, 1)
	near(t, "known", h.KnownS, 1800, 1e-9)

	// Whole beats, as devices write them: 133 is below 133.92, 134 is above.
	a.OwnZones = []float64{120, 133.92, 134}
	r = summarise(t, steady(1200, even(3), func(t float64) float64 {
		return []float64{119, 120, 133, 134}[min(3, int(t/300))]
	}))
	h = New([]Run{r}, []Run{r}, a, calendar(t, "UTC")).Whole.Heart
	near(t, "below 120", h.BelowS, 300, 1)
	for i, want := range []float64{600, 0, 300} {
		near(t, fmt.Sprintf("own zone %d", i+1), h.ZonesS[i], want, 1)
	}
}

// Gaps are in no zone, and are counted; a timer that stands is no gap.
func TestHeartGaps(t *testing.T) {
	rec := steady(1200, even(3), func(t float64) float64 {
		if t >= 300 && t < 400 || t >= 700 && t < 900 {
			return math.NaN()
		}
		return 150
	})
	rec.Stops = []recording.Span{{StartS: 750, EndS: 850}}
	r := summarise(t, rec)
	near(t, "missing", r.NoHeartS, 101+101, 2) // a gap of n records is one of n+1 seconds
	known := 0.0
	for e := range efforts {
		known += r.Heart[e].Seconds(0, math.Inf(1))
	}
	near(t, "known", known, 1200-100-r.NoHeartS, 1e-9)
	if !r.Sensor {
		t.Error("there is a sensor")
	}
	r = summarise(t, steady(600, even(3), even(math.NaN())))
	if r.Sensor || r.NoHeartS != 600 {
		t.Errorf("without heart rate: sensor %v, %.0f s missing", r.Sensor, r.NoHeartS)
	}
}

// Paces belong to the nearest reference by speed: 1/5:00 and 1/4:00 meet at
// 2/(1/300 + 1/240) = 266.67 s/km. Beyond the outer ones by more than 3 % a
// pace is slower, or quicker, than all.
func TestPaceZones(t *testing.T) {
	a := athlete.New()
	pace := func(s string) workouts.Pace {
		p, err := workouts.ParsePace(s)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	a.Paces = map[string]workouts.Pace{"marathon": pace("5:00/km"), "10k": pace("4:00/km")}
	zones := paceZones(a)
	want := []struct {
		name        string
		slow, quick float64
	}{{"slower", math.Inf(1), 309}, {"marathon", 309, 266.6667}, {"10k", 266.6667, 232.8}, {"quicker", 232.8, 0}}
	if len(zones) != len(want) {
		t.Fatalf("%d zones", len(zones))
	}
	for i, z := range zones {
		if z.Name != want[i].name || math.Abs(z.Quick-want[i].quick) > 1e-3 || z.Slow != want[i].slow && math.Abs(z.Slow-want[i].slow) > 1e-3 {
			t.Errorf("zone %d is %s from %.4f to %.4f", i, z.Name, z.Slow, z.Quick)
		}
	}

	// 10:00 at 6:00, 10:00 at 4:50, 5:00 at 4:10 and 5:00 at 3:40 /km. Where two
	// meet, the mean over 11 s lies in the zones between for some seconds.
	speeds := []float64{1000. / 360, 1000. / 290, 1000. / 250, 1000. / 220}
	ends := []float64{600, 1200, 1500, 1800}
	r := summarise(t, steady(1800, func(t float64) float64 {
		for i, e := range ends {
			if t < e {
				return speeds[i]
			}
		}
		return 0
	}, even(150)))
	b := New([]Run{r}, []Run{r}, a, calendar(t, "UTC"))
	for i, want := range []float64{600, 600, 300, 300} {
		near(t, b.Paces[i].Name, b.Whole.PacesS[i], want, 12)
	}
	sum := 0.0
	for _, s := range b.Whole.PacesS {
		sum += s
	}
	near(t, "all paces", sum, 1800, 1)

	// Without paces a race stands for four; with neither there are none.
	a = athlete.New()
	if paceZones(a) != nil {
		t.Error("there are pace zones without a reference")
	}
	a.Race = &athlete.Race{Metres: 10000, Seconds: 2400}
	var names []string
	for _, z := range paceZones(a) {
		names = append(names, z.Name)
	}
	if got := strings.Join(names, " "); got != "slower marathon half 10k 5k quicker" {
		t.Errorf("from a race: %s", got)
	}
}

// The mean of a first-order answer over T: 1 - tau/T (1 - exp(-T/tau)). The slow
// way is to sum it up second by hundredth of a second.
func TestHeartShows(t *testing.T) {
	for _, seconds := range []float64{30, 60, 240, 1200} {
		sum, n := 0.0, 0.0
		for x := 0.005; x < seconds; x += 0.01 {
			sum, n = sum+1-math.Exp(-x/57.6), n+1
		}
		near(t, fmt.Sprintf("over %.0f s", seconds), HeartShows(seconds), sum/n, 1e-5)
	}
}

// Recoveries are no work, however high the heart is in them: five reps of 3:00 with
// four recoveries of 2:00, in which this heart alone comes into the upper two zones.
func TestEffortsApart(t *testing.T) {
	phase := func(at float64) string {
		switch at -= 600; {
		case at < 0 || at >= 5*180+4*120:
			return "easy"
		case math.Mod(at, 300) < 180:
			return "work"
		}
		return "recovery"
	}
	r := summarise(t, steady(600+5*180+4*120+600,
		func(at float64) float64 {
			return map[string]float64{"easy": 3, "work": 4.5, "recovery": 2.2}[phase(at)]
		},
		func(at float64) float64 {
			return map[string]float64{"easy": 120, "work": 150, "recovery": 175}[phase(at)]
		}))
	a := athlete.New()
	a.MaxHR = 190 // the upper two zones begin at 167.2
	w := New([]Run{r}, []Run{r}, a, calendar(t, "UTC")).Whole
	near(t, "work", w.EffortS[AtWork], 900, 8)
	near(t, "recovery", w.EffortS[InRecovery], 480, 8)
	near(t, "the rest", w.EffortS[Elsewhere], 1200, 8)
	near(t, "in the upper two zones", w.Heart.UpperTwoS(), 480, 8)
	near(t, "of it at work", w.Heart.WorkUpperS, 0, 8)
}
