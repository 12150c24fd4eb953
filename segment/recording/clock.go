package recording

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Limits of what a clock may do within one recording.
const (
	maxJump      = int64(24 * time.Hour) // a longer silence is a clock being set
	maxDurationS = 10 * 86400
	maxSteps     = 1000 // more than any device sets its clock in one recording
)

// No consumer position receiver told the time before 2000; a device that does
// not know the time counts from 1970, 1980 or 1990 (common practice, no source;
// for FIT: a date_time below 0x10000000 counts seconds since power-on).
var clockSetFrom = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).UnixNano()

// A piece is a run of points in file order over which the clock ran forward,
// and what must be added to that clock to make it one with the first piece's.
type piece struct {
	from, to    int   // points, half-open
	first, last int64 // raw clock
	shift       int64
}

// A clock maps the device's clock to one that never steps.
type clock struct {
	pieces []piece
	shift  int64 // steady time minus calendar time
	set    bool  // the calendar time is known

	sorted, merged, steps, strays []int64 // steady times at which something was put right
	unset                         bool
}

// steadyClock puts the points in order on one clock that never steps, with
// strictly increasing times.
//
// Where the file's clock jumps by more than a day, or goes backward and stays
// behind while the odometer simply goes on, the device set its clock: the rest
// is moved to follow one second later. Where it goes backward otherwise, the
// records stand in the wrong order and are sorted. Records of the same instant
// become one, in which the later one's values win.
func (b *builder) steadyClock() *clock {
	c := &clock{}
	c.cut(b.points)
	backward := c.shiftPieces(b)
	pts := b.points
	if len(c.pieces) > 1 {
		for _, p := range c.pieces {
			for i := p.from; i < p.to; i++ {
				pts[i].at += p.shift
			}
		}
	}
	if backward {
		slices.SortStableFunc(pts, func(a, b point) int { return cmp.Compare(a.at, b.at) })
	}
	c.coalesce()
	for _, s := range b.strays {
		c.strays = append(c.strays, c.steady(s.at, s.after))
	}
	n := 0
	for i := range pts {
		if n > 0 && pts[i].at == pts[n-1].at {
			c.merged = append(c.merged, pts[i].at)
			merge(&pts[n-1], pts[i])
			continue
		}
		pts[n] = pts[i]
		n++
	}
	b.points = pts[:n]
	return c
}

// cut makes a piece of all points up to where the file's clock jumps or goes backward.
func (c *clock) cut(pts []point) {
	start := 0
	for i := 1; i <= len(pts); i++ {
		if i < len(pts) && pts[i].at >= pts[i-1].at && pts[i].at-pts[i-1].at <= maxJump {
			continue
		}
		c.pieces = append(c.pieces, piece{from: start, to: i, first: pts[start].at, last: pts[i-1].at})
		start = i
	}
}

// shiftPieces finds by how much each piece is moved, and tells whether some are in the wrong
// order.
func (c *clock) shiftPieces(b *builder) (backward bool) {
	pts := b.points
	high := pts[0].at // latest steady time so far
	for k := range c.pieces {
		p := &c.pieces[k]
		if k > 0 {
			prev := c.pieces[k-1]
			if jump := p.first - prev.last; jump > maxJump || jump < -maxJump || continues(pts, p) {
				p.shift = high + int64(time.Second) - p.first
				c.steps = append(c.steps, p.first+p.shift)
			} else {
				p.shift = prev.shift
				backward = true
				c.sorted = append(c.sorted, p.first+p.shift)
			}
		}
		high = max(high, p.last+p.shift)
		if b.hasClock && p.last >= clockSetFrom {
			c.set, c.shift = true, p.shift
		}
	}
	c.unset = b.hasClock && !c.set
	return backward
}

