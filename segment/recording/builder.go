package recording

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"
)

// noTime marks a point whose time was not found.
const noTime = math.MinInt64

var nan = math.NaN()

// A column is one of the measured quantities of a point.
type column int

const (
	colDistance column = iota
	colSpeed
	colHeart
	colCadence
	colAltitude
	colLatitude
	colLongitude
	columns
)

// A point is one record as a reader found it; NaN marks "not measured".
type point struct {
	at    int64 // ns since 1970, or since the start where there is no clock
	v     [columns]float64
	stage int32 // index into builder.stages; -1 for none
}

// blank returns a point with nothing measured.
func blank(at int64) point {
	p := point{at: at, stage: -1}
	for i := range p.v {
		p.v[i] = math.NaN()
	}
	return p
}

// A lapMark, a timerSwitch and a part are what a reader found beside the
// points, on the device's clock. Field after is the number of points read
// before it: it tells which state of a stepped clock is meant.
type lapMark struct {
	Lap
	start, end int64
	after      int
}

type timerSwitch struct {
	at       int64
	running  bool
	newTrack bool // not said by the device, but shown by a new track
	after    int
}

// A part is one session of a file of several sports; its start is its border.
type part struct {
	start   int64
	after   int
	sport   Sport
	place   Place
	summary Summary
}

// A builder collects what a reader finds and makes recordings of it.
type builder struct {
	name, format string
	limits       limits
	hasClock     bool // point.at is calendar time

	points   []point
	breaks   []int // points before which a new track began
	laps     []lapMark
	switches []timerSwitch
	parts    []part
	sport    Sport // where no part says otherwise
	place    Place
	summary  Summary
	stages   []string
	plan     *Plan
	strays   []strayTime
	warnings []Warning
}

func newBuilder(name, format string, lim limits) *builder {
	return &builder{name: name, format: format, limits: lim, summary: Summary{nan, nan, nan}}
}

// add appends a point; the error says that there are too many.
func (b *builder) add(p point) error {
	if len(b.points) >= b.limits.records {
		return b.tooMany(b.limits.records, "records")
	}
	b.points = append(b.points, p)
	return nil
}

// tooMany is the error that a file has more of a thing than any run.
func (b *builder) tooMany(n int, things string) error {
	return refuse(b.name, ErrTooLarge, fmt.Sprintf("has more than %d %s", n, things), "is it the right file?")
}

// mark checks the number of laps, stops and parts.
func (b *builder) mark() error {
	for _, m := range []struct {
		n      int
		things string
	}{{len(b.laps), "laps"}, {len(b.switches), "stops"}, {len(b.parts), "parts"}} {
		if m.n >= b.limits.marks {
			return b.tooMany(b.limits.marks, m.things)
		}
	}
	return nil
}

// note keeps a warning about the whole file.
func (b *builder) note(code, format string, args ...any) {
	b.warnings = append(b.warnings, wholeFile(code, fmt.Sprintf(format, args...)))
}

// pauseAtBreaks makes pauses of the breaks between tracks that are longer than
// the sampling.
func (b *builder) pauseAtBreaks() {
	if len(b.breaks) == 0 {
		return
	}
	var steps []int64
	for i := 1; i < len(b.points); i++ {
		if d := b.points[i].at - b.points[i-1].at; d > 0 {
			steps = append(steps, d)
		}
	}
	least := int64(2 * time.Second)
	if len(steps) > 0 {
		slices.Sort(steps)
		least = max(least, 3*steps[len(steps)/2])
	}
	for _, i := range b.breaks {
		if from, to := b.points[i-1].at, b.points[i].at; to-from > least {
			b.switches = append(b.switches, timerSwitch{at: from, newTrack: true, after: i},
				timerSwitch{at: to, running: true, newTrack: true, after: i + 1})
		}
	}
	slices.SortStableFunc(b.switches, func(a, b timerSwitch) int { return cmp.Compare(a.at, b.at) })
}

// finish makes one recording of each part, in time order.
func (b *builder) finish() ([]*Recording, error) {
	if len(b.points) == 0 {
		return nil, refuse(b.name, ErrNoRecords, "holds no records", "")
	}
	all := len(b.points)
	b.dropStrayTimes()
	b.pauseAtBreaks()
	clock := b.steadyClock()
	if all > 1 && len(b.points) == 1 {
		return nil, refuse(b.name, ErrNoRecords, fmt.Sprintf("has %d records, all of the same time", all), "")
	}
	if n := len(clock.steps); n > maxSteps {
		return nil, refuse(b.name, ErrDamaged, fmt.Sprintf("has a clock that jumps %d times", n), "export it again")
	}
	if span := float64(b.points[len(b.points)-1].at-b.points[0].at) / 1e9; span > maxDurationS {
		return nil, refuse(b.name, ErrTooLarge,
			fmt.Sprintf("spans %.0f days, and one run can not", span/86400), "check the times in it")
	}
	parts := b.inOrder(clock)
	var recs []*Recording
	from := 0
	for i, p := range parts {
		to, end := len(b.points), int64(math.MaxInt64)
		if i+1 < len(parts) {
			end = parts[i+1].start
			for to = from; to < len(b.points) && b.points[to].at < end; to++ {
			}
		}
		if to > from {
			recs = append(recs, b.build(p, b.points[from:to], clock, end))
		}
		from = to
	}
	return recs, nil
}

