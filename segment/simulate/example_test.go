package simulate_test

import (
	"fmt"
	"log"
	"math"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// A session is drawn from the grammar, run, and seen by two devices in turn.
func ExampleGrammar() {
	session := simulate.Grammar(13)
	fmt.Println(session.Name, "|", session.Notation, "|", session.Place, "| restless:", session.Restless)
	for _, d := range append(simulate.DevicesFor(session.Place)[:1], simulate.FurtherDevicesFor(session.Place)[0]) {
		rec, truth := simulate.Run(session, d, 13)
		reps := 0
		for _, l := range truth.Legs {
			if l.Role == "work" {
				reps++
			}
		}
		fmt.Printf("%s: %d reps, speed told: %v\n", d.Name, reps, rec.Speed.Count() > 0)
	}
	steady := simulate.GrammarSteady(2)
	fmt.Println(steady.Name, "| structured:", steady.Structured)
	// Output:
	// grammar: equal reps | 5:00 warm + 3 x 600m off 3:00 walk + 10:00 cool | outdoors | restless: false
	// good watch, open sky: 3 reps, speed told: true
	// watch that holds its odometer: 3 reps, speed told: true
	// steady: traffic lights | structured: false
}

// A session is run by a simulated runner and seen by a simulated watch. What is
// true is known besides.
func ExampleRun() {
	watch, ok := simulate.DeviceNamed("good watch, open sky")
	if !ok {
		log.Fatal("no such device")
	}
	leg := func(role, manner string, rep int, seconds, mps float64) simulate.Leg {
		l := simulate.Leg{Role: role, Manner: manner, Rep: rep, Seconds: seconds, StartMPS: mps, EndMPS: mps}
		if rep > 0 {
			l.Set = 1
		}
		return l
	}
	session := simulate.Session{
		Name: "two reps",
		Legs: []simulate.Leg{
			leg("warm", "warm", 0, 600, 2.8), leg("work", "work", 1, 240, 4),
			leg("recovery", "jog", 1, 120, 2.4), leg("work", "work", 2, 240, 4.1), leg("cool", "cool", 0, 300, 2.6),
		},
		Structured: true,
		Notation:   "10:00 warm + 2 x 4:00 off 2:00 jog + 5:00 cool",
		Place:      recording.Outdoors,
		Runner:     simulate.DefaultRunner(),
	}
	rec, truth := simulate.Run(session, watch, 1)
	fmt.Println(rec.Format, rec.Place, truth.Notation)
	for _, l := range truth.Legs {
		fmt.Printf("%s until about %.0f s\n", l.Role, math.Round(l.EndS/10)*10)
	}
	again, _ := simulate.Run(session, watch, 1)
	fmt.Println("the same seed gives the same run:", again.Distance.Value[600] == rec.Distance.Value[600])
	// Output:
	// simulated outdoors 10:00 warm + 2 x 4:00 off 2:00 jog + 5:00 cool
	// warm until about 610 s
	// work until about 850 s
	// recovery until about 970 s
	// work until about 1210 s
	// cool until about 1520 s
	// the same seed gives the same run: true
}
