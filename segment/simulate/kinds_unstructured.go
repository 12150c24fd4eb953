package simulate

import "example.org/rungs/segment/recording"

// unstructured are runs in which no reps must be found.
var unstructured = []recipe{
	{"plain easy", func(a *athlete) Session { return a.loosely("", a.easyRun()) }},
	{"easy with traffic lights", func(a *athlete) Session {
		return a.halted(a.loosely("", a.easyRun()), pick(a, 5, 8, 12), 8, 70)
	}},
	{"easy with photo stops", func(a *athlete) Session {
		return a.halted(a.loosely("", a.easyRun()), pick(a, 2, 3, 4), 30, 200)
	}},
	{"easy with walk breaks", func(a *athlete) Session {
		n := []node{secs(a.between(500, 900)).easy(a.easyMPS)}
		for range pick(a, 1, 2, 3) {
			n = append(n, secs(a.between(60, 200)).as(easy, "walk", 1.5), secs(a.between(300, 900)).easy(a.easyMPS))
		}
		return a.loosely("", n...)
	}},
	{"easy over hills", func(a *athlete) Session {
		a.terrain.MaxGrade, a.terrain.RollM = a.between(0.04, 0.09), a.between(700, 1800)
		return a.loosely("", a.easyRun())
	}},
	{"one big hill at race effort", func(a *athlete) Session {
		a.terrain.MaxGrade, a.terrain.RollM = a.between(0.06, 0.11), a.between(6000, 10000)
		a.runner.WanderPct, a.runner.WanderS = a.between(2, 6), a.between(8, 25)
		return a.loosely("", metres(1000*pick(a, 10.0, 12, 14)).as(easy, "steady", a.race(14)))
	}},
	{"wind on the track", func(a *athlete) Session {
		a.onTrack().terrain.WindPct = a.between(3, 7)
		return a.loosely("", metres(400*pick(a, 15.0, 20, 25)).easy(a.easyMPS*1.1))
	}},
	{"steady among towers", func(a *athlete) Session {
		a.terrain.Canyon = a.between(0.3, 0.6)
		return a.loosely("", a.easyRun())
	}},
	{"gentle progression", func(a *athlete) Session {
		return a.loosely("", secs(60*pick(a, 40.0, 50, 60)).easy(a.easyMPS*0.95).to(a.easyMPS*a.between(1.1, 1.2)))
	}},
	{"slow fade", func(a *athlete) Session {
		return a.loosely("", secs(60*pick(a, 50.0, 60, 80)).easy(a.easyMPS*1.05).to(a.easyMPS*a.between(0.86, 0.93)))
	}},
	{"trail", func(a *athlete) Session {
		a.place = recording.Trail
		a.terrain.MaxGrade, a.terrain.RollM = a.between(0.08, 0.18), a.between(300, 1100)
		a.runner.WanderPct, a.runner.WanderS = a.between(5, 9), a.between(8, 20)
		return a.loosely("", secs(60*pick(a, 40.0, 60)).easy(a.easyMPS*0.92))
	}},
	{"steady with a slow start", func(a *athlete) Session {
		return a.loosely("", secs(a.between(300, 600)).easy(a.easyMPS*0.85).to(a.easyMPS), secs(60*pick(a, 30.0, 40)).easy(a.easyMPS*1.03))
	}},
	{"long easy", func(a *athlete) Session {
		return a.halted(a.loosely("", secs(60*pick(a, 90.0, 110)).easy(a.easyMPS)), 3, 10, 90)
	}},
	{"treadmill steady", func(a *athlete) Session {
		return a.onTreadmill().loosely("", a.easyRun())
	}},
	{"steady kilometres", func(a *athlete) Session { // an automatic lap each, on many devices
		return a.loosely("", metres(1000*pick(a, 8.0, 10, 12)).as(easy, "steady", a.easyMPS*1.12))
	}},
	{"steady race", func(a *athlete) Session {
		v := a.race(10)
		return a.loosely("", metres(10000).as(easy, "steady", v*1.01).to(v*0.98))
	}},
	{"running with a dog", func(a *athlete) Session {
		a.runner.WanderPct, a.runner.WanderS = a.between(5, 8), a.between(30, 90)
		return a.halted(a.loosely("", a.easyRun()), 4, 5, 25)
	}},
}

func (a *athlete) easyRun() node {
	return secs(60 * pick(a, 30.0, 40, 45, 50, 60)).easy(a.easyMPS * a.between(0.97, 1.08))
}

// halted spreads up to n halts of between least and most seconds over the
// session's first leg.
func (a *athlete) halted(s Session, n int, least, most float64) Session {
	l := &s.Legs[0]
	space := l.Seconds / float64(n)
	for i := range n {
		l.Halts = append(l.Halts, Halt{space * (float64(i) + a.between(0.05, 0.6)), min(space*0.4, a.between(least, most))})
	}
	return s
}
