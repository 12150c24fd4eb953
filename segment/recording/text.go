package recording

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// plainText brings text to UTF-8 without a byte order mark and without blank
// space before it. Text in UTF-16 is decoded; anything else that is not UTF-8
// is taken as Latin-1, in which numbers and times come out right whatever the
// encoding was. The notes say what was done.
func plainText(data []byte) (text []byte, notes []Warning) {
	note := func(code, format string, args ...any) {
		notes = append(notes, wholeFile(code, fmt.Sprintf(format, args...)))
	}
	if end := len(bytes.TrimRight(data, "\x00")); end > 0 && len(data)-end > mostPadding {
		note(ZeroPadding, "the file ends in %d bytes of zero, as a device leaves that lost its power; they were passed over", len(data)-end)
		data = data[:end]
	}
	switch {
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{'<', 0}):
		data = fromUTF16(data, binary.LittleEndian)
		note(TextEncoding, "the text is in UTF-16")
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}), bytes.HasPrefix(data, []byte{0, '<'}):
		data = fromUTF16(data, binary.BigEndian)
		note(TextEncoding, "the text is in UTF-16")
	default:
		declared := declaredEncoding(data)
		switch {
		case declared == "utf-8" || declared == "us-ascii" || declared == "":
			if !utf8.Valid(data) {
				data = fromLatin1(data)
				note(TextEncoding, "the text is not UTF-8 and was taken as Latin-1")
			}
		case declared == "utf-16":
			// The declaration itself shows that it is not.
		default:
			data = fromLatin1(data)
			note(TextEncoding, "the text is in %s and was read as Latin-1", declared)
		}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	text = bytes.TrimLeft(data, " \t\r\n")
	if len(text) < len(data) && bytes.HasPrefix(text, []byte("<?xml")) {
		note(LeadingSpace, "%s stand before the XML declaration", count(len(data)-len(text), "blank character"))
	}
	return text, notes
}

// mostPadding is how many zeros may end a text before they are called padding: that in
// UTF-16 may end in three. Derived from the encoding.
const mostPadding = 3

// declaredEncoding reads the encoding of an XML declaration, in lower case; ""
// when there is none.
func declaredEncoding(data []byte) string {
	head := strings.TrimLeft(string(data[:min(len(data), 512)]), "\xef\xbb\xbf \t\r\n")
	if !strings.HasPrefix(head, "<?xml") {
		return ""
	}
	head, _, _ = strings.Cut(head, "?>")
	_, after, found := strings.Cut(head, "encoding")
	after = strings.TrimLeft(after, " \t\r\n=")
	if !found || len(after) < 2 || (after[0] != '"' && after[0] != '\'') {
		return ""
	}
	name, _, _ := strings.Cut(after[1:], after[:1])
	return strings.ToLower(name)
}

func fromUTF16(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

func fromLatin1(data []byte) []byte {
	out := make([]byte, 0, len(data)+len(data)/16)
	for _, c := range data {
		out = utf8.AppendRune(out, rune(c))
	}
	return out
}