// inOrder is the parts in the order of time; without any the whole is one.
func (b *builder) inOrder(clock *clock) []part {
	parts := b.parts
	if len(parts) == 0 {
		return []part{{start: math.MinInt64, sport: b.sport, place: b.place, summary: b.summary}}
	}
	for i := range parts {
		parts[i].start = clock.steady(parts[i].start, parts[i].after)
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(a.start, b.start) })
	parts[0].start = math.MinInt64
	if only := &parts[0]; len(parts) == 1 {
		if only.sport == SportUnknown {
			only.sport = b.sport
		}
		if only.place == PlaceUnknown {
			only.place = b.place
		}
	}
	return parts
}

// build makes the recording of one part: points in time order, up to end.
func (b *builder) build(p part, points []point, clock *clock, end int64) *Recording {
	r := &Recording{
		Name: b.name, Format: b.format, Sport: p.sport, Place: p.place,
		Summary: p.summary, Plan: b.plan, T: make([]float64, len(points)),
	}
	r.Warnings = append(r.Warnings, b.warnings...)
	zero := points[0].at
	last := points[len(points)-1].at
	if clock.set {
		r.Start = time.Unix(0, zero-clock.shift).UTC()
	}
	since := func(at int64) float64 { return float64(at-zero) / 1e9 }
	for i := range points {
		r.T[i] = since(points[i].at)
	}
	for c, s := range r.streams() {
		*s = pick(points, column(c))
	}
	if len(b.stages) > 0 {
		r.Stage = make([]string, len(points))
		for i := range points {
			if k := points[i].stage; k >= 0 {
				r.Stage[i] = b.stages[k]
			}
		}
	}
	clock.warn(r, zero, last)

	for _, m := range b.laps {
		start, stop := clock.steady(m.start, m.after), clock.steady(m.end, m.after)
		if middle := start + (stop-start)/2; middle < p.start || middle >= end {
			continue // of another part
		}
		lap := m.Lap
		lap.Span = Span{since(start), since(max(start, stop))}
		r.Laps = append(r.Laps, lap)
	}
	b.stops(r, points, clock, since)
	r.judge()
	if r.Place == PlaceUnknown && r.Latitude.Value != nil {
		r.Place = Outdoors
	}
	return r
}

// stops pairs the timer's switches within the time of the points.
func (b *builder) stops(r *Recording, points []point, clock *clock, since func(int64) float64) {
	var timer, tracks []Span
	first, last := points[0].at, points[len(points)-1].at
	var stop timerSwitch
	open := false
	closed := first // switches of a wild clock may go back in time: stops never overlap
	closeAt := func(at int64) {
		if from, to := max(stop.at, closed), min(at, last); to > from {
			closed = to
			span := Span{since(from), since(to)}
			r.Stops = append(r.Stops, span)
			if stop.newTrack {
				tracks = append(tracks, span)
			} else {
				timer = append(timer, span)
			}
		}
		open = false
	}
	for _, s := range b.switches {
		s.at = clock.steady(s.at, s.after)
		switch {
		case s.running && open:
			closeAt(s.at)
		case !s.running && !open:
			stop, open = s, true
		}
	}
	if open && stop.at < last {
		// The file never says that the timer ran again, but it wrote on.
		for i := range points {
			if points[i].at > stop.at {
				closeAt(points[i].at)
				break
			}
		}
	}
	warn := func(code string, spans []Span, what string) {
		if len(spans) == 0 {
			return
		}
		total := 0.0
		for _, s := range spans {
			total += s.Seconds()
		}
		r.Warn(code, fmt.Sprintf("%s %s, for %.0f s in all", what, times(len(spans)), total), spans[0].StartS, spans[len(spans)-1].EndS)
	}
	warn(TimerStops, timer, "the timer was stopped")
	warn(NewTrack, tracks, "the track was begun anew after a pause")
}

// streams lists the streams of r in the order of the columns.
func (r *Recording) streams() [columns]*Stream {
	return [columns]*Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude, &r.Longitude}
}

// pick makes the stream of one column; the zero Stream when nothing is in it.
func pick(points []point, c column) Stream {
	var s Stream
	for i := range points {
		v := points[i].v[c]
		if v != v {
			continue
		}
		if s.Value == nil {
			s = MakeStream(len(points))
		}
		s.Set(i, v)
	}
	return s
}
