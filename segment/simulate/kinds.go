package simulate

// A Kind is a family of sessions: Make draws one with random amounts, paces,
// contrasts and ends. The same seed gives the same session.
type Kind struct {
	Name       string
	Structured bool
	Make       func(seed uint64) Session
}

// Kinds is the catalogue, structured kinds first.
func Kinds() []Kind {
	var out []Kind
	add := func(structured bool, list []recipe) {
		for _, r := range list {
			out = append(out, Kind{r.name, structured, func(seed uint64) Session {
				s := r.make(newAthlete(r.name, seed))
				s.Name = r.name
				return s
			}})
		}
	}
	add(true, repeats)
	add(true, sets)
	add(true, continuous)
	add(false, unstructured)
	return out
}

// KindNamed returns the kind of that name, or false.
func KindNamed(name string) (Kind, bool) {
	for _, k := range Kinds() {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

type recipe struct {
	name string
	make func(a *athlete) Session
}

// repeats are sessions of one repeated rep.
var repeats = []recipe{
	{"800s by distance", func(a *athlete) Session {
		return a.framed("", times(pick(a, 4, 5, 6, 8), metres(800).work(a.race(5)*a.between(0.97, 1.03))).
			off(metres(400).jog(a.jogMPS)))
	}},
	{"1000s on the road", func(a *athlete) Session {
		return a.framed("", times(pick(a, 4, 5, 6), metres(1000).work(a.race(6))).
			off(secs(pick(a, 90.0, 120, 150)).jog(a.jogMPS)))
	}},
	{"track 400s", func(a *athlete) Session {
		return a.onTrack().framed("", times(pick(a, 8, 10, 12), metres(400).work(a.race(3))).
			off(metres(pick(a, 200.0, 400)).jog(a.jogMPS)))
	}},
	{"4 minute reps", func(a *athlete) Session {
		return a.framed("", times(pick(a, 4, 5, 6), secs(240).work(a.race(5)*a.between(0.96, 1))).
			off(secs(pick(a, 90.0, 120, 180)).jog(a.jogMPS)))
	}},
	{"progressive 3 minute reps", func(a *athlete) Session {
		return a.framed("", times(pick(a, 5, 6, 7), secs(180).work(a.race(10)*0.97)).
			off(secs(pick(a, 60.0, 90)).jog(a.jogMPS)).each(quicker(a.between(0.8, 2.5))))
	}},
	{"short 30/30", func(a *athlete) Session {
		return a.framed("", times(pick(a, 10, 12, 16, 20), secs(30).work(a.race(2))).
			off(secs(30).jog(a.jogMPS)))
	}},
	{"200s", func(a *athlete) Session {
		return a.onTrack().framed("", times(pick(a, 8, 10, 12, 16), metres(200).work(a.race(1.5))).
			off(metres(200).jog(a.jogMPS*0.95)))
	}},
	{"mile reps", func(a *athlete) Session {
		return a.framed("", times(pick(a, 3, 4, 5), miles(1).work(a.race(9))).
			off(secs(pick(a, 120.0, 180, 240)).jog(a.jogMPS)))
	}},
	{"standing rests", func(a *athlete) Session {
		return a.framed("", times(pick(a, 5, 6, 8), metres(pick(a, 600.0, 800, 1000)).work(a.race(4))).
			off(secs(pick(a, 60.0, 90, 120)).stand()))
	}},
	{"walking rests", func(a *athlete) Session {
		return a.framed("", times(pick(a, 6, 8, 10), secs(pick(a, 60.0, 90, 120)).work(a.race(3))).
			off(secs(pick(a, 60.0, 90, 120)).walk()))
	}},
	{"half stood, half jogged", func(a *athlete) Session {
		rest := secs(pick(a, 120.0, 180)).jog(a.jogMPS)
		rest.leg.StandS = rest.leg.Seconds * a.between(0.4, 0.5)
		return a.framed("", times(pick(a, 5, 6), metres(1000).work(a.race(5))).off(rest))
	}},
	{"floats", func(a *athlete) Session {
		return a.framed("", times(pick(a, 5, 6, 8), metres(pick(a, 600.0, 1000)).work(a.race(10))).
			off(metres(pick(a, 200.0, 400)).float(a.easyMPS*a.between(1.04, 1.1))))
	}},
	{"on and off", func(a *athlete) Session {
		return a.framed("", times(pick(a, 6, 8), metres(800).work(a.race(15)), metres(800).offEasy(a.easyMPS*1.02)))
	}},
	{"minute on, minute off", func(a *athlete) Session {
		return a.framed("", times(pick(a, 8, 10, 12, 15), secs(60).work(a.race(4))).off(secs(60).jog(a.jogMPS*1.05)))
	}},
	{"fading reps", func(a *athlete) Session {
		// The last reps are slower than the first recoveries were fast, or nearly:
		// both fade.
		v := a.race(3)
		drop := a.between(2.5, 4)
		s := a.framed("", times(pick(a, 6, 7, 8), secs(pick(a, 120.0, 180)).work(v).to(v*0.97)).off(secs(90).float(v*0.8)))
		for i := range s.Legs {
			if l := &s.Legs[i]; l.Rep > 0 {
				f := 1 - drop/100*float64(l.Rep-1)
				l.StartMPS *= f
				l.EndMPS *= f
			}
		}
		return s
	}},
	{"no warm-up", func(a *athlete) Session {
		return a.session("", times(pick(a, 4, 5, 6), secs(180).work(a.race(6))).off(secs(120).jog(a.jogMPS)), a.coolDown())
	}},
	{"no cool-down", func(a *athlete) Session {
		return a.session("", a.warmUp(), times(pick(a, 5, 6), secs(180).work(a.race(6))).off(secs(90).jog(a.jogMPS)))
	}},
	{"no ends", func(a *athlete) Session {
		return a.session("", times(pick(a, 6, 8), metres(400).work(a.race(3))).off(secs(90).jog(a.jogMPS)))
	}},
	{"traffic stop inside a rep", func(a *athlete) Session {
		s := a.framed("", times(pick(a, 4, 5), secs(300).work(a.race(8))).off(secs(120).jog(a.jogMPS)))
		for n, i := 0, 0; i < len(s.Legs); i++ {
			if s.Legs[i].Role == work {
				if n++; n == 2 || n == 4 {
					s.Legs[i].Halts = []Halt{{a.between(60, 220), a.between(12, 45)}}
				}
			}
		}
		return s
	}},
	{"hill reps", func(a *athlete) Session {
		grade := a.between(0.04, 0.09)
		a.terrain.MaxGrade = 0
		rep := secs(pick(a, 45.0, 60, 90)).work(a.race(3))
		rep.leg.Grade = grade
		down := secs(pick(a, 90.0, 120)).jog(a.jogMPS * 0.9)
		down.leg.Grade = -grade * 0.8
		// At even effort a rep uphill may be hardly faster than the jog down.
		return a.framed("", times(pick(a, 6, 8, 10), rep).off(down))
	}},
	{"treadmill 3 minute reps", func(a *athlete) Session {
		return a.onTreadmill().framed("", times(5, secs(180).work(a.race(5))).off(secs(pick(a, 90.0, 120)).jog(a.jogMPS)))
	}},
	{"treadmill progression of reps", func(a *athlete) Session {
		return a.onTreadmill().framed("", times(pick(a, 4, 5, 6), secs(240).work(a.race(12))).
			off(secs(90).jog(a.jogMPS)).each(quicker(a.between(1.5, 3))))
	}},
	{"run and walk", func(a *athlete) Session {
		return a.session("", secs(300).as(warm, "warm", 1.5),
			times(pick(a, 6, 8, 10), secs(pick(a, 120.0, 180, 240)).work(a.easyMPS)).off(secs(pick(a, 60.0, 90)).walk()),
			secs(300).as(cool, "cool", 1.5))
	}},
	{"two minute reps, narrow contrast", func(a *athlete) Session {
		v := a.race(12)
		return a.framed("", times(pick(a, 8, 10), secs(120).work(v)).off(secs(60).float(v*a.between(0.86, 0.9))))
	}},
	{"fartlek by feel", func(a *athlete) Session {
		s := a.framed("", times(pick(a, 6, 8, 10), open(60).work(a.race(4))).off(open(90).jog(a.easyMPS*0.95)))
		for i := range s.Legs {
			if s.Legs[i].Open {
				s.Legs[i].Seconds = a.between(40, 150)
				f := a.between(0.97, 1.04)
				s.Legs[i].StartMPS *= f
				s.Legs[i].EndMPS *= f
			}
		}
		return s
	}},
}
