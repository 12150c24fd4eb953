package main

import (
	"os"
	"path/filepath"

	"example.org/rungs/workouts/library"
)

// save replaces a file by new contents, whole or not at all. Links are followed
// and the permissions stay. An interrupt waits until it is done.
func (e *env) save(path string, contents []byte) error {
	e.saving.Lock()
	defer e.saving.Unlock()
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	return library.WriteFile(path, contents, true)
}

// create writes a new file. An interrupt waits until it is done.
func (e *env) create(path string, contents []byte) error {
	e.saving.Lock()
	defer e.saving.Unlock()
	return os.WriteFile(path, contents, 0o666)
}
