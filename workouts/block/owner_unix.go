//go:build unix

package block

import (
	"io/fs"
	"os"
	"syscall"
)

// ownedByUser tells whether a file is of the user who runs the program.
func ownedByUser(info fs.FileInfo) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return !ok || int(s.Uid) == os.Geteuid()
}
