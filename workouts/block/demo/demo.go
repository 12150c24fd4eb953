// Package demo invents runners and their training, week after week, as
// recordings in FIT files. Nothing in it comes from a real person's run. The
// same runner and week give the same bytes.
package demo

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// First is the first day of the first week, a Monday.
var First = time.Date(2026, time.January, 5, 0, 0, 0, 0, time.UTC)

// An Outing is one time out running: a session, and what recorded it.
type Outing struct {
	Name    string
	Session simulate.Session
	Devices []simulate.Device // two record the same run
	Seed    uint64
}

// A File is a recording as a FIT file.
type File struct {
	Name string
	Data []byte
}

// Files records the outing with each of its devices.
func (o Outing) Files() ([]File, error) {
	recs, _ := simulate.RunAll(o.Session, o.Devices, o.Seed)
	var out []File
	for i, r := range recs {
		f := File{Name: o.Session.Start.Format("2006-01-02-1504-") + o.Name}
		if i > 0 {
			f.Name += fmt.Sprintf("-device-%d", i+1)
		}
		f.Name += ".fit"
		var b bytes.Buffer
		if err := simulate.WriteFIT(&b, r); err != nil {
			return nil, err
		}
		f.Data = b.Bytes()
		out = append(out, f)
	}
	return out, nil
}

// A runner trains by habit, and gets a little quicker.
type runner struct {
	number int
	v5     float64 // 5 km race speed in the first week, m/s
	easy   float64 // of the race speed
	body   simulate.Runner
	hour   int // when the day's run begins
}

func runnerOf(number int) runner {
	rng := rand.New(rand.NewPCG(2026, uint64(number)))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	r := runner{number: number, v5: between(3.4, 5), easy: between(0.70, 0.75), body: simulate.DefaultRunner(), hour: 6 + rng.IntN(13)}
	r.body.SpreadPct = between(0.6, 1.5)
	r.body.HeartBase = between(138, 146) - r.body.HeartGain*r.v5*r.easy
	r.body.HeartMax = math.Round(between(180, 196))
	return r
}

// gainPerWeek is the share by which the runner gets quicker each week.
const gainPerWeek = 0.0015

// Week is the outings of a runner, numbered from 1, in a week, numbered from 1:
// two sessions of reps, two easy runs and a long one. In every fourth week all
// is shorter and the treadmill records as well; in every fifth the warm-up
// before the track is a recording of its own.
func Week(number, week int) []Outing {
	r := runnerOf(number)
	w := weekOf{
		runner: r, week: week, rng: rand.New(rand.NewPCG(uint64(number), uint64(week))),
		v5: r.v5 * (1 + gainPerWeek*float64(week-1)), size: 1 + 0.06*float64((week-1)%4),
	}
	if week%4 == 0 {
		w.size = 0.75
	}
	out := []Outing{w.tuesday(), w.easyRun(2, "easy", 45)}
	out = append(out, w.thursday()...)
	out = append(out, w.easyRun(5, "easy-in-town", 40))
	return append(out, w.sunday())
}

type weekOf struct {
	runner
	week int
	rng  *rand.Rand
	v5   float64
	size float64
}

// race is the speed over so many km, by Riegel 1981 (American Scientist
// 69:285-290), T2 = T1 (D2/D1)^1.06.
func (w *weekOf) race(km float64) float64 { return w.v5 * math.Pow(km/5, -0.06) }

func (w *weekOf) easyMPS() float64 { return w.v5 * w.easy }

// outing makes one on a day of the week, from 0 for Monday.
func (w *weekOf) outing(day int, name string, place recording.Place, device string, legs ...simulate.Leg) Outing {
	rep := 0
	for i := range legs {
		if legs[i].Role == "work" {
			rep++
			legs[i].Rep, legs[i].Set = rep, 1
		}
	}
	d, ok := simulate.DeviceNamed(device)
	if !ok {
		panic("no device " + device)
	}
	start := First.AddDate(0, 0, 7*(w.week-1)+day).Add(time.Duration(w.hour)*time.Hour + time.Duration(w.rng.IntN(40))*time.Minute)
	o := Outing{
		Name: name, Devices: []simulate.Device{d}, Seed: w.rng.Uint64(),
		Session: simulate.Session{Name: name, Legs: legs, Place: place, Start: start, Runner: w.body},
	}
	if place != recording.Treadmill {
		o.Session.Terrain = simulate.Terrain{BaseM: 60, MaxGrade: 0.008, RollM: 1100}
	}
	if place == recording.Track {
		o.Session.Terrain.MaxGrade = 0
	}
	return o
}

