package recording

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"example.org/rungs/segment/input"
	"example.org/rungs/segment/recording/internal/xmltext"
)

// Bounds on what is read, far above any run. A ten-day recording with a record
// each second has 864,000 records.
const (
	MaxBytes        = 64 << 20  // of one recording as it is, decompressed: 220,000 points of GPX with 300 bytes each
	MaxPackedBytes  = 128 << 20 // of one zip archive as it is
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
	raw, err := slurp(name, data, lim.bytes, nil)
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

// openFile opens a regular file that is not too large for what it begins like.
func openFile(path string) (*os.File, error) {
	f, err := input.Open(path, MaxPackedBytes)
	if err != nil {
		return nil, inputError(path, err, MaxPackedBytes)
	}
	return f, nil
}

// sniffed is how many bytes tell what an input is, save XML with a longer comment
// at its head.
const sniffed = 4096

// slurp reads all of data, in the room of a buffer if there is any, up to a limit; an archive may have MaxPackedBytes where
// the limit is MaxBytes. What is no recording is refused by its first bytes.
func slurp(name string, data io.Reader, limit int64, buffer []byte) ([]byte, error) {
	head, err := readHead(data)
	switch {
	case err == nil:
		if err := notOurHead(name, head); err != nil {
			return nil, err
		}
	case err != io.EOF:
		return nil, systemError(name, err)
	case len(head) == 0:
		return nil, refuse(name, ErrEmpty, "is empty", "copy it from the device again")
	}
	if limit == MaxBytes && binaryFormat(head) == zipFormat {
		limit = MaxPackedBytes
	}
	raw, err := input.AllInto(buffer, &begun{head, data}, limit)
	if err != nil {
		return nil, inputError(name, err, limit)
	}
	return raw, nil
}

// readHead reads the first bytes of a stream. The error is io.EOF when it has no
// more of them than were asked for, and else that of the stream.
func readHead(r io.Reader) (head []byte, err error) {
	head = make([]byte, sniffed)
	n := 0
	for n < len(head) && err == nil {
		var more int
		more, err = r.Read(head[n:])
		n += more
	}
	if n == len(head) && err == io.EOF {
		err = nil
	}
	return head[:n], err
}

// begun is a stream of which the head was read already. It has the size of the file
// below, if it is one.
type begun struct {
	head []byte
	rest io.Reader
}

func (b *begun) Read(p []byte) (int, error) {
	if len(b.head) == 0 {
		return b.rest.Read(p)
	}
	n := copy(p, b.head)
	b.head = b.head[n:]
	return n, nil
}

func (b *begun) Close() error { return nil }

func (b *begun) Stat() (fs.FileInfo, error) {
	if f, ok := b.rest.(fs.File); ok {
		return f.Stat()
	}
	return nil, fs.ErrInvalid
}

// notOurHead is the error about an input that begins like no recording; nil when it
// may be one.
func notOurHead(name string, head []byte) error {
	if binaryFormat(head) != unknownFormat {
		return nil
	}
	text, _ := plainText(head)
	if len(text) == 0 || text[0] == '<' && xmltext.RootElement(text) == "" || textFormat(text) != unknownFormat {
		return nil
	}
	if line, _, whole := bytes.Cut(text, []byte("\n")); !whole && bytes.IndexByte(line, 0) < 0 && strings.ContainsAny(string(line), ",;\t") {
		return nil // a long header, perhaps
	}
	return notOurs(name, head, text)
}

// inputError words why an input was not read.
func inputError(path string, err error, limit int64) error {
	switch {
	case errors.Is(err, input.ErrFolder):
		return refuse(path, ErrFolder, "is a folder", "name a file in it")
	case errors.Is(err, input.ErrNoFile):
		return refuse(path, ErrFormat, "is a pipe or a device, not a file", "what comes out of a pipe is read from standard input, as -")
	case errors.Is(err, input.ErrTooLarge):
		return refuse(path, ErrTooLarge, fmt.Sprintf("has more than %d bytes", limit),
			"a recording of one run is far smaller; is it the right file?")
	}
	return systemError(path, err)
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
