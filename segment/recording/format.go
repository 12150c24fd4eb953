package recording

import (
	"bytes"
	"fmt"
	"strings"

	"example.org/rungs/segment/recording/internal/rows"
	"example.org/rungs/segment/recording/internal/xmltext"
)

// A format is what an input was found to be.
type format int

const (
	unknownFormat format = iota
	fitFormat
	gpxFormat
	tcxFormat
	csvFormat
	gzipFormat
	zipFormat
)

const ourFormats = "give a FIT, GPX, TCX or CSV file"

// binaryFormat tells the binary formats by their first bytes.
func binaryFormat(data []byte) format {
	switch {
	case len(data) >= 12 && string(data[8:12]) == ".FIT":
		return fitFormat
	case bytes.HasPrefix(data, []byte("\x1f\x8b")):
		return gzipFormat
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("PK\x05\x06")):
		return zipFormat
	}
	return unknownFormat
}

// textFormat tells the formats of a plain text.
func textFormat(text []byte) format {
	if bytes.HasPrefix(text, []byte("<")) {
		switch xmltext.RootElement(text) {
		case "gpx":
			return gpxFormat
		case "TrainingCenterDatabase":
			return tcxFormat
		}
		return unknownFormat
	}
	line, _, _ := bytes.Cut(text, []byte("\n"))
	if len(line) <= rows.Longest && looksLikeHeader(string(line)) {
		return csvFormat
	}
	return unknownFormat
}

// notOurs says in an error what an input of no known format seems to be.
func notOurs(name string, raw, text []byte) error {
	say := func(what, hint string) error { return refuse(name, ErrFormat, "is "+what, hint) }
	for _, k := range []struct{ start, what string }{
		{"{", "JSON text"}, {"[", "JSON text"}, {"%PDF", "a PDF document"}, {"SQLite", "a database"},
		{"\x89PNG", "a picture"}, {"\xff\xd8\xff", "a picture"}, {"GIF8", "a picture"}, {"BZh", "a bzip2 file"},
		{"\xfd7zXZ", "an xz file"}, {"7z\xbc\xaf", "a 7z archive"},
	} {
		if bytes.HasPrefix(raw, []byte(k.start)) {
			return say(k.what+", not a recording", ourFormats)
		}
	}
	if len(raw) < 12 && (raw[0] == 14 || raw[0] == 12) {
		return say("a FIT file cut off within its first 12 bytes, or no FIT file", "copy it from the device again")
	}
	if len(text) == 0 {
		return say("nothing but blank space", "copy it from the device again")
	}
	if bytes.IndexByte(text[:min(len(text), 4096)], 0) >= 0 {
		return say("binary data of no format known here", ourFormats)
	}
	if text[0] == '<' {
		switch root := xmltext.RootElement(text); {
		case strings.EqualFold(root, "html"):
			return say("a web page, not a recording", "sign in and export the activity again")
		case root != "":
			return say(fmt.Sprintf("XML with the document element %q, and neither GPX nor TCX", root), ourFormats)
		}
		return say("no well-formed XML", "export it again")
	}
	line, _, _ := bytes.Cut(text, []byte("\n"))
	first := []rune(strings.TrimSpace(string(line[:min(len(line), 400)])))
	if len(first) > 40 {
		first = append(first[:40:40], []rune("...")...)
	}
	return say(fmt.Sprintf("text, and no recording: its first line is %q", string(first)),
		"give a FIT, GPX or TCX file, or a CSV file whose first line names its columns (t_s or time, and distance_m, speed_mps, pace, hr_bpm ...)")
}
