package log

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// An Entry is what the runner says of one session. The zero value of a field
// says nothing; NewEntry says nothing at all.
type Entry struct {
	Day   time.Time // midnight UTC of the runner's date
	Clock int       // minutes from midnight by the runner's clock, which choose among the sessions of the day; NoClock when unsaid
	File  string    // the end of a recording's path, which chooses too

	Race, Hard, Easy, LeaveOut bool

	Place  recording.Place
	Effort float64          // of the whole session, 0 (rest) to 10 (maximal), in halves; NaN unsaid
	With   string           // the time or the file of the recording that this one belongs with
	Was    string           // what was really run, in the notation
	Reps   []recording.Span // where the reps were, s from the first record; empty says that there were none, nil nothing
	Title  string
	Note   string

	Workout workouts.Workout // Was, when it was read from a line
	Line    int              // from 1; 0 for an entry that is in no log
}

// noClock is the Clock of an entry that says no time.
const noClock = -1

// NewEntry is an entry for a day that says nothing.
func NewEntry(day time.Time) Entry { return Entry{Day: day, Clock: noClock, Effort: math.NaN()} }

// Says tells whether the entry says anything besides which session it means.
func (e Entry) Says() bool {
	return e.Race || e.Hard || e.Easy || e.LeaveOut || e.Place != "" || !math.IsNaN(e.Effort) ||
		e.With != "" || e.Was != "" || e.Reps != nil || e.Title != "" || e.Note != ""
}

// Kinds of place in the order of the manual.
var places = []recording.Place{recording.Outdoors, recording.Treadmill, recording.Track, recording.Trail}

// String is the entry as a line of the log, without a line end.
func (e Entry) String() string {
	head := e.Day.Format(time.DateOnly)
	if e.Clock >= 0 {
		head += fmt.Sprintf(" %02d:%02d", e.Clock/60, e.Clock%60)
	}
	var parts []string
	add := func(said bool, text string) {
		if said {
			parts = append(parts, text)
		}
	}
	add(e.File != "", "file "+e.File)
	add(e.Race, "race")
	add(e.Hard, "hard")
	add(e.Easy, "easy")
	add(e.LeaveOut, "leave out")
	add(e.Place != "", string(e.Place))
	if !math.IsNaN(e.Effort) {
		add(true, "effort "+strconv.FormatFloat(e.Effort, 'f', -1, 64))
	}
	add(e.With != "", "with "+e.With)
	add(e.Was != "", "was "+e.Was)
	add(e.Reps != nil, "reps "+FormatReps(e.Reps))
	add(e.Title != "", "title "+e.Title)
	add(e.Note != "", "note "+e.Note)
	if len(parts) == 0 {
		return head
	}
	return head + " " + strings.Join(parts, "; ")
}

// Check tells why an entry cannot be a line of the log; nil when it can.
//
// Branches: a rule each.
func (e Entry) Check() error {
	if e.Day.IsZero() || e.Day.Year() < 1900 || e.Day.Year() > 9999 {
		return errors.New("a line needs a date, such as 2026-09-08")
	}
	if e.Clock >= 24*60 {
		return errors.New("a day ends at 24:00")
	}
	for _, f := range []struct{ name, text string }{{"file", e.File}, {"with", e.With}, {"was", e.Was}, {"title", e.Title}, {"note", e.Note}} {
		switch {
		case f.text != tidy(f.text):
			return fmt.Errorf("the %s %q holds a line end or blanks that would be lost", f.name, f.text)
		case f.name != "note" && strings.Contains(f.text, ";"):
			return fmt.Errorf("the %s %q holds a semicolon, which ends it; only a note may hold one", f.name, f.text)
		}
	}
	if !e.Says() {
		return errors.New("the line says nothing")
	}
	if e.Hard && e.Easy {
		return errors.New("a session is not both hard and easy")
	}
	if e.Was != "" {
		if _, err := notation.Parse("", e.Was); err != nil {
			return err
		}
	}
	if e.Reps != nil {
		if _, _, err := ParseReps(FormatReps(e.Reps)); err != nil {
			return err
		}
	}
	if x := e.Effort; !math.IsNaN(x) && !validEffort(x) {
		return fmt.Errorf("%v is no effort; it is from 0 to 10, in halves", x)
	}
	return nil
}

func validEffort(x float64) bool { return x >= 0 && x <= 10 && 2*x == math.Trunc(2*x) }

// Tidy makes a text fit for a field: one line, single blanks, nothing that
// upsets a terminal, and no colon in front.
func Tidy(s string) string { return tidy(s) }

func tidy(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(oneLine, s)
	s = strings.TrimLeftFunc(s, func(r rune) bool { return r == ':' || unicode.IsSpace(r) })
	return strings.Join(strings.Fields(s), " ")
}

// oneLine makes blanks of what ends a line or upsets a terminal, such as a carriage
// return within one, which the notation would take for the end of a step.
func oneLine(r rune) rune {
	if unicode.IsControl(r) {
		return ' '
	}
	return r
}

// ParseClock reads a time of day such as 18:10 as minutes from midnight.
func ParseClock(s string) (minutes int, ok bool) {
	h, m, cut := strings.Cut(s, ":")
	if !cut || len(h) < 1 || len(h) > 2 || len(m) != 2 {
		return noClock, false
	}
	hours, err1 := strconv.ParseUint(h, 10, 8)
	mins, err2 := strconv.ParseUint(m, 10, 8)
	if err1 != nil || err2 != nil || hours > 23 || mins > 59 {
		return noClock, false
	}
	return int(hours)*60 + int(mins), true
}
