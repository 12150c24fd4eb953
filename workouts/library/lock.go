package library

import "time"

// How long to wait for another process, which needs a few milliseconds.
const (
	lockPatience = 10 * time.Second
	lockPause    = 5 * time.Millisecond
)

// lockFolder keeps other processes from changing a library until unlock. The
// system takes the lock back from a process that ends, however it ends, so
// none is left over. It waits a while for another, then gives ErrBusy.
func lockFolder(folder string) (unlock func(), err error) {
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
