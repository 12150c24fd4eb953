package library

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// temporary is the name of the file that is to become the named one. Only the
// holder of the lock writes it, so one that lies about is left over.
func temporary(file string) string { return "." + file + ".part" }

func isTemporary(file string) bool {
	return strings.HasPrefix(file, ".") && strings.HasSuffix(file, Extension+".part")
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
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(part)
		}
	}()
	if _, err = f.Write(contents); err != nil {
		return err
	}
	if mode != 0 {
		if err = f.Chmod(mode); err != nil {
			return err
		}
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	if err = os.Rename(part, path); err != nil {
		return err
	}
	return flushFolder(folder)
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
