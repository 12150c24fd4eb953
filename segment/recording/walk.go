package recording

import (
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
)

// Files gives the files of paths, which name files, archives and folders, without
// reading them, and in place of each path that cannot be walked an *Error. The
// order is that of the paths, and within a folder that of the names, byte by byte.
// Folders are walked to any depth; hidden files in them, and files that neither
// look nor are named like a recording, are passed over: a picture or a note beside
// the recordings is no error.
func Files(paths []string) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		for _, p := range paths {
			if !files(p, yield) {
				return
			}
		}
	}
}

// files gives the files of one path, and false when the caller has had enough.
func files(path string, yield func(string, error) bool) bool {
	info, err := os.Stat(path)
	if err != nil {
		return yield("", systemError(path, err))
	}
	if !info.IsDir() {
		return yield(path, nil)
	}
	some, more := false, true
	root := filepath.Clean(path) + string(filepath.Separator) // follows a link to a folder
	err = filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		switch {
		case p != root && d != nil && hidden(d.Name()):
			if d.IsDir() {
				return fs.SkipDir
			}
		case err != nil:
			some = true
			more = yield("", systemError(p, err))
		case d.IsDir():
			// its files follow
		case found(p, d):
			some = true
			more = yield(p, nil)
		}
		if !more {
			return fs.SkipAll
		}
		return nil
	})
	if err == nil && more && !some {
		return yield("", refuse(path, ErrNoRecords, "holds no recording", ourFormats))
	}
	return more
}

// ReadFile reads a file whole, up to MaxBytes. The error is an *Error.
func ReadFile(path string) ([]byte, error) {
	f, err := openFile(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return slurp(path, f, defaultLimits.bytes, nil)
}

// OpenFile opens a regular file whose size a recording or an archive may have; a
// pipe or a device is refused unopened. The error is an *Error.
func OpenFile(path string) (*os.File, error) { return openFile(path) }

// ReadAll is ReadFile for data from elsewhere; name stands for it in messages.
func ReadAll(name string, data io.Reader) ([]byte, error) {
	return ReadAllInto(nil, name, data)
}

// ReadAllInto is ReadAll in the room of a buffer, as far as it has enough; what is in it is lost.
func ReadAllInto(buffer []byte, name string, data io.Reader) ([]byte, error) {
	return slurp(name, data, defaultLimits.bytes, buffer)
}

// Each gives the recordings in the contents of a file or an archive one by one, or
// an *Error in place of what cannot be read; it goes on after an error. Of an
// archive only one is in memory at a time, in the order of their names.
func Each(name string, raw []byte) iter.Seq2[*Recording, error] {
	return newUnpacker(defaultLimits).open(name, raw, 0)
}

// regular tells a file, also at the end of a link, from a pipe or a device.
func regular(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// found tells a file of a folder that is given: it is named like a recording or begins like
// one. What is at the end of a link must be looked up.
func found(path string, d fs.DirEntry) bool {
	return (d.Type().IsRegular() || regular(path)) && (knownName(path) || sniff(path))
}

// sniff tells whether a file begins like a recording.
func sniff(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	return sniffs(f)
}

// Looks tells whether a file that is named so and begins as read gives it would be found by
// Files in a folder; begin is called only when the name does not tell.
func Looks(name string, begin func() (io.ReadCloser, error)) bool {
	if hidden(filepath.Base(name)) {
		return false
	}
	if knownName(name) {
		return true
	}
	f, err := begin()
	if err != nil {
		return false
	}
	defer f.Close()
	return sniffs(f)
}
