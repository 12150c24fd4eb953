package simulate

import (
	"math/rand/v2"
	"time"

	"example.org/rungs/segment/recording"
)

// A DemoRun is one run of the demo, recorded once or twice.
type DemoRun struct {
	Files   []string // names of the recordings, without .fit; the run goes by the first
	Devices []Device // what recorded each
	Plan    string   // in the notation; "" when nothing was planned
	Session Session
	Seed    uint64
}

// Record runs it: the recordings, and what is true of them.
func (d DemoRun) Record() ([]*recording.Recording, Truth) {
	return RunAll(d.Session, d.Devices, d.Seed)
}

// demoAthlete is the invented runner of testdata/demo/README.md: 20:15 for
// 5 km, 1:33 hoped for in the half marathon.
func demoAthlete(place recording.Place, maxGrade float64) *athlete {
	a := &athlete{Rand: rand.New(rand.NewPCG(1, 1)), v5: 5000 / 1215.0, place: place, runner: DefaultRunner()}
	a.easyMPS, a.jogMPS = pace(330), pace(375)
	a.runner.SpreadPct, a.runner.HeartBase, a.runner.HeartMax = 0.7, 66, 186
	if place != recording.Treadmill {
		a.terrain = Terrain{BaseM: 60, MaxGrade: maxGrade, RollM: 1100}
	}
	return a
}

// pace is the speed of so many seconds a kilometre.
func pace(sPerKm float64) float64 { return 1000 / sPerKm }

// paced sets the speeds of the reps, s/km at start and end.
func paced(s Session, reps ...[2]float64) Session {
	for i := range s.Legs {
		if l := &s.Legs[i]; l.Role == work {
			l.StartMPS, l.EndMPS = pace(reps[l.Rep-1][0]), pace(reps[l.Rep-1][1])
		}
	}
	return s
}

func even(sPerKm ...float64) (out [][2]float64) {
	for _, p := range sPerKm {
		out = append(out, [2]float64{p, p})
	}
	return out
}

func profile(name string, scalePct float64, change func(d *Device)) Device {
	d, ok := DeviceNamed(name)
	if !ok {
		panic("no device " + name)
	}
	d.ScaleBiasPct, d.ScaleSDPct, d.PressMissP, d.LockP = scalePct, 0, 0, 0
	if change != nil {
		change(&d)
	}
	return d
}

// Demo is two weeks of training for a half marathon, the runs of testdata/demo.
// Its README.md tells the story.
func Demo() []DemoRun {
	foot := profile("foot sensor on the treadmill", 0.6, nil)
	belt := profile("treadmill's own file", 0, nil)
	mill := func(kmh ...float64) Session {
		a := demoAthlete(recording.Treadmill, 0)
		s := a.session("treadmill", secs(900).warm(10.5/3.6), times(5, secs(240).work(1)).off(secs(90).jog(9.5/3.6)), secs(600).cool(10/3.6))
		var reps []float64
		for _, v := range kmh {
			reps = append(reps, 3600/v)
		}
		return paced(s, even(reps...)...)
	}
	a := demoAthlete(recording.Track, 0)
	track := a.onTrack().session("track", metres(2000).warm(pace(335)),
		times(2, times(5, metres(400).work(1)).off(metres(200).jog(pace(370)))).off(metres(800).jog(pace(380))), metres(1000).cool(pace(350)))
	track = paced(track, even(212, 217, 219, 221, 220, 219, 221, 218, 222, 216)...)
	for i := range track.Legs {
		if l := &track.Legs[i]; l.Role == work && l.Rep == 8 {
			l.Metres = 240 // a gate was shut across the bend
		}
	}
	a = demoAthlete(recording.Outdoors, 0.012)
	lights := a.loosely("easy", secs(2700).easy(a.easyMPS))
	lights.Legs[0].Halts = []Halt{{310, 41}, {655, 14}, {1120, 63}, {1388, 22}, {1905, 37}, {2301, 9}}
	a = demoAthlete(recording.Outdoors, 0.008)
	long := paced(a.session("long", metres(4000).easy(a.easyMPS), times(3, metres(3000).work(1)).off(metres(1000).offEasy(a.easyMPS)), metres(2000).easy(a.easyMPS)),
		[2]float64{284, 281}, [2]float64{281, 283}, [2]float64{284, 298})
	a = demoAthlete(recording.Outdoors, 0.008)
	tempo := paced(a.session("tempo", secs(900).warm(a.easyMPS), secs(1200).work(1), secs(600).cool(pace(345))), [2]float64{251, 273})
	a = demoAthlete(recording.Outdoors, 0.06)
	hills := a.loosely("easy", metres(8000).easy(a.easyMPS))

	const millPlan = "15:00 warm + 5 x 4:00 @ 4:25 -> 4:05/km off 1:30 jog + 10:00 cool"
	on := func(day, hour int, s Session) Session {
		s.Start = time.Date(2026, time.September, day, hour, 4, 0, 0, time.UTC)
		return s
	}
	return []DemoRun{
		{[]string{"tuesday-treadmill", "tuesday-treadmill-belt"}, []Device{foot, belt}, millPlan, on(8, 18, mill(13.6, 13.9, 14.2, 14.0, 14.7)), 11},
		{[]string{"thursday-track"}, []Device{profile("older watch, every second", 0.9, func(d *Device) { d.Laps = Presses })},
			"2km warm + 2 x ( 5 x 400m @ 3:40/km off 200m jog ) off 800m jog + 1km cool", on(10, 17, track), 12},
		{[]string{"saturday-easy"}, []Device{profile("watch in the city", 0.7, nil)}, "", on(12, 7, lights), 13},
		{[]string{"sunday-long"}, []Device{profile("watch with smart recording", 0.4, func(d *Device) { d.Laps = AutoLaps })},
			"4km easy + 3 x 3km @ 4:40/km off 1km easy + 2km easy", on(13, 8, long), 14},
		{[]string{"next-tuesday-treadmill"}, []Device{foot}, millPlan, on(15, 18, mill(13.7, 14.0, 14.3, 14.5, 14.8)), 15},
		{[]string{"next-thursday-tempo"}, []Device{profile("watch leading through steps", -0.3, nil)},
			"15:00 warm + 20:00 @ 4:20/km + 10:00 cool", on(17, 17, tempo), 16},
		{[]string{"next-saturday-hills"}, []Device{profile("good watch, open sky", 0.2, func(d *Device) { d.EveryS, d.MaxGapS, d.Laps = 0, 9, AutoLaps })}, "", on(19, 8, hills), 17},
	}
}