// coalesce makes one of neighbouring pieces with the same shift.
func (c *clock) coalesce() {
	n := 0
	for _, p := range c.pieces[1:] {
		if q := &c.pieces[n]; q.shift == p.shift {
			q.to, q.first, q.last = p.to, min(q.first, p.first), max(q.last, p.last)
			continue
		}
		n++
		c.pieces[n] = p
	}
	c.pieces = c.pieces[:n+1]
}

// continues tells whether the odometer went on from the piece before p although
// the clock went back, and the clock stayed back.
func continues(pts []point, p *piece) bool {
	before, after := pts[p.from-1], pts[p.from]
	if p.to-p.from < 2 || pts[p.from+1].at > before.at {
		return false
	}
	return after.v[colDistance] >= before.v[colDistance] && pts[p.from+1].v[colDistance] > before.v[colDistance]
}

// merge takes the values of q into p where q has them. A speed of zero does not
// replace another: devices write one in the second record of the instant in
// which a lap ends and the next begins.
func merge(p *point, q point) {
	for i, v := range q.v {
		if v == v && !(column(i) == colSpeed && v == 0 && p.v[i] > 0) {
			p.v[i] = v
		}
	}
	if q.stage >= 0 {
		p.stage = q.stage
	}
}

// steady maps a time of the device's clock, noted after so many points.
func (c *clock) steady(at int64, after int) int64 {
	if len(c.pieces) == 1 {
		return at // the first piece is not shifted
	}
	const slack = int64(2 * time.Second)
	shift, found := c.pieces[0].shift, false
	for _, p := range c.pieces {
		holds := at >= p.first-slack && at <= p.last+slack
		if holds || !found {
			shift = p.shift
		}
		found = found || holds
		if p.to >= after && found {
			break
		}
	}
	return at + shift
}

// warn tells r what was put right between two steady times.
func (c *clock) warn(r *Recording, zero, last int64) {
	within := func(times []int64) (n int, first, end float64) {
		for _, at := range times {
			if at < zero || at > last {
				continue
			}
			s := float64(at-zero) / 1e9 // not always in order
			if n == 0 {
				first, end = s, s
			}
			n, first, end = n+1, min(first, s), max(end, s)
		}
		return n, first, end
	}
	if c.unset {
		r.warnAll(ClockNotSet, "the device's clock was not set, so the date of this recording is not known")
	}
	if n, from, to := within(c.steps); n > 0 {
		r.Warn(ClockStep, fmt.Sprintf("the device's clock was set %s during the recording; the times after it were moved to follow on", times(n)), from, to)
	}
	if n, from, to := within(c.strays); n > 0 {
		r.Warn(StrayTime, count(n, "record")+" with a time that does not belong where "+map[bool]string{true: "it stands", false: "they stand"}[n == 1]+" left out", from, to)
	}
	if n, from, to := within(c.sorted); n > 0 {
		r.Warn(BackwardTime, fmt.Sprintf("records stood in the wrong order in %s and were sorted by time", count(n, "place")), from, to)
	}
	if n, from, to := within(c.merged); n > 0 {
		r.Warn(DuplicateTime, count(n, "record")+" had the same time as the one before and were made one with it", from, to)
	}
}

// times says how often.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// parseTime reads RFC 3339 or, not zoned, the same without a time zone.
func parseTime(text string) (at int64, zoned, ok bool) {
	t, err := time.Parse(time.RFC3339, text)
	zoned = err == nil
	for _, layout := range []string{"2006-01-02T15:04:05", "2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05"} {
		if err == nil {
			break
		}
		t, err = time.Parse(layout, text)
		zoned = err == nil && strings.HasSuffix(layout, "Z07:00")
	}
	if err != nil || t.Year() < 1700 || t.Year() > 2200 { // what 64 bits of ns hold
		return 0, false, false
	}
	return t.UnixNano(), zoned, true
}

// plural is thing, or things.
func plural(n int, thing string) string {
	if n == 1 {
		return thing
	}
	return thing + "s"
}

// count says how many of a thing.
func count(n int, thing string) string { return fmt.Sprintf("%d %s", n, plural(n, thing)) }
