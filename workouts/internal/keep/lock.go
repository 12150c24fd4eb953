package keep

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// ErrBusy is returned when another process holds the lock for too long.
var ErrBusy = errors.New("another process is changing the folder; try again when it is done")

// How long to wait for another process, which needs a few milliseconds.
const (
	lockPatience = 10 * time.Second
	lockPause    = 5 * time.Millisecond
)

// Lock keeps other processes from changing a folder until unlock. It
// waits a while for another, then gives ErrBusy.
func Lock(folder string) (unlock func(), err error) {
	for end := time.Now().Add(lockPatience); ; time.Sleep(lockPause) {
		unlock, ok, err := tryLock(folder)
		switch {
		case err != nil:
			return nil, err
		case ok:
			return unlock, nil
		case time.Now().After(end):
			return nil, ErrBusy
		}
	}
}

// lockName is the lock file where the system cannot lock a folder.
const lockName = ".lock"

// lockStale is the age at which a lock file belongs to nobody any more: a
// change takes milliseconds.
const lockStale = time.Minute

// tryLockFile locks a folder by a file in it that only one process can make.
func tryLockFile(folder string) (unlock func(), ok bool, err error) {
	path := filepath.Join(folder, lockName)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	switch {
	case err == nil:
		f.Close()
		return func() { os.Remove(path) }, true, nil
	case !errors.Is(err, fs.ErrExist):
		return nil, false, err
	}
	if info, err := os.Stat(path); err == nil && time.Since(info.ModTime()) > lockStale {
		os.Remove(path)
	}
	return nil, false, nil
}
