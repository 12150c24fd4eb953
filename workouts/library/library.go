// Package library keeps workouts: a folder of plain text files, one workout
// each, that reads without the program and sits well under version control.
//
// It recognises a workout in a recording (Recognise), tells how it went each time
// (Historian), finds workouts by what they are (Search), and holds a shelf of starters
// (Shelf).
package library

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/internal/keep"
	"example.org/rungs/workouts/notation"
)

// extension ends the name of a workout's file.
const extension = ".plan"

// Variable is the environment variable that names the folder of the library.
const Variable = "RUNGS_LIBRARY"

// A Library is a folder of workouts. It may be missing as long as nothing was
// added.
type Library struct{ Folder string }

// An Entry is one workout of a library.
type Entry struct {
	Name    string // of the file, without Extension
	Text    string // the file as it stands
	Workout workouts.Workout
}

// A Damage is a file that could not be read as a workout. It says the place
// and does not hide the others.
type Damage struct {
	Path string
	Err  error // workouts.Diagnostics where the text is at fault
}

func (d Damage) Error() string {
	var found workouts.Diagnostics
	if errors.As(d.Err, &found) {
		return found.Error() // it begins with the path
	}
	return d.Path + ": " + reason(d.Err)
}

func (d Damage) Unwrap() error { return d.Err }

// reason is an error without the system call and the path.
func reason(err error) string {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err.Error()
	}
	return err.Error()
}

// Reasons for refusing to change a library, for errors.Is.
var (
	ErrTaken   = errors.New("there is a workout of that name")
	ErrUnknown = errors.New("there is no workout of that name")
	ErrName    = errors.New("not a name for a workout")
	ErrBusy    = keep.ErrBusy // another process is changing it
)

// Locate finds the folder of the library: the one given; when that is empty,
// the one that the environment variable RUNGS_LIBRARY names; when that is
// unset, rungs/library in the place for the user's data of the XDG Base
// Directory Specification. It fails when there is no such place either.
func Locate(folder string, getenv func(string) string) (Library, error) {
	if folder == "" {
		folder = getenv(Variable)
	}
	if folder != "" {
		return Library{folder}, nil
	}
	data := getenv("XDG_DATA_HOME")
	if !filepath.IsAbs(data) { // a relative one does not count, says the specification
		home := getenv("HOME")
		if home == "" {
			return Library{}, fmt.Errorf("no folder for the library: name one, or set %s", Variable)
		}
		data = filepath.Join(home, ".local", "share")
	}
	return Library{filepath.Join(data, "rungs", "library")}, nil
}

// List reads all workouts, by name. Files that are no workouts are in damaged.
// The error is for a folder that cannot be read, fs.ErrNotExist when it is missing.
func (l Library) List() (entries []Entry, damaged []Damage, err error) {
	names, err := l.names()
	if err != nil {
		return nil, nil, err
	}
	for _, name := range names {
		e, err := l.read(name)
		if err != nil {
			damaged = append(damaged, Damage{l.path(name), err})
			continue
		}
		entries = append(entries, e)
	}
	return entries, damaged, nil
}

// names lists the workouts by their file names, sorted. Files that begin with
// a dot are not workouts.
func (l Library) names() ([]string, error) {
	files, err := os.ReadDir(l.Folder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, f := range files {
		name, ok := strings.CutSuffix(f.Name(), extension)
		if ok && name != "" && name[0] != '.' {
			names = append(names, name)
		}
	}
	return names, nil
}

// Get reads one workout. The error is ErrUnknown, with a name that is near, or
// a Damage.
func (l Library) Get(name string) (Entry, error) {
	if err := l.known(name); err != nil {
		return Entry{}, err
	}
	e, err := l.read(name)
	if err != nil {
		return Entry{}, Damage{l.path(name), err}
	}
	return e, nil
}

// known tells whether there is a file for a name, readable or not.
func (l Library) known(name string) error {
	names, err := l.names()
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, n := range names {
		if n == name {
			return nil
		}
	}
	hint := ""
	if near := workouts.Nearest(name, names); near != "" {
		hint = fmt.Sprintf("; did you mean %s?", near)
	}
	return fmt.Errorf("%s: %w in %s%s", name, ErrUnknown, l.Folder, hint)
}

func (l Library) path(name string) string { return filepath.Join(l.Folder, name+extension) }

func (l Library) read(name string) (Entry, error) {
	path := l.path(name)
	info, err := os.Stat(path)
	if err != nil {
		return Entry{}, err
	}
	if !info.Mode().IsRegular() {
		return Entry{}, errors.New("a folder or something else that is no file")
	}
	f, err := os.Open(path)
	if err != nil {
		return Entry{}, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, workouts.MaxBytes+1))
	if err != nil {
		return Entry{}, err
	}
	w, err := notation.Parse(path, string(b))
	if err != nil {
		return Entry{}, err
	}
	return Entry{Name: name, Text: string(b), Workout: w}, nil
}
