package recording

import (
	"bytes"
	"example.org/rungs/segment/recording/internal/xmltext"
	"strconv"
	"strings"
	"time"
)

// A tcxReader reads the activities of TCX version 2: each Activity is a
// recording, its Laps are laps, a new Track within it is a pause.
type tcxReader struct {
	xmlRead
	lap       lapMark
	seconds   float64 // the lap's TotalTimeSeconds
	begun     int     // len(points) where the lap began
	activity  bool
	lapOpen   bool
	placeless int   // laps with neither a start nor records
	heart255  []int // laps whose average heart rate is 255: not measured
	courses   bool
	workouts  bool
}

func readTCX(name string, text []byte, notes []Warning, lim limits) ([]*Recording, error) {
	var t *tcxReader
	most := bytes.Count(text, []byte("<Trackpoint>"))
	fresh := func() (xmltext.Handler, error) {
		t = &tcxReader{}
		return t, t.first(name, "tcx", lim, most)
	}
	undeclared, stopped, err := xmltext.Read(text, fresh)
	if err != nil {
		return nil, err
	}
	if t.activity { // cut short
		if t.lapOpen {
			t.endLap()
		}
		t.endActivity()
	}
	recs, err := t.recordings(notes, undeclared, stopped)
	if err == nil || t.tracked > 0 || stopped != nil {
		return recs, err
	}
	switch {
	case t.courses:
		return nil, refuse(name, ErrNoRecords, "holds a course, not a recording", "export the activity, not the course")
	case t.workouts:
		return nil, refuse(name, ErrPlanOnly, "holds a planned workout, not a recording", "plans are read from FIT files and from the text notation")
	}
	return nil, err
}

func (t *tcxReader) Start(name, parent string, attrs []xmltext.Attribute) error {
	switch name {
	case "Activity":
		if len(t.points) > 0 {
			if err := t.next(t.name, t.format, t.limits); err != nil {
				return err
			}
		}
		t.activity = true
		t.newTrack = false
		t.place = part{}
		t.place.sport, t.place.place = sportInWords(valueOf(attrs, "Sport"))
	case "Lap":
		if t.activity {
			t.beginLap(attrs)
		}
	case "Track":
		// Within a lap a second track is a pause; a lap begins one anyway.
		t.newTrack = t.activity && len(t.points) > t.begun
	case "Trackpoint":
		if t.activity {
			t.begin()
		}
	case "Course":
		t.courses = true
	case "Workout":
		t.workouts = true
	}
	return nil
}

func (t *tcxReader) beginLap(attrs []xmltext.Attribute) {
	t.lap = lapMark{Lap: Lap{DistanceM: nan, Step: -1}, start: noTime}
	t.seconds, t.begun, t.lapOpen = nan, len(t.points), true
	if at, _, ok := parseTime(valueOf(attrs, "StartTime")); ok {
		t.lap.start = at
	}
}

// valueOf is the value of an attribute, the last when there are several.
func valueOf(attrs []xmltext.Attribute, name string) (value string) {
	for _, a := range attrs {
		if a.Name == name {
			value = string(a.Value)
		}
	}
	return value
}

func (t *tcxReader) End(name, parent string, text []byte) error {
	if !t.activity {
		return nil
	}
	switch parent {
	case "Trackpoint", "Position", "TPX":
		if t.open {
			t.measured(name, text)
		}
		return nil
	case "HeartRateBpm":
		if t.open && name == "Value" {
			t.at.v[colHeart] = number(text)
		}
		return nil
	case "AverageHeartRateBpm":
		if name == "Value" && number(text) == 255 {
			t.heart255 = append(t.heart255, len(t.laps))
		}
		return nil
	case "Lap":
		t.lapField(name, string(text))
		return nil
	}
	switch name {
	case "Trackpoint":
		return t.keep()
	case "Lap":
		if err := t.mark(); err != nil {
			return err
		}
		t.endLap()
	case "Activity":
		t.endActivity()
	}
	return nil
}

// measured takes a value of the open track point.
func (t *tcxReader) measured(name string, text []byte) {
	switch name {
	case "Time":
		t.setTime(text)
	case "LatitudeDegrees":
		t.at.v[colLatitude] = number(text)
	case "LongitudeDegrees":
		t.at.v[colLongitude] = number(text)
	case "AltitudeMeters":
		t.at.v[colAltitude] = number(text)
	case "DistanceMeters":
		t.at.v[colDistance] = number(text)
	case "Speed":
		t.at.v[colSpeed] = number(text)
	case "Cadence", "RunCadence":
		t.at.v[colCadence] = number(text)
	}
}

func (t *tcxReader) lapField(name, text string) {
	switch name {
	case "TotalTimeSeconds":
		t.seconds = number([]byte(text))
	case "DistanceMeters":
		t.lap.DistanceM = number([]byte(text))
	case "Intensity":
		switch text {
		case "Active":
			t.lap.Intensity = Active
		case "Resting":
			t.lap.Intensity = Rest
		}
	case "TriggerMethod":
		switch text {
		case "Manual":
			t.lap.Trigger = ManualTrigger
		case "Distance":
			t.lap.Trigger = DistanceTrigger
		case "Time":
			t.lap.Trigger = TimeTrigger
		case "Location":
			t.lap.Trigger = PositionTrigger
		}
	}
}

// endLap fills in what the lap's track tells and keeps the lap.
func (t *tcxReader) endLap() {
	t.lapOpen = false
	l := &t.lap
	first, last := int64(noTime), int64(noTime)
	for i := t.begun; i < len(t.points); i++ {
		at := t.points[i].at
		if first == noTime || at < first {
			first = at
		}
		last = max(last, at)
	}
	if l.start == noTime {
		l.start = first
	}
	if l.start == noTime {
		t.placeless++
		return
	}
	l.end = max(l.start, last)
	if t.seconds > 0 && t.seconds < maxDurationS {
		l.end = max(l.end, l.start+int64(t.seconds*1e9))
	}
	l.after = len(t.points)
	t.laps = append(t.laps, *l)
	t.summary.TimerS = plus(t.summary.TimerS, t.seconds)
	t.summary.DistanceM = plus(t.summary.DistanceM, l.DistanceM)
}

// plus adds what there is.
func plus(a, b float64) float64 {
	if b != b {
		return a
	}
	return either(a, 0) + b
}

// endActivity fits the laps to each other: one ends when the next begins, and
// the time between them is a pause.
func (t *tcxReader) endActivity() {
	t.activity = false
	if t.placeless > 0 {
		t.note(EmptyLap, "%s with neither a start nor records left out", count(t.placeless, "lap"))
		t.placeless = 0
	}
	for i := 0; i+1 < len(t.laps); i++ {
		l, next := &t.laps[i], &t.laps[i+1]
		switch {
		case next.start < l.start:
		case l.end > next.start:
			l.end = next.start
		case next.start-l.end > int64(time.Second):
			t.switches = append(t.switches,
				timerSwitch{at: l.end, after: l.after}, timerSwitch{at: next.start, running: true, after: l.after + 1})
		}
	}
	if len(t.heart255) > 0 {
		var which []string
		for _, i := range t.heart255 {
			which = append(which, strconv.Itoa(i+1))
		}
		t.note(LapHeart255, "the average heart rate of %s %s is given as 255, which means not measured",
			plural(len(which), "lap"), strings.Join(which, ", "))
		t.heart255 = nil
	}
}
