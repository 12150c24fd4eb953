package library

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// maxName is how many bytes a name may have. With the extension and what a
// temporary file adds it stays below the 255 of common file systems.
const maxName = 64

// reserved names are those of devices on some systems, whatever the extension is.
var reserved = []string{"con", "prn", "aux", "nul",
	"com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
	"lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}

// CheckName tells what keeps a word from being the name of a workout: names
// are lower-case letters and digits, words joined by single hyphens, so that
// they are the same file on every system and need no quotation marks in a
// shell. The error wraps ErrName and suggests a name.
func CheckName(name string) error {
	why := nameFault(name)
	if why == "" {
		return nil
	}
	hint := ""
	if s := nameFrom(name); s != "" {
		hint = fmt.Sprintf("; %s would do", s)
	}
	return fmt.Errorf("%q is %w: %s%s", name, ErrName, why, hint)
}

func nameFault(name string) string {
	switch {
	case name == "":
		return "it is empty"
	case len(name) > maxName:
		return fmt.Sprintf("it is longer than %d bytes", maxName)
	case !utf8.ValidString(name) || !norm.NFC.IsNormalString(name):
		return "it is not in the usual form of Unicode (NFC)"
	case slices.Contains(reserved, name):
		return "it means a device on some systems"
	}
	for word := range strings.SplitSeq(name, "-") {
		if word == "" {
			return "hyphens stand one at a time between words"
		}
		for i, r := range word {
			if !isNameRune(r) || i == 0 && unicode.IsMark(r) {
				return fmt.Sprintf("%q is no lower-case letter, digit or hyphen", r)
			}
		}
	}
	return ""
}

// isNameRune tells whether a character may stand in a word of a name. Letters
// of scripts without case and the marks that belong to letters are welcome.
func isNameRune(r rune) bool {
	switch {
	case r >= '0' && r <= '9':
		return true
	case unicode.IsLetter(r):
		return unicode.ToLower(r) == r && !unicode.IsTitle(r) && !unicode.IsUpper(r)
	}
	return unicode.IsMark(r)
}

// nameFrom makes a name from any text, such as the title of a workout; empty
// when there is nothing to make it from.
func nameFrom(text string) string {
	text = norm.NFC.String(strings.ToLower(norm.NFC.String(strings.ToValidUTF8(text, " "))))
	words := strings.FieldsFunc(text, func(r rune) bool { return !isNameRune(r) })
	name := ""
	for _, w := range words {
		w = strings.TrimLeftFunc(w, unicode.IsMark)
		longer := strings.TrimPrefix(name+"-"+w, "-")
		if w == "" || len(longer) > maxName {
			continue
		}
		name = longer
	}
	if nameFault(name) != "" {
		return ""
	}
	return name
}
