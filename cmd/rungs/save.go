package main

import (
	"io/fs"
	"os"
	"path/filepath"
)

// save replaces a file by new contents, whole or not at all: a temporary file
// beside it is written, flushed to the disk and renamed. Links are followed
// and the permissions stay. An interrupt waits until it is done.
func (e *env) save(path string, contents []byte) (err error) {
	e.saving.Lock()
	defer e.saving.Unlock()
	if path, err = filepath.EvalSymlinks(path); err != nil {
		return err
	}
	mode := fs.FileMode(0o666)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	folder := filepath.Dir(path)
	f, err := os.CreateTemp(folder, "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(contents); err != nil {
		return err
	}
	if err = f.Chmod(mode); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return err
	}
	// The name itself is on the disk only when the folder is; where a folder
	// cannot be flushed the file is still whole.
	if d, err := os.Open(folder); err == nil {
		d.Sync()
		d.Close()
	}
	return nil
}
