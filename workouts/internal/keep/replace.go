package keep

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

// Clear removes what processes that were killed while writing a file left
// beside it. Call it while the folder is locked.
func Clear(folder, file string) {
	files, _ := os.ReadDir(folder)
	for _, f := range files {
		if n := f.Name(); strings.HasPrefix(n, "."+file+".") && strings.HasSuffix(n, ".part") {
			os.Remove(filepath.Join(folder, n))
		}
	}
}

// Replace writes a file whole or not at all: a temporary file beside it is
// written, flushed to the disk and renamed. Links are followed and the
// permissions stay. Errors are fs.PathErrors about the path given.
func Replace(path string, contents []byte) (err error) {
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
	return FlushFolder(folder)
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

// FlushFolder puts names on the disk. Where a folder cannot be flushed the
// files in it are still whole, so that is no error.
func FlushFolder(folder string) error {
	if d, err := os.Open(filepath.Clean(folder)); err == nil {
		d.Sync()
		return d.Close()
	}
	return nil
}
