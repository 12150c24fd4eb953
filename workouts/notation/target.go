package notation

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/rungs/workouts"
)

// end is one end of a target as written: "4:05", "16", "half -5s", "150".
type end struct {
	pace        workouts.Pace // complete when named
	value       float64       // of a clock (s) or a number
	clock       bool
	unit        string // "" when none was written; a pace unit, "bpm", "%max", "%reserve"
	first, last token
}

func (e end) named() bool { return e.pace.Name != "" }

const targetHint = "targets are 3:45/km, 16km/h, a reference pace, quicker, 150-160bpm, 85-90%max, zone 4"

// Limits of what can be asked of a runner.
const (
	quickestPace = workouts.QuickestPace
	slowestPace  = workouts.SlowestPace
	mostOffset   = 600.0 // s
	leastBPM     = 30.0
	mostBPM      = 250.0
	mostZone     = 9
)

// target reads what stands after "@". The amount is that of its step, for
// hints.
func (p *parser) target(amount workouts.Amount) (workouts.Target, bool) {
	t := p.peek()
	var out workouts.Target
	var ok bool
	switch {
	case t.is("quicker"):
		out, ok = p.quicker()
	case t.is("zone") || t.is("z") && p.ahead(1).kind == number && p.ahead(1).glued:
		out, ok = p.zone()
	case t.kind == less || t.kind == greater:
		out, ok = p.heartBound()
	default:
		out, ok = p.ends(amount)
	}
	if !ok {
		return out, false
	}
	return out, p.tolerance(&out)
}

// quicker reads "quicker [ by seconds ]".
func (p *parser) quicker() (workouts.Target, bool) {
	out := workouts.Target{Kind: workouts.QuickerTarget}
	p.take()
	t := p.peek()
	if !t.is("by") {
		if t.kind == number && p.ahead(1).is("s") {
			p.fail(t, p.ahead(1), codeTarget, fmt.Sprintf("write quicker by %ss", t.text), `"by" is missing`)
			return out, false
		}
		return out, true
	}
	p.i++
	var ok bool
	out.By, ok = p.offset(workouts.AthleteUnit)
	if ok && out.By.Seconds == 0 {
		p.fail(t, p.tokens[p.i-1], codeTarget, `"quicker" alone asks for any gain`, "quicker by nothing")
		return out, false
	}
	return out, ok
}

// ends reads a pace, a name, or two of them joined by "-" or "->".
func (p *parser) ends(amount workouts.Amount) (workouts.Target, bool) {
	var out workouts.Target
	from, ok := p.end()
	if !ok {
		return out, false
	}
	to := from
	join := p.peek()
	switch join.kind {
	case minus:
		out.Kind = workouts.BandTarget
	case arrow:
		out.Kind = workouts.ProgressionTarget
	default:
		if join.is("to") {
			p.fail(join, join, codeTarget, `write "-" for a band, or "->" for a progression from the first rep to the last`, `"to" may mean two things`)
			return out, false
		}
		out.Kind = workouts.PaceTarget
	}
	if out.Kind != workouts.PaceTarget {
		p.i++
		if to, ok = p.end(); !ok {
			return out, false
		}
		shareUnit(&from, &to)
	}
	if isHeart(from.unit) || isHeart(to.unit) {
		return p.heartEnds(from, to, join, out.Kind)
	}
	if out.From, ok = p.pace(from, amount); !ok || out.Kind == workouts.PaceTarget {
		return out, ok
	}
	out.To, ok = p.pace(to, amount)
	return out, ok
}

// shareUnit gives the unit of one end to the other that was written without.
func shareUnit(from, to *end) {
	switch {
	case from.named() || to.named():
	case from.unit == "":
		from.unit = to.unit
	case to.unit == "":
		to.unit = from.unit
	}
	if from.unit == "%" && isHeart(to.unit) {
		from.unit = to.unit
	}
}

