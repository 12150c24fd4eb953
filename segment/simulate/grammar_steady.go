package simulate

import (
	"math"

	"example.org/rungs/segment/recording"
)

// GrammarSteady draws a run without reps from a broad random grammar, as [Grammar] draws
// sessions with them: Session.Structured is false, and Session.Name says the shape, such
// as "steady: hills". Equal seeds give equal sessions. A race is a block of work and so a
// session of [Grammar].
func GrammarSteady(seed uint64) Session {
	d := newDraw("steady grammar", seed)
	d.contrast = 0
	sh := choose(d, steadyShapes)
	s := d.loosely("steady: "+sh.name, sh.make(d)...)
	s.Restless = d.restless
	if d.place != recording.Treadmill && d.place != recording.Track && d.chance(0.5) {
		d.corners(s.Legs, d.between(60, 300))
	}
	return s
}

// steadyShapes are the runs without reps with their weights.
var steadyShapes = []shape{
	{"plain", 14, func(d *draw) []node { return []node{d.long(1200, 7200)} }},
	{"progression", 8, func(d *draw) []node {
		n := d.long(1800, 4500)
		return []node{n.to(n.leg.EndMPS * d.between(1.08, 1.25))}
	}},
	{"fading", 8, func(d *draw) []node {
		n := d.long(3600, 7200)
		return []node{n.to(n.leg.EndMPS * d.between(0.82, 0.94))}
	}},
	{"wall", 5, (*draw).wall},
	{"traffic lights", 12, func(d *draw) []node {
		return d.outside().halting(d.long(1500, 5400), d.between(120, 500), pick(d.athlete, 0, 0.5))
	}},
	{"walk breaks", 7, (*draw).walkBreaks},
	{"hills", 15, func(d *draw) []node { return d.hilly(recording.Outdoors, 500, 3000) }},
	{"trail", 15, func(d *draw) []node { return d.hilly(recording.Trail, 300, 1500) }},
	{"out and back in the wind", 6, func(d *draw) []node {
		n := d.outside().long(900, 2700)
		back := n
		n.leg.StartMPS *= 1 - d.between(0.02, 0.06)
		n.leg.EndMPS = n.leg.StartMPS
		back.leg.StartMPS *= 1 + d.between(0.01, 0.04)
		back.leg.EndMPS = back.leg.StartMPS
		if d.chance(0.5) {
			return []node{back, n}
		}
		return []node{n, back}
	}},
	{"company", 7, func(d *draw) []node {
		n := d.outside().long(1800, 5400)
		for range 1 + d.IntN(2) {
			legs := []Leg{n.leg}
			d.company(legs)
			n.leg = legs[0]
		}
		return []node{n}
	}},
	{"photo stops", 5, func(d *draw) []node {
		n := d.outside().long(1800, 5400)
		for range 2 + d.IntN(4) {
			n.leg.Halts = append(n.leg.Halts, Halt{n.leg.about() * d.between(0.05, 0.85), d.upTo(20, 240)})
		}
		return []node{n}
	}},
	{"jog home", 4, func(d *draw) []node {
		return []node{d.long(1500, 4500), secs(d.between(180, 600)).easy(d.easyMPS * d.between(0.8, 0.9))}
	}},
	{"sprint finish", 4, func(d *draw) []node {
		return []node{d.long(1500, 4500), secs(d.between(10, 20)).easy(d.v5 * d.between(1, 1.2))}
	}},
	{"town canyons", 5, func(d *draw) []node {
		d.outside().terrain.Canyon = d.between(0.2, 0.6)
		return d.halting(d.long(1500, 4500), d.between(200, 900), 0.3)
	}},
	{"negative split", 5, func(d *draw) []node {
		n := d.long(1200, 3000)
		quicker := n
		quicker.leg.StartMPS *= 1 + d.between(0.02, 0.06)
		quicker.leg.EndMPS = quicker.leg.StartMPS
		return []node{n, quicker}
	}},
	{"surges", 5, func(d *draw) []node {
		n := d.long(1800, 4500)
		for range 1 + d.IntN(2) {
			n.leg.Shifts = append(n.leg.Shifts, Shift{n.leg.about() * d.between(0.05, 0.85), d.between(20, 60), d.between(3, 8)})
		}
		return []node{n.to(n.leg.StartMPS * d.between(0.95, 1.08))}
	}},
}

// long is a run of lo to hi seconds at an easy to steady pace, meant in time or distance.
func (d *draw) long(lo, hi float64) node {
	s, v := d.upTo(lo, hi), d.easyMPS*d.between(0.92, 1.1)
	l := secs(60 * math.Round(s/60))
	switch p := d.Float64(); {
	case p < 0.3:
		l = metres(1000 * math.Ceil(lo*v/1000+(hi-lo)*v/1000*d.Float64()*0.9))
	case p < 0.6:
		l = open(s)
	}
	return l.easy(v)
}

// outside takes the runner out of the track and off the belt.
func (d *draw) outside() *draw {
	if d.place != recording.Outdoors {
		d.place = recording.Outdoors
		d.terrain = Terrain{BaseM: 100, MaxGrade: d.between(0, 0.012), RollM: d.between(600, 2500)}
	}
	return d
}

// halting is a run with stops at lights.
func (d *draw) halting(n node, every, clustered float64) []node {
	legs := []Leg{n.leg}
	d.lights(legs, every, clustered)
	n.leg = legs[0]
	return []node{n}
}

// walkBreaks come when the runner feels like it.
func (d *draw) walkBreaks() []node {
	n := []node{d.outside().long(300, 1500)}
	for range 1 + d.IntN(4) {
		n = append(n, open(d.upTo(30, 240)).as(easy, "walk", d.between(1.3, 1.7)), open(d.upTo(240, 1500)).easy(n[0].leg.StartMPS))
	}
	return n
}

// wall is a long race, run evenly until strength fails: some slow down and some walk, more and more often. Smyth 2021, PLoS
// ONE 16:e0251513, calls a wall what costs a fifth of the pace or more for 5 km and more (from memory).
func (d *draw) wall() []node {
	s, v := d.upTo(6000, 16000), d.easyMPS*d.between(0.98, 1.18)
	even, slower := d.between(0.5, 0.85), d.between(0.65, 0.95)
	out := []node{open(s * even).easy(v), open(s * (1 - even) * d.between(0.2, 0.6)).easy(v).to(v * slower)}
	if d.chance(0.5) {
		return append(out, open(s*(1-even)*0.5).easy(v*slower))
	}
	for left := s * (1 - even) * 0.5; left > 120; {
		run := min(left, d.upTo(120, 1200))
		out = append(out, open(d.upTo(20, 180)).as(easy, "walk", d.between(1.2, 1.7)), open(run).easy(v*slower*d.between(0.95, 1.05)))
		left -= run
	}
	return out
}

// hilly is a run over grades up to 12 %; most walk the steepest.
func (d *draw) hilly(p recording.Place, least, most float64) []node {
	d.outside().place = p
	d.terrain.MaxGrade, d.terrain.RollM = d.between(0.04, 0.12), d.between(least, most)
	if d.terrain.MaxGrade > 0.07 && d.chance(0.7) {
		d.runner.WalkGrade = d.between(0.06, 0.1)
	}
	if p == recording.Trail { // rough ground
		d.runner.WanderPct *= d.between(1, 2.5)
	}
	return []node{d.long(1800, 7200)}
}
