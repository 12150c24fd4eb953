package simulate

// sets are sessions of sets, ladders and mixed reps.
var sets = []recipe{
	{"sets of 3 x 2:00", func(a *athlete) Session {
		return a.framed("", times(3, times(3, secs(120).work(a.race(4))).off(secs(60).jog(a.jogMPS))).off(secs(240).walk()))
	}},
	{"sets of 400s", func(a *athlete) Session {
		return a.onTrack().framed("", times(pick(a, 2, 3), times(pick(a, 4, 5), metres(400).work(a.race(3))).
			off(metres(200).jog(a.jogMPS))).off(metres(800).jog(a.jogMPS)))
	}},
	{"sets of 200s stood", func(a *athlete) Session {
		return a.onTrack().framed("", times(3, times(4, metres(200).work(a.race(1.5))).off(secs(45).stand())).
			off(secs(180).walk()))
	}},
	{"mixed reps 3:00 + 1:00", func(a *athlete) Session {
		return a.framed("", times(pick(a, 3, 4), secs(180).work(a.race(8)), secs(60).jog(a.jogMPS), secs(60).work(a.race(3))).
			off(secs(120).jog(a.jogMPS)))
	}},
	{"mixed reps 1200 + 400", func(a *athlete) Session {
		return a.onTrack().framed("", times(3, metres(1200).work(a.race(6)), metres(200).jog(a.jogMPS), metres(400).work(a.race(2))).
			off(metres(400).jog(a.jogMPS)))
	}},
	{"change of pace inside the rep", func(a *athlete) Session {
		return a.framed("", times(pick(a, 3, 4), secs(180).work(a.race(20)), secs(60).work(a.race(3))).
			off(secs(120).jog(a.jogMPS)))
	}},
	{"ladder up", func(a *athlete) Session {
		return a.framed("", a.ladder([]float64{60, 120, 180, 240, 300})...)
	}},
	{"pyramid", func(a *athlete) Session {
		return a.framed("", a.ladder([]float64{60, 120, 180, 240, 180, 120, 60})...)
	}},
	{"track pyramid", func(a *athlete) Session {
		a.onTrack()
		var main []node
		for i, m := range []float64{400, 800, 1200, 800, 400} {
			if i > 0 {
				main = append(main, metres(400).jog(a.jogMPS))
			}
			main = append(main, metres(m).work(a.race(2+m/400)))
		}
		return a.framed("", main...)
	}},
	{"ladder down", func(a *athlete) Session {
		return a.framed("", a.ladder([]float64{300, 240, 180, 120, 60})...)
	}},
	{"strides before the reps", func(a *athlete) Session {
		return a.framed("", times(4, secs(20).work(a.race(1.5))).off(secs(40).jog(a.jogMPS)),
			secs(120).walk(),
			times(pick(a, 4, 5), secs(pick(a, 180.0, 240)).work(a.race(6))).off(secs(120).jog(a.jogMPS)))
	}},
	{"reps then 200s", func(a *athlete) Session {
		return a.onTrack().framed("", times(4, metres(1000).work(a.race(5))).off(metres(400).jog(a.jogMPS)),
			metres(400).jog(a.jogMPS),
			times(4, metres(200).work(a.race(1.5))).off(metres(200).jog(a.jogMPS)))
	}},
	{"fartlek in round minutes", func(a *athlete) Session {
		// All reps differ, so that no repeat can shorten the writing.
		rungs := []float64{45, 60, 90, 120, 150, 180, 240}
		a.Shuffle(len(rungs), func(i, j int) { rungs[i], rungs[j] = rungs[j], rungs[i] })
		var main []node
		for i, s := range rungs[:pick(a, 5, 6, 7)] {
			if i > 0 {
				main = append(main, secs(pick(a, 60.0, 90, 120)).jog(a.easyMPS*0.95))
			}
			main = append(main, secs(s).work(a.race(2+s/60)))
		}
		return a.framed("", main...)
	}},
}

// ladder is rungs of seconds with jogs of half of each rung, at least 1:00.
func (a *athlete) ladder(rungs []float64) []node {
	var main []node
	for i, s := range rungs {
		if i > 0 {
			main = append(main, secs(max(60, rungs[i-1]/2)).jog(a.jogMPS))
		}
		main = append(main, secs(s).work(a.race(2+s/60)))
	}
	return main
}

// continuous are blocks without repeats, or long ones inside a run.
var continuous = []recipe{
	{"tempo block", func(a *athlete) Session {
		return a.framed("", secs(60*pick(a, 15.0, 20, 25, 30)).work(a.threshold()))
	}},
	{"two tempo blocks", func(a *athlete) Session {
		return a.framed("", times(2, secs(60*pick(a, 10.0, 12, 15)).work(a.threshold())).off(secs(pick(a, 120.0, 180)).jog(a.jogMPS)))
	}},
	{"race with warm-up", func(a *athlete) Session {
		km := pick(a, 5.0, 10)
		v := a.race(km)
		wait := open(a.between(150, 600)).as(stop, "stand", 0)
		return a.session("", a.warmUp(), wait, metres(1000*km).work(v*1.01).to(v*0.99), a.coolDown())
	}},
	{"long run, fast finish", func(a *athlete) Session {
		return a.session("", secs(60*pick(a, 50.0, 60, 70)).easy(a.easyMPS), secs(60*pick(a, 10.0, 15, 20)).work(a.threshold()))
	}},
	{"marathon-effort blocks", func(a *athlete) Session {
		v := a.easyMPS * a.between(1.06, 1.1)
		return a.session("", metres(1000*pick(a, 4.0, 5)).easy(a.easyMPS),
			times(pick(a, 2, 3), metres(1000*pick(a, 3.0, 4, 5)).work(v)).off(metres(1000).offEasy(a.easyMPS)),
			metres(1000*pick(a, 2.0, 3)).easy(a.easyMPS))
	}},
	{"cut-down 3-2-1 km", func(a *athlete) Session {
		return a.session("", metres(2000).warm(a.easyMPS), metres(3000).work(a.race(25)), metres(2000).work(a.race(10)),
			metres(1000).work(a.race(3.5)), metres(1000).cool(a.jogMPS))
	}},
	{"alternating kilometres", func(a *athlete) Session {
		return a.framed("", times(pick(a, 4, 5), metres(1000).work(a.race(10)), metres(1000).float(a.race(10)*0.9)))
	}},
}
