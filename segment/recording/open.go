package recording

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Bounds on what is read, far above any run. A ten-day recording with a record
// each second has 864,000 records.
const (
	MaxBytes        = 256 << 20 // of one input, and of one file of an archive, decompressed
	MaxArchiveBytes = 1 << 30   // of all the files of an archive together, decompressed
	MaxMembers      = 20_000    // files of an archive
	MaxRecords      = 1_000_000 // of one recording
	MaxMarks        = 10_000    // laps, stops, plan steps or parts of one recording; recordings of one file
)

// limits are the bounds in force.
type limits struct {
	bytes, archiveBytes int64
	members             int
	records, marks      int
}

var defaultLimits = limits{MaxBytes, MaxArchiveBytes, MaxMembers, MaxRecords, MaxMarks}

// Open reads every recording in a file: mostly one, more for a multisport
// activity, a chained file or an archive. The format is told by the content,
// not by the name; .gz and .zip are unpacked. Errors are of type *Error.
//
// What can be read of a damaged file is read, with a warning in the recording.
// Of an archive of which some files cannot be read both the recordings and the
// joined errors are returned.
func Open(path string) ([]*Recording, error) {
	f, err := openFile(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return Read(path, f)
}

// Read is Open for data from elsewhere; name stands for it in messages.
func Read(name string, data io.Reader) ([]*Recording, error) {
	return read(name, data, defaultLimits)
}

func read(name string, data io.Reader, lim limits) ([]*Recording, error) {
	raw, err := slurp(name, data, lim.bytes)
	if err != nil {
		return nil, err
	}
	var all []*Recording
	var failed []error
	for r, err := range newUnpacker(lim).open(name, raw, 0) {
		if err != nil {
			failed = append(failed, err)
		} else {
			all = append(all, r)
		}
	}
	if len(failed) == 1 {
		return all, failed[0]
	}
	return all, errors.Join(failed...)
}

// openFile opens a regular file.
func openFile(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, systemError(path, err)
	}
	if info.IsDir() {
		return nil, refuse(path, ErrFolder, "is a folder", "name a file in it")
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, systemError(path, err)
	}
	return f, nil
}

// slurp reads all of data, up to a limit.
func slurp(name string, data io.Reader, limit int64) ([]byte, error) {
	var all bytes.Buffer
	if f, ok := data.(fs.File); ok { // room for all of it at once
		if info, err := f.Stat(); err == nil && info.Size() < limit {
			all.Grow(int(info.Size()) + bytes.MinRead)
		}
	}
	if _, err := all.ReadFrom(io.LimitReader(data, limit+1)); err != nil {
		return nil, systemError(name, err)
	}
	raw := all.Bytes()
	if int64(len(raw)) > limit {
		return nil, refuse(name, ErrTooLarge, fmt.Sprintf("has more than %d bytes", limit),
			"a recording of one run is far smaller; is it the right file?")
	}
	if len(raw) == 0 {
		return nil, refuse(name, ErrEmpty, "is empty", "copy it from the device again")
	}
	return raw, nil
}

// systemError words an error of the operating system.
func systemError(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return refuse(path, err, "does not exist", "check the name")
	case errors.Is(err, fs.ErrPermission):
		return refuse(path, err, "may not be read", "check its permissions")
	}
	if p := (*fs.PathError)(nil); errors.As(err, &p) {
		err = p.Err
	}
	return refuse(path, err, "cannot be read: "+err.Error(), "")
}
