package recording

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"iter"
	"path"
	"slices"
	"strings"

	"example.org/rungs/segment/input"
)

// An archive in an archive is still opened, and no more.
const maxNesting = 2

// An unpacker opens one input; left is how many bytes its archives may still
// unpack to.
type unpacker struct {
	limits
	left int64
}

func newUnpacker(lim limits) *unpacker { return &unpacker{lim, lim.archiveBytes} }

// open gives the recordings of an input one by one, or errors, opening archives
// on the way. Files of an archive come in the order of their names.
func (u *unpacker) open(name string, raw []byte, nesting int) iter.Seq2[*Recording, error] {
	return func(yield func(*Recording, error) bool) {
		kind := binaryFormat(raw)
		if (kind == gzipFormat || kind == zipFormat) && nesting >= maxNesting {
			yield(nil, refuse(name, ErrFormat, "is an archive in an archive in an archive", "unpack it first"))
			return
		}
		switch kind {
		case gzipFormat:
			z, err := gzip.NewReader(bytes.NewReader(raw))
			if err != nil {
				yield(nil, refuse(name, ErrDamaged, "is a damaged gzip file: "+err.Error(), "copy it again"))
				return
			}
			u.inflate(name, z, nesting, yield)
		case zipFormat:
			u.unzip(name, raw, nesting, yield)
		default:
			recs, err := readPlain(name, raw, u.limits)
			if err != nil {
				yield(nil, err)
				return
			}
			for i, r := range recs {
				if len(recs) > 1 {
					r.Name = fmt.Sprintf("%s#%d", name, i+1)
				}
				if !yield(r, nil) {
					return
				}
			}
		}
	}
}

// readPlain reads an input that is no archive.
func readPlain(name string, raw []byte, lim limits) ([]*Recording, error) {
	if binaryFormat(raw) == fitFormat {
		return readFIT(name, raw, lim)
	}
	text, notes := plainText(raw)
	switch textFormat(text) {
	case gpxFormat:
		return readGPX(name, text, notes, lim)
	case tcxFormat:
		return readTCX(name, text, notes, lim)
	case csvFormat:
		return readCSV(name, text, notes, lim)
	}
	return nil, notOurs(name, raw, text)
}

// inflate opens what a decompressor gives. Of damaged data that is all up to
// the damage.
func (u *unpacker) inflate(name string, z io.Reader, nesting int, yield func(*Recording, error) bool) bool {
	data, err := readHead(z)
	if err == nil {
		if other := notOurHead(name, data); other != nil { // a bomb, mostly
			u.left -= sniffed
			return yield(nil, other)
		}
		data, err = input.All(&begun{data, z}, u.bytes)
	}
	if err == io.EOF {
		err = nil
	}
	u.left -= int64(len(data))
	if err != nil && isTable(data) {
		data = data[:bytes.LastIndexByte(data, '\n')+1] // the last row may lack digits
	}
	switch {
	case errors.Is(err, input.ErrTooLarge):
		u.left -= u.bytes
		return yield(nil, refuse(name, ErrTooLarge, fmt.Sprintf("has more than %d bytes when decompressed", u.bytes),
			"a recording of one run is far smaller; is it the right file?"))
	case len(data) == 0 && err != nil:
		return yield(nil, damagedBelow(name, err))
	case len(data) == 0:
		return yield(nil, refuse(name, ErrEmpty, "is empty", "copy it from the device again"))
	}
	for r, readErr := range u.open(name, data, nesting+1) {
		switch {
		case err != nil && readErr != nil:
			readErr = damagedBelow(name, err)
		case err != nil:
			r.warnAll(CutShort, "the compressed file is damaged ("+err.Error()+"), and what came before was read")
		}
		if !yield(r, readErr) {
			return false
		}
	}
	return true
}

func damagedBelow(name string, err error) error {
	return refuse(name, ErrDamaged, "is compressed and damaged: "+err.Error(), "copy it again")
}

// unzip opens the files of a zip archive.
func (u *unpacker) unzip(name string, raw []byte, nesting int, yield func(*Recording, error) bool) {
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) { // no file is written, so any path will do
		yield(nil, refuse(name, ErrDamaged, "is a damaged zip archive: "+err.Error(), "copy it again"))
		return
	}
	if len(z.File) > u.members {
		yield(nil, refuse(name, ErrTooLarge, fmt.Sprintf("holds more than %d files", u.members), "unpack it and give the files you need"))
		return
	}
	files := slices.Clone(z.File)
	slices.SortStableFunc(files, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	found := false
	for _, f := range files {
		if f.FileInfo().IsDir() || hidden(f.Name) || !knownName(f.Name) && !u.sniff(f) {
			continue
		}
		found = true
		if u.left <= 0 {
			yield(nil, refuse(name, ErrTooLarge, fmt.Sprintf("has more than %d bytes when decompressed", u.archiveBytes), "unpack it and give the files you need"))
			return
		}
		inner := name + "/" + f.Name
		in, err := f.Open()
		if err != nil {
			if !yield(nil, refuse(inner, ErrDamaged, "cannot be unpacked: "+err.Error(), "copy the archive again")) {
				return
			}
			continue
		}
		more := u.inflate(inner, in, nesting, yield)
		in.Close()
		if !more {
			return
		}
	}
	if !found {
		yield(nil, refuse(name, ErrNoRecords, "holds no recording", ourFormats))
	}
}

// sniff tells whether a file of an archive begins like a recording.
func (u *unpacker) sniff(f *zip.File) bool {
	in, err := f.Open()
	if err != nil {
		return false
	}
	defer in.Close()
	return sniffs(in)
}

// hidden tells the files that systems put beside the user's.
func hidden(name string) bool {
	for _, part := range strings.Split(name, "/") {
		if strings.HasPrefix(part, ".") && part != "." && part != ".." || part == "__MACOSX" {
			return true
		}
	}
	return false
}

// sniffs tells whether data begins like a recording or an archive.
func sniffs(data io.Reader) bool {
	head := make([]byte, 4096)
	n, _ := io.ReadFull(data, head)
	if head = head[:n]; binaryFormat(head) != unknownFormat {
		return true
	}
	text, _ := plainText(head)
	return textFormat(text) != unknownFormat
}

// isTable tells whether data is a CSV table.
func isTable(data []byte) bool {
	text, _ := plainText(data[:min(len(data), 4096)])
	return binaryFormat(data) == unknownFormat && textFormat(text) == csvFormat
}

// knownName tells whether a file name ends as a recording's does.
func knownName(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".fit", ".gpx", ".tcx", ".csv", ".gz", ".zip":
		return true
	}
	return false
}
