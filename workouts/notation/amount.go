package notation

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
)

// manners maps the accepted words to manners. In "warm up" and "warm-up" the
// second half is taken by the parser.
var manners = map[string]workouts.Manner{
	"warm": workouts.Warm, "warmup": workouts.Warm,
	"cool": workouts.Cool, "cooldown": workouts.Cool,
	"easy": workouts.Easy, "steady": workouts.Steady, "work": workouts.Work,
	"float": workouts.Float, "jog": workouts.Jog, "walk": workouts.Walk, "stand": workouts.Stand,
}

// hardWords are other words for work, and say nothing more than it does.
var hardWords = map[string]bool{"hard": true, "fast": true, "quick": true, "on": true, "interval": true, "rep": true, "run": true}

// restWords say nothing of a rest that "off" has not said.
var restWords = map[string]bool{"rest": true, "recovery": true, "recover": true}

// units maps the accepted words for units to what one of them is.
var units = map[string]workouts.Amount{
	"s": workouts.Seconds(1), "sec": workouts.Seconds(1), "secs": workouts.Seconds(1),
	"second": workouts.Seconds(1), "seconds": workouts.Seconds(1),
	"min": workouts.Seconds(60), "mins": workouts.Seconds(60),
	"minute": workouts.Seconds(60), "minutes": workouts.Seconds(60),
	"h": workouts.Seconds(3600), "hr": workouts.Seconds(3600), "hrs": workouts.Seconds(3600),
	"hour": workouts.Seconds(3600), "hours": workouts.Seconds(3600),
	"m": workouts.Metres(1), "metre": workouts.Metres(1), "metres": workouts.Metres(1),
	"meter": workouts.Metres(1), "meters": workouts.Metres(1),
	"k": workouts.Metres(1000), "km": workouts.Metres(1000),
	"kilometre": workouts.Metres(1000), "kilometres": workouts.Metres(1000),
	"kilometer": workouts.Metres(1000), "kilometers": workouts.Metres(1000),
	"mi": workouts.Miles(1), "mile": workouts.Miles(1), "miles": workouts.Miles(1),
}

// step reads an amount, a manner and a target.
func (p *parser) step(rest bool) (workouts.Step, bool) {
	var s workouts.Step
	first := p.peek()
	var ok bool
	if s.Amount, ok = p.amount(rest); !ok {
		return s, false
	}
	if s.Manner, ok = p.manner(rest); !ok {
		return s, false
	}
	if s.Manner == workouts.Stand && s.Amount.Kind == workouts.Distance {
		p.fail(first, p.tokens[p.i-1], codeManner, "stand for a time, or walk the distance", "nobody stands a distance")
		return s, false
	}
	if t := p.peek(); t.kind == at || t.is("at") {
		p.i++
		s.Target, ok = p.target(s.Amount)
	}
	return s, ok
}

// manner reads the manner, when there is one.
func (p *parser) manner(rest bool) (workouts.Manner, bool) {
	m := workouts.Work
	if rest {
		m = workouts.Unsaid
	}
	t := p.peek()
	if t.kind != word || t.is("off") || t.is("at") {
		return m, true
	}
	if rest && restWords[t.text] {
		p.i++
		return workouts.Unsaid, true
	}
	named, known := manners[t.text]
	if !known {
		p.unknownManner(t, rest)
		return m, false
	}
	if rest && (named == workouts.Work || named == workouts.Warm || named == workouts.Cool) {
		p.fail(t, t, codeManner, "a rest is stand, walk, jog, float, easy or steady", "a rest cannot be %q", t.text)
		return m, false
	}
	p.i++
	p.secondHalf(t.text)
	return named, true
}

// secondHalf takes the rest of "warm-up", "warm up", "cool-down", "cool down".
func (p *parser) secondHalf(first string) {
	half := map[string]string{"warm": "up", "cool": "down"}[first]
	if half == "" {
		return
	}
	n := 0
	if p.peek().kind == minus {
		n = 1
	}
	if p.ahead(n).is(half) {
		p.i += n + 1
	}
}

