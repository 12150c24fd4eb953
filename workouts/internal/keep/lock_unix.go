//go:build unix && !solaris && !aix

package keep

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// tryLock locks the folder itself, so no file is added to it, and the system
// takes the lock back from a process that ends, however it ends. Some network
// file systems cannot do that; there it is a file.
func tryLock(folder string) (unlock func(), ok bool, err error) {
	d, err := os.Open(folder)
	if err != nil {
		return nil, false, err
	}
	err = unix.Flock(int(d.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if err == nil {
		return func() { d.Close() }, true, nil
	}
	d.Close()
	if errors.Is(err, unix.EWOULDBLOCK) || errors.Is(err, unix.EINTR) {
		return nil, false, nil
	}
	return tryLockFile(folder)
}
