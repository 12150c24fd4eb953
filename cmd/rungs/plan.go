package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"example.org/rungs/segment/input"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/notation"
)

// planName is the file name that diagnostics give to a plan written on the
// command line.
const planName = "PLAN"

// errStdinTwice says that standard input can be read only once.
var errStdinTwice = errors.New("-: standard input can be named only once")

// takeStdin hands standard input out, once.
func (e *env) takeStdin() (io.Reader, error) {
	if e.stdinRead {
		return nil, errStdinTwice
	}
	e.stdinRead = true
	return e.stdin, nil
}

// A plan is a workout as it was given, with what was lost in reading it.
type plan struct {
	workout  workouts.Workout
	warnings []recording.Warning
}

// readPlan reads a plan from the file of that name, from standard input ("-"),
// or from the argument itself. Files may be text or FIT. Trouble is said
// already when the status is not exitFine.
func (e *env) readPlan(arg string) (*plan, int) {
	name, src, err := e.planText(arg)
	if err != nil {
		return nil, e.complain(err.Error())
	}
	if binary(src) {
		if len(src) > workouts.MaxBytes {
			return nil, e.complain(fmt.Sprintf("%s: holds no planned workout, as it has more than %d bytes; is it a recording? rungs check --plan PLAN RECORDING", name, workouts.MaxBytes))
		}
		device, err := recording.ReadPlan(name, strings.NewReader(src))
		if err != nil {
			return nil, e.complain(err.Error())
		}
		var p plan
		p.workout, p.warnings = fitfile.FromPlan(*device)
		return &p, exitFine
	}
	w, err := notation.Parse(name, src)
	if err == nil {
		return &plan{workout: w}, exitFine
	}
	status := e.complainFully(err)
	var found workouts.Diagnostics
	if errors.As(err, &found) && name == planName && strings.TrimSpace(src) != "" && found[0].Line == 1 && found[0].Column == 1 {
		return nil, e.complain("there is no file of that name either")
	}
	return nil, status
}

// binary tells a device's file from a text. UTF-16 counts as a text, to be refused as one.
func binary(src string) bool {
	utf16 := strings.HasPrefix(src, "\xff\xfe") || strings.HasPrefix(src, "\xfe\xff")
	return !utf16 && strings.ContainsRune(src, 0)
}

// planText finds the text of a plan and the name to call it by.
func (e *env) planText(arg string) (name, src string, err error) {
	if arg == stdinName {
		in, err := e.takeStdin()
		if err != nil {
			return "", "", err
		}
		src, err := readText(in, stdinName)
		return stdinName, src, err
	}
	f, err := input.Open(arg, math.MaxInt64)
	switch {
	case err == nil:
		defer f.Close()
		src, err := readText(f, arg)
		return arg, src, err
	case errors.Is(err, input.ErrFolder):
		return "", "", fmt.Errorf("%s: a folder, not a plan", arg)
	case looksLikeFile(arg) || errors.Is(err, fs.ErrPermission) || errors.Is(err, input.ErrNoFile):
		return "", "", errors.New(fileTrouble(arg, err))
	}
	return planName, arg, nil
}

// fileTrouble says what is wrong with a file, without naming system calls.
func fileTrouble(path string, err error) string {
	var pathErr *fs.PathError
	var linkErr *os.LinkError
	switch {
	case errors.As(err, &pathErr):
		path, err = pathErr.Path, pathErr.Err
	case errors.As(err, &linkErr):
		path, err = linkErr.Old, linkErr.Err
	}
	return path + ": " + err.Error()
}

var fileExtension = regexp.MustCompile(`^\.[A-Za-z]{2,8}$`)

// looksLikeFile tells a path from a notation: nothing in the notation ends
// like a file name does.
func looksLikeFile(arg string) bool { return fileExtension.MatchString(filepath.Ext(arg)) }

// readText reads a plan, no further than to see that it is too long to be one.
func readText(r io.Reader, name string) (string, error) {
	b, err := io.ReadAll(io.LimitReader(r, workouts.MaxBytes+1))
	if err != nil {
		return "", errors.New(fileTrouble(name, err))
	}
	return string(b), nil
}