func seconds(role, manner string, s, mps float64) simulate.Leg {
	return simulate.Leg{Role: role, Manner: manner, Seconds: s, StartMPS: mps, EndMPS: mps}
}

func metres(role, manner string, m, mps float64) simulate.Leg {
	return simulate.Leg{Role: role, Manner: manner, Metres: m, StartMPS: mps, EndMPS: mps}
}

// repeat is reps with rests between them.
func repeat(n int, rep, rest simulate.Leg) []simulate.Leg {
	var legs []simulate.Leg
	for i := range n {
		if i > 0 {
			legs = append(legs, rest)
		}
		legs = append(legs, rep)
	}
	return legs
}

func framed(warm simulate.Leg, main []simulate.Leg, cool simulate.Leg) []simulate.Leg {
	return append(append([]simulate.Leg{warm}, main...), cool)
}

// tuesday is on the treadmill in odd weeks and on the road in even ones.
func (w *weekOf) tuesday() Outing {
	warm, cool := seconds("warm", "warm", 900, w.easyMPS()*0.97), seconds("cool", "cool", 600, w.easyMPS()*0.93)
	jog := seconds("recovery", "jog", 90, w.v5*0.6)
	if w.week%2 == 1 {
		return w.outing(1, "treadmill-4-minutes", recording.Treadmill, "foot sensor on the treadmill",
			framed(warm, repeat(5, seconds("work", "work", 240, w.race(8)), jog), cool)...)
	}
	o := w.outing(1, "3-minutes", recording.Outdoors, "good watch, open sky",
		framed(warm, repeat(6, seconds("work", "work", 180, w.race(5)), jog), cool)...)
	if w.week%4 == 0 {
		belt, _ := simulate.DeviceNamed("treadmill's own file")
		o = w.outing(1, "treadmill-3-minutes", recording.Treadmill, "foot sensor on the treadmill", o.Session.Legs...)
		o.Devices = append(o.Devices, belt)
	}
	return o
}

// thursday is on the track.
func (w *weekOf) thursday() []Outing {
	const device = "watch leading through steps"
	warm, cool := metres("warm", "warm", 2000, w.easyMPS()), metres("cool", "cool", 1000, w.easyMPS()*0.95)
	reps := repeat(10, metres("work", "work", 400, w.race(3)), metres("recovery", "jog", 200, w.v5*0.6))
	name := "track-400s"
	if w.week%2 == 0 {
		reps = repeat(5, metres("work", "work", 1000, w.race(5)), metres("recovery", "jog", 400, w.v5*0.6))
		name = "track-1000s"
	}
	if w.week%5 != 0 {
		return []Outing{w.outing(3, name, recording.Track, device, framed(warm, reps, cool)...)}
	}
	first := w.outing(3, name+"-warm-up", recording.Track, device, warm)
	second := w.outing(3, name, recording.Track, device, append(reps, cool)...)
	second.Session.Start = first.Session.Start.Add(time.Duration(warm.Metres/warm.StartMPS+300) * time.Second)
	return []Outing{first, second}
}

// easyRun has a halt or two in town.
func (w *weekOf) easyRun(day int, name string, minutes float64) Outing {
	leg := seconds("easy", "easy", math.Round(60*minutes*w.size), w.easyMPS())
	device := "watch with smart recording"
	if day == 5 {
		device = "watch in the city"
		leg.Halts = []simulate.Halt{{AfterS: 300 + 200*w.rng.Float64(), ForS: 40}, {AfterS: 1000 + 300*w.rng.Float64(), ForS: 25}}
	}
	place := recording.Outdoors
	if day == 2 && w.week%3 == 0 {
		place = recording.Trail
	}
	return w.outing(day, name, place, device, leg)
}

// sunday is long, and in every third week partly at the pace of a marathon.
func (w *weekOf) sunday() Outing {
	const device = "older watch, every second"
	if w.week%3 != 0 {
		return w.outing(6, "long", recording.Outdoors, device, seconds("easy", "easy", math.Round(5400*w.size), w.easyMPS()))
	}
	easy := metres("easy", "easy", 4000, w.easyMPS())
	main := repeat(3, metres("work", "work", 3000, w.race(42)), metres("recovery", "easy", 1000, w.easyMPS()))
	return w.outing(6, "long-with-3-km", recording.Outdoors, device, framed(easy, main, metres("easy", "easy", 2000, w.easyMPS()))...)
}
