package notation

import (
	"fmt"

	"example.org/rungs/workouts"
)

// pace makes a pace of an end that must be one.
func (p *parser) pace(e end, amount workouts.Amount) (workouts.Pace, bool) {
	if e.named() {
		return e.pace, true
	}
	unit := workouts.PaceUnit(e.unit)
	switch {
	case e.unit == "" && e.clock && !mayBeTime(e.value, amount):
		unit = workouts.AthleteUnit
	case e.unit == "" || e.unit == "%":
		p.paceWithoutUnit(e, amount)
		return e.pace, false
	case e.clock && unit.IsSpeed():
		p.fail(e.first, e.last, codePace, "a speed is a number: 16km/h; a pace is per km or per mile: 3:45/km", "a clock time with a unit of speed")
		return e.pace, false
	case !e.clock && !unit.IsSpeed():
		p.fail(e.first, e.last, codePace, "write minutes and seconds: 3:45/km", "a pace without seconds")
		return e.pace, false
	}
	pace := workouts.Pace{}
	if e.value > 0 {
		pace = workouts.MakePace(e.value, unit)
	}
	if pace.SecPerKm < quickestPace || pace.SecPerKm > slowestPace {
		p.fail(e.first, e.last, codePace, "between 1:30/km and 60:00/km, 1km/h and 40km/h", "no one runs at %s", p.written(e))
		return pace, false
	}
	return pace, true
}

func (p *parser) written(e end) string {
	if e.clock {
		return clockText(e.value) + e.unit
	}
	return e.first.text + e.unit
}

// paceWithoutUnit reports "@ 3:45" and "@ 75s", working out what a time for
// the step's own distance would be as a pace.
func (p *parser) paceWithoutUnit(e end, amount workouts.Amount) {
	seconds, last := e.value, e.last
	if unit := p.peek(); !e.clock {
		if unit.kind != word || units[unit.text].Seconds == 0 {
			p.fail(e.first, e.last, codePace, targetHint, "%s of what?", e.first.text)
			return
		}
		seconds, last = e.value*units[unit.text].Seconds, unit
	}
	written := clockText(seconds)
	hint := fmt.Sprintf("write %s/km or %s/mi", written, written)
	if amount.Metres > 0 {
		unit := workouts.PerKm
		if amount.Mile {
			unit = workouts.PerMile
		}
		pace := workouts.Pace{SecPerKm: seconds / amount.Metres * 1000, Unit: unit}
		switch asRep := paceText(pace, true); {
		case !usual(pace.SecPerKm) || asRep == written+string(unit):
		case usual(seconds):
			hint += fmt.Sprintf("; %s for %s would be %s", written, amountText(amount), asRep)
		default:
			hint = fmt.Sprintf("write %s, which is %s for %s", asRep, written, amountText(amount))
		}
	}
	p.fail(e.first, last, codePace, hint, "a pace without a unit")
}

// mayBeTime tells whether a clock without a unit beside an amount may be the time for it
// rather than a pace: 3:00 beside 800m may be either, beside 5:00 it is a pace, and beside
// 1km both are the same.
func mayBeTime(seconds float64, amount workouts.Amount) bool {
	if amount.Metres <= 0 || amount.Metres == 1000 {
		return false
	}
	return usual(seconds / amount.Metres * 1000)
}

// usual tells whether a pace, s/km, is one that people train at, for hints.
func usual(secPerKm float64) bool { return secPerKm >= 130 && secPerKm <= 480 }
