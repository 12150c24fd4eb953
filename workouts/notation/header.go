package notation

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/rungs/workouts"
)

// headerKeys are the keys of a library file, in the order they print in.
var headerKeys = []string{"name", "tags", "note"}

// keyPlace is a header line and the comments above it.
type keyPlace struct {
	key   string // without a plural s
	above []comment
}

// header reads the lines "key: value" at the top and returns the index of the
// first line below them.
func (p *parser) header() int {
	named := false
	for n, line := range p.source {
		text := strings.TrimSpace(line)
		if text == "" {
			continue
		}
		if text[0] == '#' {
			p.comments = append(p.comments, comment{n + 1, true, tidyComment(text)})
			continue
		}
		key, value, ok := cutHeader(text)
		if !ok {
			return n
		}
		p.keys = append(p.keys, keyPlace{strings.TrimSuffix(strings.ToLower(key), "s"), p.comments})
		p.comments = nil
		column := utf8.RuneCountInString(line[:strings.Index(line, text)]) + 1
		length := utf8.RuneCountInString(key)
		value = tidyValue(value)
		switch strings.ToLower(key) {
		case "name":
			if named {
				p.failAt(n+1, column, length, codeHeader, "keep one of them", "a second name")
			}
			named = true
			p.workout.Name = value
		case "tags", "tag":
			p.workout.Tags = append(p.workout.Tags, splitTags(value)...)
		case "note":
			if value != "" {
				p.workout.Note = strings.TrimPrefix(p.workout.Note+"\n"+value, "\n")
			}
		default:
			hint := "the header has name, tags and note"
			if near := workouts.Nearest(strings.ToLower(key), headerKeys); near != "" {
				hint = fmt.Sprintf("did you mean %q?", near)
			}
			p.failAt(n+1, column, length, codeHeader, hint, fmt.Sprintf("unknown header key %q", key))
		}
	}
	return len(p.source)
}

// cutHeader cuts "key: value"; no step begins with a word and a colon.
func cutHeader(text string) (key, value string, ok bool) {
	key, value, ok = strings.Cut(text, ":")
	key = strings.TrimSpace(key)
	ok = ok && key != "" && !strings.ContainsFunc(key, func(r rune) bool { return !unicode.IsLetter(r) })
	return key, value, ok
}

// tidyValue leaves single blanks between words and nothing unprintable.
func tidyValue(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

func splitTags(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' })
}

// headerLines are the header lines of a workout, canonical.
func headerLines(w workouts.Workout) []string {
	var texts []string
	if name := tidyValue(w.Name); name != "" {
		texts = append(texts, "name: "+name)
	}
	if tags := splitTags(tidyValue(strings.Join(w.Tags, ","))); len(tags) > 0 {
		texts = append(texts, "tags: "+strings.Join(tags, ", "))
	}
	for _, line := range strings.Split(w.Note, "\n") {
		if line = tidyValue(line); line != "" {
			texts = append(texts, "note: "+line)
		}
	}
	return texts
}
