package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"

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

// binary tells a device's file from a text, be it UTF-16, which is refused as
// text.
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
	f, err := os.Open(arg)
	switch {
	case err == nil:
		defer f.Close()
		if info, err := f.Stat(); err == nil && info.IsDir() {
			return "", "", fmt.Errorf("%s: a folder, not a plan", arg)
		}
		src, err := readText(f, arg)
		return arg, src, err
	case looksLikeFile(arg) || errors.Is(err, fs.ErrPermission):
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

// readText reads a plan; notation.Parse refuses one that is too long to be
// text, recording.ReadPlan reads one of a device.
func readText(r io.Reader, name string) (string, error) {
	b, err := io.ReadAll(io.LimitReader(r, recording.MaxBytes+1))
	if err != nil {
		return "", errors.New(fileTrouble(name, err))
	}
	return string(b), nil
}
