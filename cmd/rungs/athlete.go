package main

import (
	"errors"
	"os"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
)

// athleteFlag declares --athlete.
func athleteFlag(fs *pflag.FlagSet) *string {
	return fs.String("athlete", "", "the athlete's `FILE` of paces, heart rates and units; else $"+
		athlete.Variable+", else\nthat of the training folder, else rungs/athlete.toml among the user's configuration")
}

// loadAthlete reads the athlete file. Trouble is said already when the status
// is not exitFine.
func (e *env) loadAthlete(path string) (athlete.Athlete, int) {
	path = trainingAthlete(path)
	a, err := athlete.Load(path, os.Getenv)
	if err == nil {
		return a, exitFine
	}
	var found workouts.Diagnostics
	if errors.As(err, &found) {
		return a, e.complainFully(err)
	}
	return a, e.complain("athlete file: " + fileTrouble(path, err))
}
