package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
)

var libraryAdd = command{
	name:    "library add",
	args:    "[FLAGS] NAME WORKOUT",
	summary: "add a workout: notation, a file, or what a recording shows",
	about: `Adds a workout under a name. WORKOUT is the notation itself, a file with it, "-"
for standard input, a FIT workout file, or a recording: then it is the workout
that was found in it, to be looked over and edited. A workout that is there
already stays unless --replace is given.`,
	example: `rungs library add tuesday "15:00 warm + 5 x 4:00 @ quicker off 90s jog + 10:00 cool"`,
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		replace := fs.Bool("replace", false, "replace the workout that has the name")
		tags := fs.StringArrayP("tag", "t", nil, "give it a `TAG`; may be given again")
		return func(e *env, args []string) int {
			if len(args) != 2 {
				return e.misuse("library add: give a name and a workout, in quotation marks when it is written out")
			}
			if err := library.CheckName(args[0]); err != nil {
				return e.misuse("library add: %v", err)
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			text, inferred, status := e.workoutText(args[1])
			if status != exitFine {
				return status
			}
			for i := len(*tags) - 1; i >= 0; i-- {
				text = "tags: " + (*tags)[i] + "\n" + text
			}
			return e.addTo(l, args[0], text, *replace, inferred)
		}
	},
}

// addTo puts a workout into a library and says so.
func (e *env) addTo(l library.Library, name, text string, replace, inferred bool) int {
	e.saving.Lock()
	err := l.Add(name, text, replace)
	e.saving.Unlock()
	switch {
	case errors.Is(err, library.ErrTaken):
		return e.complain(err.Error() + "; --replace replaces it")
	case err != nil:
		return e.complainChange(l, err)
	}
	entry, err := l.Get(name)
	if err != nil {
		return e.complainFully(err)
	}
	said := fmt.Sprintf("added %s: %s\n", name, notation.Print(entry.Workout))
	if inferred {
		said += "It was found in a recording: look it over, give it targets.\n"
	}
	return e.write(said)
}

// workoutText finds the text of a workout: given, in a file, from a watch, or
// inferred from a recording.
//
// Branches: a kind of source each, and what may be wrong with it.
func (e *env) workoutText(arg string) (text string, inferred bool, status int) {
	name, src, err := e.planText(arg)
	if err != nil {
		return "", false, e.complain(err.Error())
	}
	_, wrong := notation.Parse(name, src)
	if wrong == nil || name == planName {
		if wrong != nil {
			return "", false, e.complainFully(wrong)
		}
		return src, false, exitFine
	}
	return e.textOfRun(name, src, wrong)
}

// textOfRun is the text of the workout that a file for a watch holds or a recording
// shows, whose beginning is src; wrong says why it is no text of a workout.
func (e *env) textOfRun(name, src string, wrong error) (text string, inferred bool, status int) {
	var in io.Reader = strings.NewReader(src)
	if len(src) > workouts.MaxBytes { // a recording may go on
		if f, err := os.Open(name); err == nil && name != stdinName {
			defer f.Close()
			in = f
		} else {
			in = io.MultiReader(in, e.stdin)
		}
	}
	recordings, err := recording.Read(name, in)
	switch {
	case errors.Is(err, recording.ErrPlanOnly):
		w, warnings, err := fitfile.Read(name, strings.NewReader(src))
		if err != nil {
			return "", false, e.complainFully(err)
		}
		for _, x := range warnings {
			e.complain(name + ": " + x.Message)
		}
		return notation.PrintFile(w), false, exitFine
	case errors.Is(err, recording.ErrFormat):
		return "", false, e.complainFully(wrong)
	case len(recordings) == 0:
		return "", false, e.complainFully(err)
	case len(recordings) > 1:
		return "", false, e.complain(fmt.Sprintf("%s: there are %d recordings in it; one is needed", name, len(recordings)))
	}
	s, err := segment.Split(recordings[0], segment.Knowing(e.known()...))
	if err != nil {
		return "", false, e.complain(name + ": " + err.Error())
	}
	if len(s.Structure) == 0 {
		return "", false, e.complain(name + ": no session was found in it")
	}
	return notation.PrintFile(workouts.FromBlocks(s.Structure)), true, exitFine
}
