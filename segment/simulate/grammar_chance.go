package simulate

import (
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// recovering is how a session's recoveries are taken.
type recovering struct {
	d      *draw
	manner string
	mps    float64
	metres bool
	ratio  float64 // to the rep before
	fixed  float64 // s, instead of the ratio; 0 is none
	grow   float64 // s more after each rep
	most   float64 // s
}

func (r recovering) grows() bool { return r.grow != 0 }

// recovery draws the recoveries after reps of about some seconds: 15 s to 6 minutes.
func (d *draw) recovery(repS float64) recovering {
	r := recovering{d: d, ratio: d.upTo(0.25, 1.3), most: 360}
	switch p := d.Float64(); {
	case p < 0.5:
		r.manner, r.mps = "jog", d.easyMPS*d.between(0.78, 0.93)
	case p < 0.66:
		r.manner = "walk"
	case p < 0.8:
		r.manner = "stand"
	case p < 0.9 && d.contrast >= 0.12 && repS >= 30: // else float and work are one
		r.manner, r.mps = "float", d.floatMPS()
	default:
		r.manner, r.mps = "easy", d.easyMPS
	}
	r.metres = r.mps > 0 && d.chance(0.35)
	if d.chance(0.6) { // after mixed reps the recoveries are often all the same
		r.fixed = repS * r.ratio
	}
	if d.chance(0.1) {
		r.fixed = repS * r.ratio
		r.grow = d.between(0.08, 0.3) * repS * r.ratio
	}
	return r
}

// floatMPS is a recovery between easy running and work.
func (d *draw) floatMPS() float64 { return d.easyMPS * (1 + d.contrast*d.between(0, 0.35)) }

// after is the recovery after rep i, from 0, that lasted so many seconds.
func (r recovering) after(repS float64, i int) node {
	s := r.fixed
	if s == 0 {
		s = repS * r.ratio
	}
	s = max(15, min(r.most, s+r.grow*float64(i)))
	if r.metres {
		step := 50.0
		if r.d.oddRests {
			step = 10
		}
		lo, hi := math.Ceil(15*r.mps/step), math.Floor(330*r.mps/step)
		return r.as(metres(step * max(lo, min(hi, math.Round(s*r.mps/step)))))
	}
	step := 15.0
	if s < 60 {
		step = 5
	}
	if r.d.oddRests {
		step = 1
	}
	return r.as(secs(max(15, math.Round(s/step)*step)))
}

func (r recovering) as(l Leg) node {
	switch r.manner {
	case "walk":
		return l.walk()
	case "stand":
		return l.stand()
	}
	return l.as(recovery, r.manner, r.mps)
}

// frame draws what comes before and after the main set.
func (d *draw) frame() (before, after []node) {
	if d.before {
		n := d.end(300, 1200, 3000).warm(d.easyMPS * d.between(0.94, 1))
		if d.chance(0.25) {
			n.leg.StartMPS *= d.between(0.85, 0.95)
		}
		before = append(before, n)
		if d.chance(0.03) && !d.isRace { // seldom are strides a written part of the session
			refS, contrast := d.refS, d.contrast
			d.aim(secs(18))
			before = append(before, times(4, d.rep(secs(pick(d.athlete, 15.0, 20)))).off(secs(pick(d.athlete, 40.0, 60)).jog(d.jogMPS)),
				secs(pick(d.athlete, 60.0, 120)).walk())
			d.refS, d.contrast = refS, contrast
		} else if d.waits && d.place != recording.Treadmill {
			before = append(before, open(d.between(60, 400)).as(stop, "stand", 0))
		}
	}
	if d.after {
		after = append(after, d.end(180, 900, 2000).cool(d.easyMPS*d.between(0.85, 0.98)))
	}
	return before, after
}

// end is a length of easy running at an end of the session, lo to hi seconds or up to
// most metres.
func (d *draw) end(lo, hi, most float64) Leg {
	if d.chance(0.3) {
		return metres(pickAmount(d, []float64{1000, 1500, 2000, 2500, 3000}, lo*d.easyMPS, most, d.oddEnds, oddMetres))
	}
	return secs(pickAmount(d, []float64{180, 240, 300, 480, 600, 720, 900, 1200}, lo, hi, d.oddEnds, oddSeconds))
}

// trend lets the reps change over the session, in 45 % of all.
func (d *draw) trend(legs []Leg) {
	var reps []*Leg
	for i := range legs {
		if legs[i].Role == work {
			reps = append(reps, &legs[i])
		}
	}
	if len(reps) < 2 || d.chance(0.55) {
		return
	}
	much := d.between(0.03, 0.1)
	kind := d.IntN(4)
	for i, l := range reps {
		f := 1.0
		switch part := float64(i) / float64(len(reps)-1); {
		case kind == 0:
			f = 1 + much*(0.5-part) // fading
		case kind == 1:
			f = 1 + much*(part-0.5) // progressive
		case kind == 2 && i == 0, kind == 3 && i == len(reps)-1:
			f = 1 + 0.7*much // fast first or last
		}
		l.StartMPS *= f
		l.EndMPS *= f
	}
}

// disturb adds to the legs of a session what nobody meant.
func (d *draw) disturb(legs []Leg) {
	if d.place == recording.Treadmill {
		return
	}
	if d.place != recording.Track {
		if d.chance(0.6) {
			d.corners(legs, d.between(60, 300))
		}
		if d.chance(0.3) {
			d.lights(legs, d.between(180, 600), 0)
		}
		if d.chance(0.12) {
			d.company(legs)
		}
	}
	if legs[0].Role == warm && d.chance(0.07) {
		d.drills(&legs[0])
	}
	var long []*Leg
	for i := range legs {
		if l := &legs[i]; l.Role == work && d.lasts(*l) > 120 {
			long = append(long, l)
		}
	}
	if len(long) > 0 && d.place != recording.Track && d.chance(0.06) {
		l := long[d.IntN(len(long))]
		l.Halts = append(l.Halts, Halt{d.lasts(*l) * d.between(0.25, 0.75), d.between(8, 40)})
	}
}

// runs says whether a leg is run, not walked or stood.
func (l Leg) runs() bool { return l.StartMPS > 2 || l.Manner == "warm" || l.Manner == "cool" }

// about is how long a leg lasts, s, without its disturbances.
func (l Leg) about() float64 {
	if l.Metres > 0 {
		return l.Metres / ((l.StartMPS + l.EndMPS) / 2)
	}
	return l.Seconds
}

// corners slow the runner for 3 to 6 s, about every so many seconds. Short reps are run
// where there are none.
func (d *draw) corners(legs []Leg, every float64) {
	for i := range legs {
		l := &legs[i]
		if !l.runs() || l.Role == work && l.about() < 60 {
			continue
		}
		for at := every * d.ExpFloat64(); at < l.about()-6; at += 8 + every*d.ExpFloat64() {
			l.Shifts = append(l.Shifts, Shift{at, d.between(3, 6), -d.between(8, 25)})
		}
	}
}

// lights halt the runner in easy legs about every so many seconds; some come in a cluster,
// the next within a minute.
func (d *draw) lights(legs []Leg, every, clustered float64) {
	for i := range legs {
		l := &legs[i]
		if !l.runs() || l.Role == work || l.Role == recovery {
			continue
		}
		end := l.about()
		for at := every * d.ExpFloat64(); at < end-20; {
			h := Halt{at, d.between(5, 60)}
			if l.Metres == 0 && h.AfterS+h.ForS > end-15 {
				break
			}
			l.Halts = append(l.Halts, h)
			if l.Metres > 0 {
				end += h.ForS // a leg in metres waits
			}
			at += h.ForS + 20
			if d.chance(clustered) {
				at += d.between(0, 40)
			} else {
				at += every * d.ExpFloat64()
			}
		}
	}
}

// company joins in a long easy leg for some kilometres and makes it quicker or slower by
// 3 to 8 %; quicker by no more than half of what tells work.
func (d *draw) company(legs []Leg) {
	i := slices.IndexFunc(legs, func(l Leg) bool { return l.about() > 600 && l.runs() && l.Role != work && l.Role != recovery })
	if i < 0 {
		return
	}
	pct, end := d.between(3, 8), legs[i].about()
	if d.chance(0.5) || pct > 50*d.contrast && d.contrast > 0 {
		pct = -pct
	}
	from := end * d.between(0.1, 0.6)
	legs[i].Shifts = append(legs[i].Shifts, Shift{from, min(end-from, d.between(1, 3)*1000/d.easyMPS), pct})
}

// drills are some minutes of shuffling at the end of a warm-up, with standing about.
func (d *draw) drills(l *Leg) {
	s := d.between(90, 200)
	from := l.about() - s - 20
	if from < 60 {
		return
	}
	l.Shifts = append(l.Shifts, Shift{from, s, -d.between(40, 60)})
	for at := from + 20; at < from+s-20 && l.Metres == 0; at += d.between(30, 60) {
		l.Halts = append(l.Halts, Halt{at, d.between(6, 15)})
	}
}