// end reads one end with its unit.
func (p *parser) end() (end, bool) {
	t := p.peek()
	e := end{first: t, last: t}
	ok := true
	switch {
	case t.kind == number && p.ahead(1).kind == colon && p.ahead(1).glued:
		e.clock = true
		if e.value, ok = p.clock(); !ok {
			return e, false
		}
		if e.unit, ok = p.paceUnit(); ok && e.unit == "" {
			e.unit, ok = p.numberUnit(t) // to be told that it does not fit
		}
	case t.kind == word || t.kind == number && p.ahead(1).kind == word && p.ahead(1).glued && !p.speedAhead():
		return p.name()
	case t.kind == number:
		p.i++
		if len(t.text) > 9 {
			p.fail(t, t, codeLimit, "is it mistyped?", "too long a number")
			return e, false
		}
		if _, fraction, _ := strings.Cut(t.text, "."); len(fraction) > 2 {
			p.fail(t, t, codePrecise, "two decimals at most", "too fine a speed")
			return e, false
		}
		e.value, _ = strconv.ParseFloat(t.text, 64)
		e.unit, ok = p.numberUnit(t)
	default:
		p.fail(t, t, codeTarget, targetHint, "%s is not a target", t.show())
		return e, false
	}
	e.last = p.tokens[p.i-1]
	return e, ok
}

// speedAhead tells whether the word after a number is a unit of speed or of
// heart rate, so that the two are not a name such as 10k.
func (p *parser) speedAhead() bool {
	switch w := p.ahead(1); w.text {
	case "kmh", "kph", "mph", "bpm":
		return true
	case "km", "k", "mi":
		return p.ahead(2).kind == slash
	case "s", "sec", "min":
		return true // not a speed, but not a name either
	}
	return false
}

var kmWords = map[string]bool{"km": true, "k": true, "kilometre": true, "kilometer": true}
var mileWords = map[string]bool{"mi": true, "mile": true}

// paceUnit reads "/km" or "/mi" after a clock, when it is there.
func (p *parser) paceUnit() (string, bool) {
	if p.peek().is("min") && p.ahead(1).kind == slash {
		p.i++
	}
	if t := p.peek(); t.kind != slash && !t.is("per") {
		return "", true
	}
	p.i++
	u := p.take()
	switch {
	case u.kind == word && kmWords[u.text]:
		return string(workouts.PerKm), true
	case u.kind == word && mileWords[u.text]:
		return string(workouts.PerMile), true
	}
	p.i--
	p.fail(u, u, codePace, "a pace is per km or per mile: 3:45/km, 6:00/mi", "a pace per %s", u.show())
	return "", false
}

// distance tells whether a word is the unit of a distance in a pace or a speed.
func (t token) distance() bool {
	return t.kind == word && (kmWords[t.text] || mileWords[t.text])
}

// numberUnit reads the unit of a speed or a heart rate, when it is there.
func (p *parser) numberUnit(first token) (string, bool) {
	t := p.peek()
	switch {
	case t.is("kmh") || t.is("kph"):
		p.i++
		return string(workouts.KmPerHour), true
	case t.is("mph"):
		p.i++
		return string(workouts.MilesPerH), true
	case t.is("bpm"):
		p.i++
		return string(workouts.BPM), true
	case t.kind == percent:
		p.i++
		return p.percentUnit(first, t)
	case t.distance() && p.ahead(1).kind == slash:
		if h := p.ahead(2); !h.is("h") && !h.is("hr") && !h.is("hour") {
			p.fail(h, h, codePace, "a speed is per hour: 16km/h, 10mph", "a speed per %s", h.show())
			return "", false
		}
		p.i += 3
		if kmWords[t.text] {
			return string(workouts.KmPerHour), true
		}
		return string(workouts.MilesPerH), true
	case t.kind == slash && p.ahead(1).distance():
		p.fail(first, p.ahead(1), codePace, fmt.Sprintf("write minutes and seconds: %s/%s", asClock(first.text), p.ahead(1).text), "a pace without seconds")
		return "", false
	}
	return "", true
}

// asClock is a number of minutes as a clock, 4:30 for 4.30 as well, as some write one.
func asClock(number string) string {
	if minutes, seconds, ok := strings.Cut(number, "."); ok && len(seconds) <= 2 {
		return minutes + ":" + (seconds + "0")[:2]
	}
	return number + ":00"
}

// name reads a reference pace, its offset included.
func (p *parser) name() (end, bool) {
	first := p.take()
	text := first.text
	for t := p.peek(); t.glued && (t.kind == word || t.kind == number || t.kind == times); t = p.peek() {
		text += strings.ToLower(t.text)
		p.i++
	}
	e := end{first: first, last: p.tokens[p.i-1], pace: workouts.Pace{Name: text}}
	hint := ""
	switch text {
	case "faster", "slower", "progressive", "progression":
		hint = `each rep quicker than the last is "quicker"; from one pace to another is 4:05 -> 3:45/km`
	case "off", "by", "at", "open", "to":
		hint = targetHint
	}
	if strings.Contains(text, ".") {
		hint = "a reference pace is called by letters and digits: half, 10k, threshold"
	}
	if hint != "" {
		p.fail(first, e.last, codeTarget, hint, "%q is not a target", text)
		return e, false
	}
	if len(text) > mostName {
		p.fail(first, e.last, codeTarget, fmt.Sprintf("%d letters at most", mostName), "too long a name for a reference pace")
		return e, false
	}
	return p.nameOffset(e, text)
}

