package log

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"

	"example.org/rungs/workouts"
)

// A Session is what a line is matched to.
type Session struct {
	Start    time.Time // by the runner's clock
	ElapsedS float64
	Files    []string // its recordings
}

// nearS is how far from a session a time of day may be that means it, s: 20
// minutes, as people remember it; common practice, no source.
const nearS = 20 * 60

// day is the date of a session as midnight UTC.
func (s Session) day() time.Time {
	y, m, d := s.Start.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// away is how far a time of day is from a session, s: 0 while it is run.
func (s Session) away(clock int) float64 {
	start := float64(s.Start.Hour()*3600 + s.Start.Minute()*60 + s.Start.Second())
	t := float64(clock) * 60
	switch {
	case t+59 < start:
		return start - t - 59
	case t > start+s.ElapsedS:
		return t - start - s.ElapsedS
	}
	return 0
}

// named tells whether a name is the end of the path of one of the recordings,
// in whole parts; what an archive holds stands behind a colon.
func (s Session) named(name string) bool {
	for _, f := range s.Files {
		f, name := filepath.ToSlash(f), filepath.ToSlash(name)
		if f == name {
			return true
		}
		if rest, ok := strings.CutSuffix(f, name); ok && strings.HasSuffix(rest, "/") {
			return true
		}
	}
	return false
}

// Match gives what the log says of each session, with all of its lines put
// together; entries of sessions without a line have no Line and say nothing.
// Lines that mean no session, or not one alone, and lines that contradict an
// earlier one of the same session, are in the diagnostics and count for nothing.
func (l Log) Match(sessions []Session) ([]Entry, workouts.Diagnostics) {
	out := make([]Entry, len(sessions))
	days := map[time.Time][]int{}
	for i, s := range sessions {
		day := s.day()
		out[i] = NewEntry(day)
		days[day] = append(days[day], i)
	}
	var found workouts.Diagnostics
	for _, x := range l.lines {
		if x.entry == nil {
			continue
		}
		e := *x.entry
		i, why := choose(e, sessions, days[e.Day])
		if why != "" {
			found = append(found, l.about(x, why, "the day alone is enough where there is one session; else write its time or file behind the day"))
			continue
		}
		if what := out[i].take(e); what != "" {
			found = append(found, l.about(x, fmt.Sprintf("line %d says another %s of the same session", out[i].Line, what), "keep one of the two"))
		}
	}
	return out, found
}

// about is a diagnostic about what the head of a line means.
func (l Log) about(x line, message, hint string) workouts.Diagnostic {
	source := strings.TrimRight(x.text, "\r\n")
	return workouts.Diagnostic{File: l.name, Line: x.entry.Line, Column: 1, Length: len(time.DateOnly), Code: codeMatch,
		Message: message, Hint: hint, SourceLine: workouts.PrintableLine(source)}
}

// choose gives the session that an entry means, or why it means none.
func choose(e Entry, sessions []Session, of []int) (int, string) {
	if len(of) == 0 {
		return 0, "no recording is of that day"
	}
	if e.File != "" {
		var named []int
		for _, i := range of {
			if sessions[i].named(e.File) {
				named = append(named, i)
			}
		}
		if of = named; len(of) == 0 {
			return 0, fmt.Sprintf("no recording of that day is named %s", e.File)
		}
	}
	if e.Clock >= 0 {
		best, nearest := -1, math.Inf(1)
		for _, i := range of {
			if d := sessions[i].away(e.Clock); d < nearest {
				best, nearest = i, d
			}
		}
		if best < 0 || nearest > nearS {
			return 0, fmt.Sprintf("no session was run at %02d:%02d", e.Clock/60, e.Clock%60)
		}
		return best, ""
	}
	if len(of) > 1 {
		return 0, fmt.Sprintf("there are %d sessions on that day", len(of))
	}
	return of[0], ""
}

// take adds what another line of the same session says, or tells what would
// contradict.
//
// Branches: a field each.
func (e *Entry) take(o Entry) string {
	switch {
	case e.Hard && o.Easy || e.Easy && o.Hard:
		return "effort (hard, easy)"
	case clash(string(e.Place), string(o.Place)):
		return "place"
	case !math.IsNaN(e.Effort) && !math.IsNaN(o.Effort) && e.Effort != o.Effort:
		return "effort"
	case clash(e.With, o.With):
		return "recording that it belongs with"
	case clash(e.Was, o.Was):
		return "workout"
	case e.Reps != nil && o.Reps != nil && !SameReps(e.Reps, o.Reps):
		return "place of the reps"
	case clash(e.Title, o.Title):
		return "title"
	}
	if e.Line == 0 {
		*e = o
		return ""
	}
	e.Race, e.Hard, e.Easy, e.LeaveOut = e.Race || o.Race, e.Hard || o.Hard, e.Easy || o.Easy, e.LeaveOut || o.LeaveOut
	if e.Place == "" {
		e.Place = o.Place
	}
	if math.IsNaN(e.Effort) {
		e.Effort = o.Effort
	}
	if e.With == "" {
		e.With = o.With
	}
	if e.Was == "" {
		e.Was, e.Workout = o.Was, o.Workout
	}
	if e.Reps == nil {
		e.Reps = o.Reps
	}
	if e.Title == "" {
		e.Title = o.Title
	}
	if o.Note != "" && o.Note != e.Note {
		e.Note = strings.TrimPrefix(e.Note+"; "+o.Note, "; ")
	}
	return ""
}

func clash(a, b string) bool { return a != "" && b != "" && a != b }
