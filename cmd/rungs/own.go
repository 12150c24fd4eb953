package main

import (
	"os"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/log"
)

// ownText says, in the help of commands, what the workouts of the runner do.
const ownText = `Where two readings of a recording are about as likely, the one that is a workout
of your own is taken, and that is said: of the library (that of $` + library.Variable + `, or among
your data; not as it came from the shelf), or of "was" in your log.`

// own are the workouts that the runner has in the library and in the log of a training folder.
// The library is the same for all commands, whatever their flags, so that all agree on what a
// session was. What cannot be read of either is said where it is asked for.
func own(t *training) []segment.Known {
	var entries []library.Entry
	if l, err := library.Locate("", os.Getenv); err == nil {
		entries, _, _ = l.List()
	}
	var said log.Log
	if t != nil {
		said = t.log
	}
	return library.Known(entries, said)
}

// known are the workouts of the runner whose training folder this is.
func (e *env) known() []segment.Known {
	e.ownOnce.Do(func() {
		var t *training
		if f, ok := trainingFolder(); ok {
			t = &training{Folder: f, env: e}
			t.log, _ = log.Read(f.LogPath())
		}
		e.ownKnown = own(t)
	})
	return e.ownKnown
}
