// Package input reads what a user names, in bounded memory: regular files, whose
// size is known before anything is read, and streams up to a limit. Pipes and
// devices are not opened, as some have no end and some wait for ever.
package input

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"slices"
)

// Reasons for refusing to read, for errors.Is.
var (
	ErrFolder   = errors.New("is a folder, not a file")
	ErrNoFile   = errors.New("is a pipe or a device, not a file; what comes out of a pipe is read from standard input, as -")
	ErrTooLarge = errors.New("is too large")
)

// Open opens a regular file of at most limit bytes.
func Open(path string, limit int64) (*os.File, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, ErrFolder
	case !info.Mode().IsRegular():
		return nil, ErrNoFile
	case info.Size() > limit:
		return nil, ErrTooLarge
	}
	return os.Open(path)
}

// All reads a stream to its end, or gives ErrTooLarge when it has more than limit
// bytes. The buffer of a file has its size at once; another stream is read by pieces,
// which are joined at its end, so that one that is refused costs its limit and no more.
func All(r io.Reader, limit int64) ([]byte, error) { return AllInto(nil, r, limit) }

// AllInto is All in the room of a buffer, as far as it has enough; what is in it is lost.
func AllInto(buffer []byte, r io.Reader, limit int64) ([]byte, error) {
	size := int64(4096)
	if f, ok := r.(fs.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			size = info.Size() + 1 // a byte more, to meet the end
		}
	}
	var full [][]byte
	taken := int64(0) // by those
	piece := buffer[:0]
	if int64(cap(piece)) < min(size, limit+1) {
		piece = make([]byte, 0, min(size, limit+1))
	}
	for {
		n, err := r.Read(piece[len(piece):cap(piece)])
		piece = piece[:len(piece)+n]
		switch {
		case taken+int64(len(piece)) > limit:
			return nil, ErrTooLarge
		case err == io.EOF:
			return joined(full, piece), nil
		case err != nil:
			return joined(full, piece), err
		case len(piece) == cap(piece):
			full, taken = append(full, piece), taken+int64(len(piece))
			piece = make([]byte, 0, min(2*int64(cap(piece)), largestPiece, limit+1-taken))
		}
	}
}

// largestPiece is how large the pieces of a stream grow, in bytes.
const largestPiece = 4 << 20

func joined(full [][]byte, last []byte) []byte {
	if len(full) == 0 {
		return last
	}
	return slices.Concat(append(full, last)...)
}
