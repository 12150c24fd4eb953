package library

import (
	"io/fs"
	"os"
	"strings"

	"example.org/rungs/workouts/internal/keep"
)

// isTemporary tells whether a file is a temporary one of a workout.
func isTemporary(file string) bool {
	return strings.HasPrefix(file, ".") && strings.HasSuffix(file, ".part") && strings.Contains(file, extension+".")
}

// WriteFile writes a file anywhere, whole or not at all. One that is there
// already is replaced only when told so; otherwise the error is fs.ErrExist.
func WriteFile(path string, contents []byte, replace bool) error {
	if _, err := os.Stat(path); err == nil && !replace {
		return &fs.PathError{Op: "write", Path: path, Err: fs.ErrExist}
	}
	return keep.Replace(path, contents)
}
