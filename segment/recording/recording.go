package recording

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// A Recording is one activity: parallel streams over the same clock.
//
// All times are seconds from the first record, in wall-clock time, so a pause
// of the device's timer shows as a gap in T and as an entry of Stops.
type Recording struct {
	Name   string    // path or label it was read under; "#2" and so on when there were several
	Format string    // "fit", "gpx", "tcx", "csv", "simulated"
	Start  time.Time // time of the first record; zero when the file has none
	Sport  Sport
	Place  Place

	T         []float64 // s from the first record, strictly increasing
	Distance  Stream    // m, cumulative, as the device's odometer counted it; need not begin at 0
	Speed     Stream    // m/s, as the device reported it
	HeartRate Stream    // beats/min
	Cadence   Stream    // steps/min, both feet
	Altitude  Stream    // m
	Latitude  Stream    // degrees, WGS84
	Longitude Stream    // degrees, WGS84

	Stage []string // a label per record, when the file carries one (CSV only)

	Laps     []Lap
	Stops    []Span // the device's timer stood still
	Summary  Summary
	Plan     *Plan // a planned workout embedded in the file, or nil
	Warnings []Warning
}

// Len is the number of records.
func (r *Recording) Len() int { return len(r.T) }

// Duration is the time from the first record to the last, in seconds.
func (r *Recording) Duration() float64 {
	if len(r.T) == 0 {
		return 0
	}
	return r.T[len(r.T)-1]
}

// Warn adds a warning about the span from start to end (seconds; equal when
// it is a moment, both NaN when it concerns the whole file).
func (r *Recording) Warn(code, message string, start, end float64) {
	r.Warnings = append(r.Warnings, Warning{Code: code, Message: message, StartS: start, EndS: end})
}

// A Stream is one measured quantity, a value per record of its Recording.
// A stream that the file does not have is the zero Stream.
type Stream struct {
	Value []float64
	Valid []bool // same length as Value; a false marks "not measured here"
}

// MakeStream returns a stream of n records, none of them valid yet.
func MakeStream(n int) Stream {
	return Stream{Value: make([]float64, n), Valid: make([]bool, n)}
}

// Set stores a measured value at record i.
func (s Stream) Set(i int, v float64) { s.Value[i], s.Valid[i] = v, true }

// At returns the value at record i and whether there is one.
func (s Stream) At(i int) (float64, bool) {
	if i < 0 || i >= len(s.Value) || !s.Valid[i] {
		return 0, false
	}
	return s.Value[i], true
}

// Count is the number of valid values.
func (s Stream) Count() int {
	n := 0
	for _, ok := range s.Valid {
		if ok {
			n++
		}
	}
	return n
}

// Sport is what the file says was done.
type Sport string

// The sports that matter here; any other is kept as the file names it.
const (
	SportUnknown Sport = ""
	Running      Sport = "running"
	Walking      Sport = "walking"
	Cycling      Sport = "cycling"
	Swimming     Sport = "swimming"
)

// Place is where a run took place.
type Place string

// Places. Outdoors is what a file without a sub-sport and with positions gets.
const (
	PlaceUnknown Place = ""
	Outdoors     Place = "outdoors"
	Treadmill    Place = "treadmill"
	Track        Place = "track"
	Trail        Place = "trail"
)

// A Span is a half-open piece of a recording, in seconds from its first record.
type Span struct{ StartS, EndS float64 }

// Seconds is the length of the span.
func (s Span) Seconds() float64 { return s.EndS - s.StartS }

// A Lap is a mark the device made by itself or the runner made by a button.
type Lap struct {
	Span
	DistanceM float64 // NaN when the file does not say
	Trigger   Trigger
	Intensity Intensity
	Step      int // index of the planned step the device was in; -1 when none
}

// Presses are the moments in s, ascending, at which a lap was ended by hand or a
// planned step began or ended. Laps that a device makes by itself say nothing,
// and neither does a press as the recording begins or one at no finite time.
func Presses(laps []Lap) []float64 {
	var marks []float64
	for _, l := range laps {
		if l.Step >= 0 {
			marks = append(marks, l.StartS)
		}
		if l.Step >= 0 || l.Trigger == ManualTrigger {
			marks = append(marks, l.EndS)
		}
	}
	marks = slices.DeleteFunc(marks, func(m float64) bool { return !(m > 5 && m < math.MaxInt32) })
	slices.Sort(marks)
	return slices.Compact(marks)
}

// Trigger says what ended a lap.
type Trigger string

// Lap triggers.
const (
	TriggerUnknown  Trigger = ""
	ManualTrigger   Trigger = "manual"
	DistanceTrigger Trigger = "distance"
	TimeTrigger     Trigger = "time"
	PositionTrigger Trigger = "position"
	SessionEnd      Trigger = "session end"
)

// Intensity is what the device was told a lap is for.
type Intensity string

// Lap intensities.
const (
	IntensityUnknown Intensity = ""
	Active           Intensity = "active"
	Rest             Intensity = "rest"
	WarmUp           Intensity = "warm-up"
	CoolDown         Intensity = "cool-down"
)

// Summary is what the file itself says of the whole activity; NaN where it
// does not say. It is for comparison, never a source of results.
type Summary struct {
	ElapsedS  float64 // wall clock
	TimerS    float64 // timer running
	DistanceM float64
}

// A Warning is an oddity of the input or of a reading of it. Every output
// shows the same list.
type Warning struct {
	Code    string  // short, stable, lower-case words joined by "-"
	Message string  // one sentence for a runner
	StartS  float64 // NaN when the warning concerns the whole recording
	EndS    float64
}

// WarningOf is a warning that concerns a whole recording, or none.
func WarningOf(code, format string, args ...any) Warning {
	return Warning{Code: code, Message: fmt.Sprintf(format, args...), StartS: math.NaN(), EndS: math.NaN()}
}
