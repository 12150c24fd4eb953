package block

import (
	"os"
	"syscall"
)

// stampOf is the stamp of a regular file, zero of anything else.
func stampOf(path string) stamp {
	info, err := os.Stat(path)
	if err != nil || !info.Mode().IsRegular() {
		return stamp{}
	}
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return stamp{}
	}
	return stamp{info.Size(), info.ModTime().UnixNano(), s.Ctim.Nano(), s.Ino}
}
