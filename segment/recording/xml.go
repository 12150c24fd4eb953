package recording

import (
	"errors"
	"example.org/rungs/segment/recording/internal/xmltext"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// xmlRead is what the two XML readers share.
type xmlRead struct {
	*builder // of the recording being read
	all      []*builder
	open     bool  // a track point is being read
	at       point // that point
	place    part  // sport and place of what comes next
	newTrack bool  // the next point is the first of a track

	tracked, untimed, unzoned int
	badTime                   string // the first that was not understood
}

// next begins another recording of the same file.
func (x *xmlRead) next(name, format string, lim limits) error {
	x.builder = newBuilder(name, format, lim)
	x.hasClock = true
	if len(x.all) >= lim.marks {
		return x.tooMany(lim.marks, "recordings")
	}
	x.all = append(x.all, x.builder)
	return nil
}

// first begins the first recording of a file, with room for so many points.
func (x *xmlRead) first(name, format string, lim limits, most int) error {
	if err := x.next(name, format, lim); err != nil {
		return err
	}
	x.points = make([]point, 0, min(most, lim.records))
	return nil
}

// begin starts a track point.
func (x *xmlRead) begin() {
	x.at = blank(noTime)
	x.open = true
	x.tracked++
}

// keep ends the track point and keeps it if it has a time. Tracks more than an
// hour apart, either way, are recordings of their own.
func (x *xmlRead) keep() error {
	const apart = int64(time.Hour)
	x.open = false
	if x.at.at == noTime {
		x.untimed++
		return nil
	}
	if n := len(x.points); x.newTrack && n > 0 {
		if gap := x.at.at - x.points[n-1].at; gap > apart || gap < -apart {
			if err := x.next(x.name, x.format, x.limits); err != nil {
				return err
			}
		} else {
			x.breaks = append(x.breaks, n)
		}
	}
	x.newTrack = false
	if len(x.points) == 0 {
		x.sport, x.builder.place = x.place.sport, x.place.place
	}
	return x.add(x.at)
}

// setTime reads the time of the track point.
func (x *xmlRead) setTime(text []byte) {
	at, zoned, ok := parseTime(string(text))
	switch {
	case ok:
		x.at.at = at
		if !zoned {
			x.unzoned++
		}
	case x.badTime == "":
		x.badTime = string(text)
	}
}

// damageIn makes an *Error of what is wrong with a document, and leaves other errors alone.
func damageIn(name string, err error) error {
	if m := (*xmltext.Mistake)(nil); errors.As(err, &m) {
		return &Error{Path: name, Line: m.Line, Column: m.Column, Offset: -1, Reason: m.Reason, Hint: "export the file again", Err: ErrDamaged}
	}
	return err
}

// recordings finishes all that was read, given what ended the reading.
func (x *xmlRead) recordings(notes []Warning, undeclared string, stopped error) ([]*Recording, error) {
	stopped = damageIn(x.name, stopped)
	b := newBuilder(x.name, x.format, x.limits) // only to word the notes
	b.warnings = notes
	read := len(x.all) > 1 || len(x.points) > 0
	if stopped != nil {
		if !read || errors.Is(stopped, ErrTooLarge) {
			return nil, stopped
		}
		line, reason := 0, stopped.Error()
		if e := (*Error)(nil); errors.As(stopped, &e) {
			line, reason = e.Line, strings.TrimPrefix(e.Reason, "is ")
		}
		b.note(CutShort, "the file is damaged at line %d (%s), and what was written before was read", line, reason)
	}
	if undeclared != "" {
		b.note(UndeclaredPrefix, "the prefix %q is not declared; its elements were read by their names", undeclared)
	}
	if x.untimed > 0 && read {
		seen := ""
		if x.badTime != "" {
			seen = fmt.Sprintf(" (the first time that could not be read is %q)", x.badTime)
		}
		b.note(MissingTime, "%s without a time left out%s", count(x.untimed, "point"), seen)
	}
	if x.unzoned > 0 {
		b.note(NoTimeZone, "the times have no time zone and were taken as UTC")
	}
	if !read {
		return nil, x.nothing()
	}
	var recs []*Recording
	for _, one := range x.all {
		if len(one.points) == 0 {
			continue
		}
		one.warnings = append(b.warnings[:len(b.warnings):len(b.warnings)], one.warnings...)
		some, err := one.finish()
		if err != nil {
			return nil, err
		}
		recs = append(recs, some...)
	}
	return recs, nil
}

// nothing says why there is no record.
func (x *xmlRead) nothing() error {
	switch {
	case x.badTime != "":
		return refuse(x.name, ErrNoRecords, fmt.Sprintf("has %s, and no time of them can be read (the first is %q)", count(x.tracked, "track point"), x.badTime),
			"times must look like 2024-05-01T07:30:00Z")
	case x.tracked > 0:
		return refuse(x.name, ErrNoRecords, fmt.Sprintf("has %s without times: a planned route, not a recording", count(x.tracked, "track point")), "export the activity, not the route")
	}
	return refuse(x.name, ErrNoRecords, "holds no track", "export the activity itself")
}

// number reads a decimal number, NaN when it is none.
func number(text []byte) float64 {
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || math.IsInf(v, 0) {
		return nan
	}
	return v
}
