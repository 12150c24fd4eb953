//go:build !unix || solaris || aix

package library

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// stale is the age at which a lock file belongs to nobody any more: a change
// takes milliseconds.
const stale = time.Minute

// tryLock makes a file that only one process can make.
func tryLock(folder string) (unlock func(), ok bool, err error) {
	path := filepath.Join(folder, ".lock")
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	switch {
	case err == nil:
		f.Close()
		return func() { os.Remove(path) }, true, nil
	case !errors.Is(err, fs.ErrExist):
		return nil, false, err
	}
	if info, err := os.Stat(path); err == nil && time.Since(info.ModTime()) > stale {
		os.Remove(path)
	}
	return nil, false, nil
}
