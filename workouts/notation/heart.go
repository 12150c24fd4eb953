package notation

import (
	"fmt"
	"strconv"

	"example.org/rungs/workouts"
)

// zone reads "zone 4" and "zone 2-3".
func (p *parser) zone() (workouts.Target, bool) {
	out := workouts.Target{Kind: workouts.HeartTarget, Heart: workouts.HeartRange{Unit: workouts.Zone}}
	first := p.take()
	low, ok := p.zoneNumber()
	if !ok {
		return out, false
	}
	out.Heart.Low, out.Heart.High = low, low
	if p.peek().kind == minus && p.ahead(1).kind == number {
		p.i++
		if out.Heart.High, ok = p.zoneNumber(); !ok {
			return out, false
		}
		if out.Heart.High <= low {
			p.fail(first, p.tokens[p.i-1], codeHeart, "the lower zone stands first: zone 2-3", "zones the wrong way round")
			return out, false
		}
	}
	return out, true
}

func (p *parser) zoneNumber() (float64, bool) {
	t := p.peek()
	n, err := strconv.Atoi(t.text)
	if t.kind != number || err != nil || n < 1 || n > mostZone {
		p.fail(t, t, codeHeart, fmt.Sprintf("zones are whole numbers from 1 to %d: zone 4", mostZone), "no such zone: %s", t.show())
		return 0, false
	}
	p.i++
	return float64(n), true
}

// heartBound reads "<150bpm" and ">85%max".
func (p *parser) heartBound() (workouts.Target, bool) {
	sign := p.take()
	out := workouts.Target{Kind: workouts.HeartTarget}
	e, ok := p.end()
	if !ok {
		return out, false
	}
	if !isHeart(e.unit) {
		p.fail(sign, e.last, codeHeart, `"<" and ">" are for heart rate: <150bpm, <80%max; a pace has a band: 3:50-4:00/km`, "%s before what is not a heart rate", sign.show())
		return out, false
	}
	e.first = sign
	if sign.kind == less {
		return p.heartRange(nil, &e)
	}
	return p.heartRange(&e, nil)
}

func isHeart(unit string) bool {
	switch workouts.HeartUnit(unit) {
	case workouts.BPM, workouts.PercentMax, workouts.PercentReserve:
		return true
	}
	return false
}

// heartRange makes a heart target of two bounds, of which one may be nil.
func (p *parser) heartRange(low, high *end) (workouts.Target, bool) {
	out := workouts.Target{Kind: workouts.HeartTarget}
	h := &out.Heart
	for _, e := range []*end{low, high} {
		if e == nil {
			continue
		}
		h.Unit = workouts.HeartUnit(e.unit)
		least, most := 1.0, 100.0
		if h.Unit == workouts.BPM {
			least, most = leastBPM, mostBPM
		}
		if e.value < least || e.value > most {
			p.fail(e.first, e.last, codeHeart, fmt.Sprintf("between %.0f and %.0f%s", least, most, e.unit), "no heart beats at %s%s", decimal(e.value, 2), e.unit)
			return out, false
		}
	}
	if low != nil {
		h.Low = low.value
	}
	if high != nil {
		h.High = high.value
	}
	if low != nil && high != nil && h.Low > h.High {
		p.fail(low.first, high.last, codeHeart, "the lower bound stands first: 150-160bpm", "bounds the wrong way round")
		return out, false
	}
	if h.Unit == workouts.BPM {
		h.LowBPM, h.HighBPM = h.Low, h.High
	}
	return out, true
}

func (p *parser) heartEnds(from, to end, join token, kind workouts.TargetKind) (workouts.Target, bool) {
	switch {
	case kind == workouts.ProgressionTarget:
		p.fail(from.first, to.last, codeHeart, "give the range to stay in: 150-160bpm", "a heart rate cannot progress from rep to rep")
	case from.unit != to.unit || from.clock || to.clock || from.named() || to.named():
		p.fail(from.first, to.last, codeHeart, "both bounds in one unit: 150-160bpm, 85-90%max", "a heart rate mixed with something else")
	default:
		return p.heartRange(&from, &to)
	}
	return workouts.Target{}, false
}

// percentUnit reads what a percentage is of.
func (p *parser) percentUnit(first, sign token) (string, bool) {
	n := 0
	if p.peek().is("of") {
		n = 1
	}
	switch p.ahead(n).text {
	case "max", "hrmax", "maxhr", "maximum":
		p.i += n + 1
		return string(workouts.PercentMax), true
	case "reserve", "hrr":
		p.i += n + 1
		return string(workouts.PercentReserve), true
	}
	if p.peek().kind == minus {
		return "%", true // the other bound says of what
	}
	p.fail(first, sign, codeHeart, "say of what: 85%max, or 75%reserve", "a percentage of what?")
	return "", false
}
