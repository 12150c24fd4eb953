package library

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
)

// temporary is a name for the file that is to become the named one. No other
// process uses the same.
func temporary(file string) string {
	return fmt.Sprintf(".%s.%d-%d.part", file, os.Getpid(), written.Add(1))
}

var written atomic.Int64 // temporary files of this process

// isTemporary tells whether a file is a temporary one of a workout.
func isTemporary(file string) bool {
	return strings.HasPrefix(file, ".") && strings.HasSuffix(file, ".part") && strings.Contains(file, Extension+".")
}

// WriteFile writes a file anywhere, whole or not at all. One that is there
// already is replaced only when told so; otherwise the error is fs.ErrExist.
func WriteFile(path string, contents []byte, replace bool) error {
	if _, err := os.Stat(path); err == nil && !replace {
		return &fs.PathError{Op: "write", Path: path, Err: fs.ErrExist}
	}
	return replaceFile(path, contents)
}

// replaceFile writes a file whole or not at all: a temporary file beside it is
// written, flushed to the disk and renamed. Links are followed and the
// permissions stay.
func replaceFile(path string, contents []byte) (err error) {
	mode := fs.FileMode(0)
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
		if info, err := os.Stat(path); err == nil {
			mode = info.Mode().Perm()
		}
	}
	folder, file := filepath.Split(path)
	part := filepath.Join(folder, temporary(file))
	os.Remove(part) // left by a process that was killed and had our number
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return at(path, err)
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(part)
		}
	}()
	if _, err = f.Write(contents); err != nil {
		return at(path, err)
	}
	if mode != 0 {
		if err = f.Chmod(mode); err != nil {
			return err
		}
	}
	if err = f.Sync(); err != nil {
		return at(path, err)
	}
	if err = f.Close(); err != nil {
		return err
	}
	if err = os.Rename(part, path); err != nil {
		return at(path, err)
	}
	return flushFolder(folder)
}

// at names the file that was meant in an error about the temporary one.
func at(path string, err error) error {
	var link *os.LinkError
	var pathErr *fs.PathError
	switch {
	case errors.As(err, &link):
		err = link.Err
	case errors.As(err, &pathErr):
		err = pathErr.Err
	}
	return &fs.PathError{Op: "write", Path: path, Err: err}
}

// flushFolder puts names on the disk. Where a folder cannot be flushed the
// files in it are still whole, so that is no error.
func flushFolder(folder string) error {
	if d, err := os.Open(filepath.Clean(folder)); err == nil {
		d.Sync()
		return d.Close()
	}
	return nil
}
