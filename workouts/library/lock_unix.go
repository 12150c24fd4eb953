//go:build unix && !solaris && !aix

package library

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// tryLock locks the folder itself, so that no file is added to it.
func tryLock(folder string) (unlock func(), ok bool, err error) {
	d, err := os.Open(folder)
	if err != nil {
		return nil, false, err
	}
	err = unix.Flock(int(d.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	switch {
	case err == nil:
		return func() { d.Close() }, true, nil
	case errors.Is(err, unix.EWOULDBLOCK), errors.Is(err, unix.EINTR):
		d.Close()
		return nil, false, nil
	}
	d.Close()
	return nil, false, &fs.PathError{Op: "lock", Path: folder, Err: err}
}
