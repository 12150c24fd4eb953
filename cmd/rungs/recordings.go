package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/notation"
)

// stdinName stands for standard input among the files.
const stdinName = "-"

// errNoName answers an empty argument, which is mostly a shell variable that is not set.
var errNoName = errors.New("a file name is empty")

// eachSession reads every file, and all those in folders, splits every recording in it
// and hands the session on. What cannot be read is said and remembered in the exit status,
// and does not stop the others.
func (e *env) eachSession(paths []string, do func(*segment.Session) int) int {
	status := exitFine
	var files []string
	for _, path := range paths {
		if info, err := os.Stat(path); path == "" || path == stdinName || err != nil || !info.IsDir() {
			files = append(files, path) // what is wrong with it is said as it is opened
			continue
		}
		inside, trouble := e.recordingsIn([]string{path})
		files, status = append(files, inside...), max(status, trouble)
	}
	for _, file := range files {
		recordings, err := e.open(file)
		if err != nil {
			status = max(status, e.complainFully(err))
		}
		for _, r := range recordings {
			s, err := segment.Split(r, segment.Knowing(e.known()...))
			if err != nil {
				status = max(status, e.complain(r.Name+": "+err.Error()))
				continue
			}
			status = max(status, do(s))
		}
	}
	return status
}

// open reads a file, or standard input when its name is "-".
func (e *env) open(file string) ([]*recording.Recording, error) {
	switch file {
	case "":
		return nil, errNoName
	case stdinName:
	default:
		recordings, err := recording.Open(file)
		if _, mistake := notation.Parse("", file); mistake == nil && errors.Is(err, fs.ErrNotExist) {
			err = fmt.Errorf("%s: is a plan, and no recording; rungs check --plan %q RECORDING holds one against it", file, file)
		}
		if errors.Is(err, recording.ErrFormat) && e.isPlan(file) {
			err = fmt.Errorf("%s: is a plan, and no recording; rungs check --plan %[1]s RECORDING holds one against it", file)
		}
		return recordings, err
	}
	in, err := e.takeStdin()
	if err != nil {
		return nil, err
	}
	return recording.Read(stdinName, in)
}

// isPlan tells whether a file is a text in the notation.
func (e *env) isPlan(file string) bool {
	name, src, err := e.planText(file)
	if err != nil {
		return false
	}
	_, err = notation.Parse(name, src)
	return err == nil
}

// recordingsIn lists the files given and the recordings in the folders given. A file that is
// not a plain one, such as a pipe, is never a recording of a folder.
func (e *env) recordingsIn(paths []string) (files []string, status int) {
	for _, path := range paths {
		if path == "" || path == stdinName {
			files = append(files, path)
			continue
		}
		for file, err := range recording.Files([]string{path}) {
			if err != nil {
				status = max(status, e.complainFully(err))
				continue
			}
			files = append(files, file)
		}
	}
	return files, status
}
