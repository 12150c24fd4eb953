package log

import (
	"math"
	"slices"
	"strings"
)

// Say takes over all that another entry says; hard, easy and race take each other's
// place where they exclude each other.
func (e *Entry) Say(o Entry) {
	switch {
	case o.Hard:
		e.Easy = false
	case o.Easy:
		e.Hard = false
	}
	e.Race, e.Hard, e.Easy, e.LeaveOut = e.Race || o.Race, e.Hard || o.Hard, e.Easy || o.Easy, e.LeaveOut || o.LeaveOut
	if o.Place != "" {
		e.Place = o.Place
	}
	if !math.IsNaN(o.Effort) {
		e.Effort = o.Effort
	}
	if o.Was != "" {
		e.Was, e.Workout = o.Was, o.Workout
	}
	if o.Reps != nil {
		e.Reps = o.Reps
	}
	for _, f := range []struct {
		to   *string
		from string
	}{{&e.With, o.With}, {&e.Title, o.Title}, {&e.Note, o.Note}} {
		if f.from != "" {
			*f.to = f.from
		}
	}
}

// Unsay takes a word of the log, and what stands behind it, out of an entry. It
// tells whether there is such a word.
func (e *Entry) Unsay(word string) bool {
	switch word {
	case "race":
		e.Race = false
	case "hard":
		e.Hard = false
	case "easy":
		e.Easy = false
	case "leave out":
		e.LeaveOut = false
	case "outdoors", "treadmill", "track", "trail":
		if string(e.Place) == word {
			e.Place = ""
		}
	case "effort":
		e.Effort = math.NaN()
	case "with":
		e.With = ""
	case "was":
		e.Was = ""
	case "reps":
		e.Reps = nil
	case "title":
		e.Title = ""
	case "note":
		e.Note = ""
	default:
		return false
	}
	return true
}

// Remove takes a line out of the log.
func (l *Log) Remove(line int) {
	if line < 1 || line > len(l.lines) {
		return
	}
	src := ""
	for i, x := range l.lines {
		if i != line-1 {
			src += x.text
		}
	}
	*l = Parse(l.name, src)
}

// TakesMore tells whether words of the log are not whole yet, as effort without a number.
func TakesMore(words string) bool {
	words = strings.ToLower(words)
	return words == "no" || slices.Contains(keys, words) || words == "leave" || words == "no leave"
}
