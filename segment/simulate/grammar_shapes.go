package simulate

import (
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// shapes are the structured sessions with their weights.
var shapes = []shape{
	{"equal reps", 25, (*draw).equalReps},
	{"sets", 8, (*draw).sets},
	{"sequence", 20, (*draw).sequence},
	{"pyramid", 10, (*draw).pyramid},
	{"alternation", 10, (*draw).alternation},
	{"blocks", 12, (*draw).blocks},
	{"block before short reps", 8, (*draw).blockThenShort},
	{"fartlek by feel", 7, (*draw).byFeel},
	{"race", 3, (*draw).raced},
}

// count is how often reps of some seconds are run for 6 to 40 minutes of work in all.
func (d *draw) count(seconds float64, least, most int) int {
	n := math.Round(d.upTo(360, 2400) / seconds)
	return int(max(float64(least), min(float64(most), n)))
}

func (d *draw) equalReps() []node {
	l := d.amount(15, 720)
	if d.byMetres && !d.oddReps && d.chance(0.05) {
		l = miles(1)
	}
	d.aim(l)
	r := d.recovery(d.lasts(l))
	n := d.count(d.lasts(l), 3, 24)
	if !r.grows() {
		return []node{times(n, d.rep(l)).off(r.after(d.lasts(l), 0))}
	}
	return d.row(slices.Repeat([]Leg{l}, min(n, 10)), r)
}

// row is reps one after the other with recoveries between them.
func (d *draw) row(reps []Leg, r recovering) []node {
	var out []node
	for i, l := range reps {
		if i > 0 {
			out = append(out, r.after(d.lasts(reps[i-1]), i-1))
		}
		out = append(out, d.rep(l))
	}
	return out
}

func (d *draw) sets() []node {
	l := d.amount(15, 300)
	d.aim(l)
	s := d.lasts(l)
	passes := 2 + d.IntN(3)
	n := max(2, min(6, d.count(s, 4, 24)/passes))
	inner := d.recovery(s)
	inner.ratio, inner.most = min(inner.ratio, 0.8), 120
	return []node{times(passes, times(n, d.rep(l)).off(inner.after(s, 0))).off(d.betweenSets())}
}

// betweenSets is a recovery longer than those inside a set.
func (d *draw) betweenSets() node {
	l := secs(pickAmount(d, []float64{180, 240, 300, 360}, 180, 360, d.oddRests, oddSeconds))
	switch d.IntN(4) {
	case 0:
		return l.walk()
	case 1:
		return l.stand()
	}
	return l.jog(d.jogMPS)
}

// sequence is mixed reps in free order: some amounts, each once or more, and never the
// same twice in a row, as that would be written shorter.
func (d *draw) sequence() []node {
	lo, hi := d.upTo(20, 90), d.upTo(180, 900)
	var amounts, reps []Leg
	for range 40 { // a narrow range may hold few amounts
		l := d.amount(lo, hi)
		if !slices.ContainsFunc(amounts, func(o Leg) bool { return o.Seconds == l.Seconds && o.Metres == l.Metres }) {
			amounts = append(amounts, l)
		}
		if len(amounts) == 5 {
			break
		}
	}
	if len(amounts) < 2 {
		return d.pyramid()
	}
	amounts = amounts[:2+d.IntN(len(amounts)-1)]
	d.aim(amounts[0])
	switch p := d.IntN(3); {
	case p == 0 && len(amounts) > 2: // each once, perhaps in order
		reps = append(reps, amounts...)
		if d.chance(0.5) {
			slices.SortFunc(reps, func(a, b Leg) int { return int(d.lasts(b) - d.lasts(a)) })
		}
	case p == 1: // there and back
		reps = append(reps, amounts...)
		for i := len(amounts) - 2; i >= 0; i-- {
			reps = append(reps, amounts[i])
		}
	default:
		reps = d.freeOrder(amounts, 4+d.IntN(5))
	}
	reps = d.within(reps, 3000)
	r := d.recovery(d.lasts(reps[0]))
	main := d.row(reps, r)
	if len(reps) <= 4 && len(d.within(reps, 1500)) == len(reps) && d.chance(0.3) {
		return []node{times(2, main...).off(d.betweenSets())}
	}
	return main
}

// freeOrder is up to n of the amounts in any order in which nothing comes twice in a row,
// be it one rep or several: that would be written as a repeat.
func (d *draw) freeOrder(amounts []Leg, n int) []Leg {
	var order []int
	for range 20 * n {
		if order = append(order, d.IntN(len(amounts))); repeatsAtEnd(order) {
			order = order[:len(order)-1]
		}
		if len(order) == n {
			break
		}
	}
	var out []Leg
	for _, i := range order {
		out = append(out, amounts[i])
	}
	return out
}

// repeatsAtEnd says whether the list ends in the same thing twice.
func repeatsAtEnd(list []int) bool {
	for k := 1; 2*k <= len(list); k++ {
		if n := len(list); slices.Equal(list[n-k:], list[n-2*k:n-k]) {
			return true
		}
	}
	return false
}

// within leaves off the last reps after so many seconds of work, but keeps two.
func (d *draw) within(reps []Leg, seconds float64) []Leg {
	for i, l := range reps {
		if seconds -= d.lasts(l); seconds < 0 && i >= 2 {
			return reps[:i]
		}
	}
	return reps
}

func (d *draw) pyramid() []node {
	unit := pick(d.athlete, 30.0, 60, 90)
	if d.oddReps {
		unit = oddSeconds(d.between(25, 95))
	}
	if d.byMetres {
		if unit = pick(d.athlete, 200.0, 300, 400); d.oddReps {
			unit = oddMetres(d.between(150, 420))
		}
	}
	top := 3 + d.IntN(3)
	var up []Leg
	for i := 1; i <= top; i++ {
		l := secs(unit * float64(i))
		if d.byMetres {
			l = metres(unit * float64(i))
		}
		up = append(up, l)
	}
	down := slices.Clone(up)
	slices.Reverse(down)
	var reps []Leg
	switch p := d.Float64(); {
	case p < 0.5:
		reps = slices.Concat(up, down[1:])
	case p < 0.7:
		reps = up
	case p < 0.9:
		reps = down
	default:
		reps = slices.Concat(down, up[1:])
	}
	d.aim(up[top/2])
	return d.row(reps, d.recovery(d.lasts(up[top/2])))
}

func (d *draw) alternation() []node {
	if d.chance(0.5) {
		return d.onAndOff()
	}
	long := d.amount(90, 480)
	short := d.amount(15, d.lasts(long)/1.8)
	d.aim(long)
	r := d.recovery(d.lasts(long))
	r.grow = 0
	n := max(2, min(6, d.count(d.lasts(long)+d.lasts(short), 2, 6)))
	return []node{times(n, d.rep(long), r.after(d.lasts(long), 0), d.rep(short)).off(r.after(d.lasts(short), 0))}
}

// onAndOff alternates work with a float.
func (d *draw) onAndOff() []node {
	l := d.amount(30, 480)
	d.aim(l)
	d.contrast = max(d.contrast, 0.12)
	s := d.lasts(l)
	r := d.recovery(s)
	r.manner, r.mps, r.grow = "float", d.floatMPS(), 0
	off := r.after(s, 0)
	n := d.count(s, 4, 20)
	if d.chance(0.5) {
		return []node{times(n, d.rep(l), off)}
	}
	return []node{times(n, d.rep(l)).off(off)}
}

// blocks are one long block, or two or three.
func (d *draw) blocks() []node {
	if d.chance(0.5) {
		l := d.amount(720, 1800)
		d.before = d.before || !d.after // alone it would be a steady run
		d.aim(l)
		n := d.rep(l)
		return []node{n.to(n.leg.EndMPS * d.between(0.97, 1.03))}
	}
	l := d.amount(480, 1200)
	d.aim(l)
	return []node{times(2+d.IntN(2), d.rep(l)).off(d.recovery(240).after(240, 0))}
}

func (d *draw) blockThenShort() []node {
	block := d.amount(480, 1200)
	d.aim(block)
	first := []node{d.rep(block), d.recovery(180).after(180, 0)}
	short := d.amount(15, 90)
	s := d.lasts(short)
	r := d.recovery(s)
	r.grow = 0
	return append(first, times(4+d.IntN(7), d.rep(short)).off(r.after(s, 0)))
}

// byFeel is fartlek whose lengths nobody meant.
func (d *draw) byFeel() []node {
	d.aim(secs(60))
	d.freely = func(l *Leg) {
		v := d.easyMPS * d.between(0.85, 1)
		if l.Seconds = d.upTo(30, 240); l.Role == work {
			l.Seconds = d.upTo(20, 240)
			v = d.rep(*l).leg.StartMPS * d.between(0.96, 1.04)
		}
		l.StartMPS, l.EndMPS = v, v
	}
	return []node{times(5+d.IntN(8), d.rep(open(60))).off(open(90).jog(d.easyMPS))}
}

// raced is a race, alone or after a jog and a wait. It may last longer than any rep.
func (d *draw) raced() []node {
	km := pick(d.athlete, 5, 10, 15, 21.098)
	if d.place == recording.Track {
		km = 5
	}
	d.before, d.after, d.waits, d.isRace = d.chance(0.6), d.chance(0.5), true, true
	v := d.race(km)
	return []node{metres(1000 * km).work(v * d.between(1, 1.02)).to(v * d.between(0.97, 1.01))}
}
