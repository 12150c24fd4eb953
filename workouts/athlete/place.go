package athlete

import (
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// find is the place of a key in the text, or of its value. The decoder does
// not tell, so this reads the lines: headings, and keys at the start of a line
// or, for an inline table, within it. Failing all it is the first line.
func (r *reader) find(key toml.Key, value bool) (line, column, length int) {
	heading := ""
	want := plainKey(strings.Join(key, "."))
	for n, text := range r.lines {
		text = strings.TrimRight(text, "\r")
		trimmed := strings.TrimSpace(text)
		if strings.HasPrefix(trimmed, "[") {
			inner, _, _ := strings.Cut(strings.TrimLeft(trimmed, "["), "]")
			heading = plainKey(inner)
			if heading == want || strings.HasPrefix(heading, want+".") {
				return n + 1, utf8.RuneCountInString(text[:strings.Index(text, inner)]) + 1, utf8.RuneCountInString(inner)
			}
			continue
		}
		left, right, ok := strings.Cut(text, "=")
		if !ok || strings.HasPrefix(trimmed, "#") {
			continue
		}
		full := plainKey(left)
		if heading != "" {
			full = heading + "." + full
		}
		from, size := len(left)-len(strings.TrimLeft(left, " \t")), len(strings.TrimSpace(left))
		switch {
		case full == want && !value:
		case full == want:
			from = len(left) + 1 + len(right) - len(strings.TrimLeft(right, " \t"))
			size = len(valueText(text[from:]))
		case strings.HasPrefix(want, full+"."):
			// Within an inline table: at the last part of the key.
			i := strings.Index(right, key[len(key)-1])
			if i < 0 {
				continue
			}
			from, size = len(left)+1+i, len(key[len(key)-1])
		default:
			continue
		}
		return n + 1, utf8.RuneCountInString(text[:from]) + 1, utf8.RuneCountInString(text[from : from+size])
	}
	return 1, 1, 1
}

// plainKey takes quotes and blanks out of a written key.
func plainKey(s string) string {
	return strings.NewReplacer(`"`, "", "'", "", " ", "", "\t", "").Replace(s)
}

// valueText is the value at the front of s, without a comment behind it.
func valueText(s string) string {
	if s != "" && (s[0] == '"' || s[0] == '\'') {
		if end := strings.IndexByte(s[1:], s[0]); end >= 0 {
			return s[:end+2]
		}
	}
	s, _, _ = strings.Cut(s, "#")
	return strings.TrimSpace(s)
}