func (p *parser) unknownManner(t token, rest bool) {
	if _, unit := units[t.text]; unit {
		p.fail(t, t, codeUnit, "one unit an amount; a time of two parts is written 1:30 or 1h30min", "the unit %q has no place here", t.text)
		return
	}
	hint := fmt.Sprintf("the manners are %s; a reference pace stands after \"@\": @ %s", listManners(), t.text)
	near := workouts.Nearest(t.text, mannerWords)
	for _, m := range mannerWords {
		if strings.HasPrefix(t.text, m) {
			near = m // jogging, standing
		}
	}
	switch {
	case hardWords[t.text]:
		hint = `work is meant when nothing is said: 5 x 3:00 off 90s easy; how hard stands after "@", as a pace, quicker, or a heart rate`
	case restWords[t.text]:
		hint = `a rest between repeats stands after "off"; one of its own is written 90s stand, walk or jog`
	case t.text == "long" || t.text == "short":
		hint = "how long it is, the amount says: 1h30min easy"
	case t.text == "in":
		hint = "write the target as a pace: @ 3:45/km"
	case near != "":
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	p.fail(t, t, codeManner, hint, "unknown manner %q", t.text)
}

// amount reads how long a step is.
func (p *parser) amount(rest bool) (workouts.Amount, bool) {
	t := p.peek()
	switch {
	case t.is("open"):
		p.i++
		return workouts.Amount{Kind: workouts.Open}, true
	case t.kind == number && p.ahead(1).kind == colon && p.ahead(1).glued:
		return p.clockAmount()
	case t.kind == number:
		return p.unitAmount()
	}
	p.noAmount(t, rest)
	return workouts.Amount{}, false
}

func (p *parser) noAmount(t token, rest bool) {
	what := "a step"
	if rest {
		what = "a rest"
	}
	example := "write the amount first, for example 10:00, 400m or open"
	if m, ok := manners[t.text]; ok && t.kind == word {
		example = fmt.Sprintf("write the amount before the manner: 10:00 %s", m)
	}
	if restWords[t.text] {
		example = `write the amount first, 2:00 jog; a rest between repeats stands after "off"`
	}
	switch {
	case t.kind == bad:
		p.badCharacter(t)
	case t.kind == word && p.ahead(1).kind == colon && t.atLine:
		p.fail(t, p.ahead(1), codeHeader, "move it to the top of the file, above the steps", "a header line below the first step")
	case t.kind == rightParen:
		p.fail(t, t, codeParen, `take it out, or put a "(" where the group begins`, `this ")" closes nothing`)
		p.i++
	case t.is("off"):
		p.fail(t, t, codeRest, `a rest follows what is repeated: 5 x 400m off 90s`, `nothing stands before this "off"`)
	case t.kind == minus && p.ahead(1).kind == number:
		p.fail(t, p.ahead(1), codeAmount, "take out the minus sign; a list of steps needs none", "an amount cannot be negative")
	default:
		p.fail(t, t, codeAmount, example, "%s starts with an amount, not with %s", what, t.show())
	}
}

// clockAmount reads "3:00" and "1:05:00".
func (p *parser) clockAmount() (workouts.Amount, bool) {
	first := p.peek()
	seconds, ok := p.clock()
	last := p.tokens[p.i-1]
	switch {
	case !ok:
		return workouts.Amount{}, false
	case seconds != math.Trunc(seconds):
		p.fail(first, last, codePrecise, "the amount of a step is whole seconds", "a fraction of a second")
		return workouts.Amount{}, false
	}
	return p.checked(workouts.Seconds(seconds), first, last)
}

// clock reads m:ss or h:mm:ss, seconds with a fraction or not.
func (p *parser) clock() (seconds float64, ok bool) {
	first := p.take()
	parts := []token{first}
	for p.peek().kind == colon && p.peek().glued && len(parts) < 3 && p.ahead(1).kind == number && p.ahead(1).glued {
		p.i++
		parts = append(parts, p.take())
	}
	if len(parts) == 1 || p.peek().kind == colon && p.peek().glued {
		p.fail(first, p.peek(), codeClock, "write minutes:seconds, as in 3:05, or hours:minutes:seconds", "not a time of the clock")
		return 0, false
	}
	for i := range parts {
		v, ok := p.clockPart(parts, i)
		if !ok {
			return 0, false
		}
		seconds = seconds*60 + v
	}
	return math.Round(seconds*10) / 10, true
}

// clockPart is the value of one of the numbers of a clock.
func (p *parser) clockPart(parts []token, i int) (v float64, ok bool) {
	first, last, t := parts[0], parts[len(parts)-1], parts[i]
	whole, fraction, point := strings.Cut(t.text, ".")
	v, _ = strconv.ParseFloat(t.text, 64)
	switch {
	case point && i < len(parts)-1:
		p.fail(t, t, codeClock, "only the seconds may have a fraction", "%s before a colon", t.text)
	case len(fraction) > 1:
		p.fail(first, last, codePrecise, "one decimal at most", "finer than a tenth of a second")
	case i > 0 && len(whole) != 2:
		p.fail(first, last, codeClock, "after a colon stand two digits, as in 3:05", "%q after a colon", t.text)
	case i > 0 && v >= 60:
		p.fail(first, last, codeClock, "after a colon the most is 59; 75 seconds are 1:15, 75 minutes 1:15:00", "%q after a colon", t.text)
	case len(whole) > 6:
		p.fail(first, last, codeLimit, "is it mistyped?", "too long a time")
	default:
		return v, true
	}
	return 0, false
}

// unitAmount reads "45s", "1.5km", "1h30", "4'30".
func (p *parser) unitAmount() (workouts.Amount, bool) {
	n := p.take()
	u := p.peek()
	total, ok := p.measure(n)
	if !ok {
		return total, false
	}
	if next := p.peek(); u.is("m") && next.kind == number && next.glued {
		p.fail(u, u, codeUnit, fmt.Sprintf("write minutes as %s:%s or %smin%ss", n.text, next.text, n.text, next.text), `"m" stands for metres`)
		return total, false
	}
	seconds, ok := p.smallerPart(n, u, total)
	if !ok {
		return total, false
	}
	total.Seconds += seconds
	last := p.tokens[p.i-1]
	if !whole(total) {
		p.fail(n, last, codePrecise, "whole seconds, whole metres, or three decimals of a km or a mile", "too fine an amount")
		return total, false
	}
	return p.checked(total, n, last)
}

// smallerPart reads the part of a time that may follow one of n in unit u, in seconds: the
// 30 of 1h30, 1h 30min and 4'30".
func (p *parser) smallerPart(n, u token, total workouts.Amount) (seconds float64, ok bool) {
	minor := smaller(u, total)
	next, unit := p.peek(), p.ahead(1)
	bare := next.glued && !isUnit(unit) && unit.kind != colon && unit.kind != times
	if minor.Seconds == 0 || next.kind != number || !bare && !(isUnit(unit) && unitOf(unit) == minor) {
		return 0, true
	}
	p.i++
	if isUnit(unit) {
		p.i++
	}
	v, _ := strconv.ParseFloat(next.text, 64)
	if v >= 60 {
		p.fail(n, p.tokens[p.i-1], codeClock, "the second part of a time runs to 59", "%q is too much after %q", next.text, u.text)
		return 0, false
	}
	return v * minor.Seconds, true
}

// smaller is the unit of the part that may follow one in unit u.
func smaller(u token, a workouts.Amount) workouts.Amount {
	switch {
	case a.Kind != workouts.Time:
	case strings.HasPrefix(u.text, "h"):
		return workouts.Seconds(60)
	case strings.HasPrefix(u.text, "m") || u.kind == minuteMark:
		return workouts.Seconds(1)
	}
	return workouts.Amount{}
}

func isUnit(t token) bool {
	_, ok := units[t.text]
	return t.kind == word && ok || t.kind == minuteMark || t.kind == secondMark
}

func unitOf(t token) workouts.Amount {
	switch t.kind {
	case minuteMark:
		return workouts.Seconds(60)
	case secondMark:
		return workouts.Seconds(1)
	}
	return units[t.text]
}

// measure reads the unit after number n.
func (p *parser) measure(n token) (workouts.Amount, bool) {
	u := p.peek()
	if !isUnit(u) {
		p.noUnit(n, u)
		return workouts.Amount{}, false
	}
	p.i++
	a := unitOf(u)
	if len(n.text) > 12 {
		p.fail(n, u, codeLimit, "is it mistyped?", "too long a number")
		return a, false
	}
	v, _ := strconv.ParseFloat(n.text, 64)
	if _, fraction, _ := strings.Cut(n.text, "."); len(fraction) > 3 {
		p.fail(n, u, codePrecise, "whole seconds, whole metres, or three decimals of a km or a mile", "too fine an amount")
		return a, false
	}
	if a.Mile {
		return workouts.Miles(v), true
	}
	a.Seconds = math.Round(a.Seconds*v*1000) / 1000
	a.Metres = math.Round(a.Metres*v*1000) / 1000
	return a, true
}

func whole(a workouts.Amount) bool {
	return a.Mile || a.Seconds == math.Trunc(a.Seconds) && a.Metres == math.Trunc(a.Metres)
}

func (p *parser) noUnit(n, u token) {
	switch {
	case u.kind == comma && u.glued && p.ahead(1).kind == number && p.ahead(1).glued:
		hint := fmt.Sprintf("write a decimal point: %s.%s", n.text, p.ahead(1).text)
		if len(p.ahead(1).text) == 3 {
			hint = fmt.Sprintf("write %s%s without it, or a decimal point", n.text, p.ahead(1).text)
		}
		p.fail(n, p.ahead(1), codeAmount, hint, "a comma within a number")
	case u.kind == minus && p.ahead(1).kind == number:
		p.fail(n, p.ahead(1), codeAmount, "settle on one; a plan has to be definite", "a range is not an amount")
	case u.kind == word && u.glued:
		p.fail(u, u, codeUnit, unitHint(n, u), "unknown unit %q", u.text)
	default:
		hint := fmt.Sprintf("write %s:00, %skm or %ss", n.text, n.text, n.text)
		if len(n.text) > 2 {
			hint = fmt.Sprintf("write %sm or %ss", n.text, n.text)
		}
		p.fail(n, n, codeUnit, hint, "%s of what?", n.text)
	}
}

// unitHint says what to write in the place of an unknown unit.
func unitHint(n, u token) string {
	if v, err := strconv.ParseFloat(n.text, 64); err == nil && strings.HasPrefix(u.text, "y") {
		return fmt.Sprintf("use m, km or mi: %s yards are %.0fm", n.text, v*figures.MetresPerMile/1760)
	}
	switch units[workouts.Nearest(u.text, unitWords)] {
	case workouts.Metres(1), workouts.Metres(1000):
		return "use km or m"
	case workouts.Miles(1):
		return "use mi"
	case workouts.Seconds(1), workouts.Seconds(60), workouts.Seconds(3600):
		return "use s, min or h"
	}
	return "use km, m or mi, or a time such as 3:00, 45s, 20min"
}

// checked holds one amount to the limits.
func (p *parser) checked(a workouts.Amount, first, last token) (workouts.Amount, bool) {
	switch {
	case a.Seconds == 0 && a.Metres == 0:
		p.fail(first, last, codeAmount, `take the step out, or write "open" when its length is left to the runner`, "an amount of nothing")
	case a.Seconds > workouts.MaxSeconds || a.Metres > workouts.MaxMetres:
		p.fail(first, last, codeLimit, "is it mistyped?", "more than %.0f days or %.0f km in one step", workouts.MaxSeconds/24/3600, workouts.MaxMetres/1000)
	default:
		return a, true
	}
	return a, false
}