// nameOffset reads what is taken from a reference pace or added to it, where there is
// something.
func (p *parser) nameOffset(e end, text string) (end, bool) {
	sign := p.peek()
	// A plus with a blank behind it, or before anything but seconds, begins the next step.
	offset := sign.kind == minus && p.secondsAt(1) || sign.kind == plus && p.secondsAt(1) && p.ahead(1).glued
	if !offset {
		if n := p.ahead(1); sign.kind == minus && n.kind == number && ends[p.ahead(2).kind] {
			p.fail(sign, n, codeOffset, fmt.Sprintf("write seconds: %s -%ss", text, n.text), "an offset without a unit")
			return e, false
		}
		return e, true
	}
	p.i++
	var ok bool
	e.pace.Offset, ok = p.offset(workouts.AthleteUnit)
	if sign.kind == minus {
		e.pace.Offset.Seconds = -e.pace.Offset.Seconds
	}
	if e.pace.Offset.Seconds == 0 {
		e.pace.Offset = workouts.PaceOffset{}
	}
	if _, manner := manners[p.peek().text]; ok && manner && sign.kind == plus {
		p.fail(sign, p.tokens[p.i-1], codeTarget, `for a step of its own put a blank after the "+"`, "an offset of the pace, or the next step?")
		ok = false
	}
	e.last = p.tokens[p.i-1]
	return e, ok
}

// ends are the kinds of token that end an item.
var ends = map[kind]bool{eof: true, newline: true, plus: true, rightParen: true}

// mostName is the most letters of a name.
const mostName = 30

func (p *parser) secondsAt(n int) bool {
	u := p.ahead(n + 1)
	return p.ahead(n).kind == number && (u.kind == word && units[u.text] == workouts.Seconds(1) || u.kind == secondMark)
}

// offset reads "5s", "5s/km", "5s/mi"; beside is the unit it has when none is
// written.
func (p *parser) offset(beside workouts.PaceUnit) (workouts.PaceOffset, bool) {
	n := p.peek()
	out := workouts.PaceOffset{Unit: beside}
	if n.kind != number || !p.secondsAt(0) {
		last, text := n, "3"
		if n.kind == number {
			text = n.text
		}
		p.fail(n, last, codeOffset, fmt.Sprintf("write seconds: %ss, or %ss/km", text, text), "%s is not a number of seconds", n.show())
		return out, false
	}
	u := p.ahead(1)
	p.i += 2
	v, err := strconv.ParseFloat(n.text, 64)
	if _, fraction, _ := strings.Cut(n.text, "."); len(fraction) > 1 {
		p.fail(n, u, codePrecise, "one decimal at most", "finer than a tenth of a second")
		return out, false
	}
	if err != nil || v > mostOffset {
		p.fail(n, u, codeLimit, fmt.Sprintf("the most is %.0fs", mostOffset), "too large a difference of pace")
		return out, false
	}
	out.Seconds = v
	unit, ok := p.paceUnit()
	if unit != "" {
		out.Unit = workouts.PaceUnit(unit)
	}
	return out, ok
}

// tolerance reads "±3s" after a target.
func (p *parser) tolerance(t *workouts.Target) bool {
	sign := p.peek()
	if sign.kind != plusMinus {
		return true
	}
	if t.Kind == workouts.HeartTarget {
		p.fail(sign, sign, codeTolerance, "write the range itself: 150-160bpm", "a heart target has no tolerance")
		return false
	}
	p.i++
	var ok bool
	t.Tolerance, ok = p.offset(besideTarget(*t))
	if t.Tolerance.Seconds == 0 {
		t.Tolerance = workouts.PaceOffset{}
	}
	return ok
}

// besideTarget is the unit a tolerance has when none is written.
func besideTarget(t workouts.Target) workouts.PaceUnit {
	switch {
	case t.Kind == workouts.QuickerTarget:
		return t.By.Unit
	case t.From.Name != "":
		return t.From.Offset.Unit
	}
	return t.From.Unit.PerDistance()
}
