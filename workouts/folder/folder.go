// Package folder finds the training folder: the one that holds the runner's
// recordings, in whatever folders below it, and beside them what is known of
// the runner. Nothing in it is needed, and without one every command works on
// the paths that it is given.
package folder

import (
	"os"
	"path/filepath"
	"strings"
)

// Names of the files of a training folder. Each is optional; the log or the planned
// block makes the folder that holds it a training folder.
const (
	Log     = "training-log.txt"  // what the runner says of sessions; see workouts/log
	Plan    = "training-plan.txt" // the planned block; see workouts/block
	Athlete = "athlete.toml"      // paces, heart rates, units
)

// A Folder is a training folder.
type Folder struct {
	Path string // from the working folder, such as "." or "../.."
}

// mostUp is how many folders upward are looked at.
const mostUp = 64

// Find looks for the training folder from a folder upward. It tells whether
// there is one. What cannot be read is taken not to be there.
func Find(from string) (Folder, bool) {
	at, err := filepath.Abs(from)
	if err != nil {
		return Folder{}, false
	}
	path := from
	for range mostUp {
		for _, name := range []string{Log, Plan} {
			if isFile(filepath.Join(path, name)) {
				return Folder{filepath.Clean(path)}, true
			}
		}
		up := filepath.Dir(at)
		if up == at {
			return Folder{}, false
		}
		at, path = up, filepath.Join(path, "..")
	}
	return Folder{}, false
}

// Named is the folder that an athlete file names: a path from the file's own folder, from
// the home folder when it begins with "~/", or a whole one.
func Named(path, file, home string) Folder {
	if rest, ok := strings.CutPrefix(path, "~/"); ok && home != "" {
		return Folder{filepath.Join(home, rest)}
	}
	if path = filepath.FromSlash(path); !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(file), path)
	}
	return Folder{filepath.Clean(path)}
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// LogPath is where the log is, or where it is made.
func (f Folder) LogPath() string { return filepath.Join(f.Path, Log) }

// PlanPath is the planned block; empty when there is none.
func (f Folder) PlanPath() string { return f.there(Plan) }

// AthletePath is the athlete file; empty when there is none.
func (f Folder) AthletePath() string { return f.there(Athlete) }

func (f Folder) there(name string) string {
	if path := filepath.Join(f.Path, name); isFile(path) {
		return path
	}
	return ""
}
