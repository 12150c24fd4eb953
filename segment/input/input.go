// Package input reads what a user names, in bounded memory: regular files, whose
// size is known before anything is read, and streams up to a limit. Pipes and
// devices are not opened, as some have no end and some wait for ever.
package input

import (
	"errors"
	"io"
	"io/fs"
	"os"
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

// File reads a regular file of at most limit bytes.
func File(path string, limit int64) ([]byte, error) {
	f, err := Open(path, limit)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return All(f, limit)
}

// All reads a stream to its end, or gives ErrTooLarge when it has more than limit
// bytes. The buffer of a file has its size at once; that of another stream
// doubles, and is never larger than the limit by more than a byte.
func All(r io.Reader, limit int64) ([]byte, error) {
	size := int64(4096)
	if f, ok := r.(fs.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			size = info.Size() + 1 // a byte more, to meet the end
		}
	}
	all := make([]byte, 0, min(size, limit+1))
	for {
		n, err := r.Read(all[len(all):cap(all)])
		all = all[:len(all)+n]
		switch {
		case int64(len(all)) > limit:
			return nil, ErrTooLarge
		case err == io.EOF:
			return all, nil
		case err != nil:
			return all, err
		case len(all) == cap(all):
			larger := make([]byte, len(all), min(2*int64(cap(all)), limit+1))
			copy(larger, all)
			all = larger
		}
	}
}
