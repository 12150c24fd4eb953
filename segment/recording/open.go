package recording

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
)

// Bounds on what is read, far above any run. A ten-day recording with a record
// each second has 864,000 records.
const (
	MaxBytes   = 256 << 20 // of one input, decompressed
	MaxRecords = 1_000_000 // of one recording
)

// limits are the bounds in force.
type limits struct {
	bytes   int64
	records int
}

var defaultLimits = limits{bytes: MaxBytes, records: MaxRecords}

// Open reads every recording in a file: mostly one, more for a multisport
// activity or a chained file. The format is told by the content, not by the
// name. An error is an *Error.
func Open(path string) ([]*Recording, error) {
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
	defer f.Close()
	return Read(path, f)
}

// Read is Open for data from elsewhere; name stands for it in messages.
func Read(name string, data io.Reader) ([]*Recording, error) {
	return read(name, data, defaultLimits)
}

func read(name string, data io.Reader, lim limits) ([]*Recording, error) {
	raw, err := slurp(name, data, lim)
	if err != nil {
		return nil, err
	}
	switch format, hint := tell(raw); format {
	case "fit":
		return readFIT(name, raw, lim)
	case "csv":
		return readCSV(name, raw, lim)
	default:
		return nil, refuse(name, ErrFormat, "is "+format, hint)
	}
}

// slurp reads all of data, up to the limit.
func slurp(name string, data io.Reader, lim limits) ([]byte, error) {
	raw, err := io.ReadAll(io.LimitReader(data, lim.bytes+1))
	if err != nil {
		return nil, systemError(name, err)
	}
	if int64(len(raw)) > lim.bytes {
		return nil, refuse(name, ErrTooLarge,
			fmt.Sprintf("has more than %d bytes", lim.bytes), "a recording of one run is far smaller; is it the right file?")
	}
	if len(raw) == 0 {
		return nil, refuse(name, ErrEmpty, "is empty", "copy it from the device again")
	}
	return raw, nil
}

// systemError words an error of the operating system.
func systemError(path string, err error) error {
	var known *Error
	if errors.As(err, &known) {
		return err
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return refuse(path, err, "does not exist", "check the name")
	case errors.Is(err, fs.ErrPermission):
		return refuse(path, err, "may not be read", "check its permissions")
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return refuse(path, err, "cannot be read: "+err.Error(), "")
}

// tell names the format of data by its content. A format that is none of ours
// is described in words, with a hint.
func tell(data []byte) (format, hint string) {
	const ours = "give a FIT, GPX, TCX or CSV file"
	if len(data) >= 12 && string(data[8:12]) == ".FIT" {
		return "fit", ""
	}
	if len(data) < 12 && (data[0] == 14 || data[0] == 12) {
		return "a FIT file cut off within its first 12 bytes, or no FIT file", "copy it from the device again"
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), " \t\r\n")
	for _, k := range []struct{ start, what string }{
		{"{", "JSON text"}, {"[", "JSON text"}, {"%PDF", "a PDF document"},
		{"\x89PNG", "a picture"}, {"\xff\xd8\xff", "a picture"}, {"GIF8", "a picture"}, {"SQLite", "a database"},
	} {
		if bytes.HasPrefix(text, []byte(k.start)) {
			return k.what + ", not a recording", ours
		}
	}
	if len(text) == 0 {
		return "nothing but blank space", "copy it from the device again"
	}
	head := data[:min(len(data), 4096)]
	if bytes.IndexByte(head, 0) >= 0 {
		return "binary data of no format known here", ours
	}
	line, _, _ := bytes.Cut(text, []byte("\n"))
	if looksLikeHeader(string(line)) {
		return "csv", ""
	}
	first := strings.TrimSpace(string(line))
	if r := []rune(strings.ToValidUTF8(first, "?")); len(r) > 40 {
		first = string(r[:40]) + "..."
	}
	return fmt.Sprintf("text, and no recording: its first line is %q", first),
		"give a FIT, GPX or TCX file, or a CSV file whose first line names its columns (t_s or time, and distance_m, speed_mps, pace, hr_bpm ...)"
}
