package log

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// A Log is the lines of a file. The zero Log is an empty one.
type Log struct {
	name  string
	lines []line
}

// A line is one line of the file.
type line struct {
	text  string // with its line end
	entry *Entry // nil for a comment, an empty line, and one that is wrong
	wrong workouts.Diagnostics
	day   time.Time // also of a wrong line, where it could be read
}

// Codes of the diagnostics.
const (
	codeText  = "log-text"
	codeDay   = "log-day"
	codeField = "log-field"
	codeValue = "log-value"
	codeMatch = "log-session"
)

// maxBytes is the most that a log may have: a line of 200 bytes twice a day for
// a hundred years.
const maxBytes = 16 << 20

// Parse reads a log; name stands for it in messages. Lines that are wrong are
// told by Wrong, count for nothing, and stop nothing else.
func Parse(name, src string) Log {
	l := Log{name: name}
	for src != "" {
		end := strings.IndexByte(src, '\n') + 1
		if end == 0 {
			end = len(src)
		}
		l.lines = append(l.lines, l.read(len(l.lines)+1, src[:end]))
		src = src[end:]
	}
	return l
}

// String is the file, byte for byte as it was read where nothing was changed.
func (l Log) String() string {
	var b strings.Builder
	for _, x := range l.lines {
		b.WriteString(x.text)
	}
	return b.String()
}

// Entries are the lines that could be read, in their order.
func (l Log) Entries() []Entry {
	var out []Entry
	for _, x := range l.lines {
		if x.entry != nil {
			out = append(out, *x.entry)
		}
	}
	return out
}

// Wrong is what is wrong with lines, in their order; empty when nothing is.
func (l Log) Wrong() workouts.Diagnostics {
	var out workouts.Diagnostics
	for _, x := range l.lines {
		out = append(out, x.wrong...)
	}
	return out
}

// A lineReader reads one line.
type lineReader struct {
	name   string
	number int
	source string
	entry  Entry
	seen   []string
	wrong  workouts.Diagnostics
}

// read reads a line with its number.
func (l Log) read(number int, text string) line {
	source := strings.TrimRight(text, "\r\n")
	if number == 1 {
		source = strings.TrimPrefix(source, mark)
	}
	r := lineReader{name: l.name, number: number, source: source, entry: NewEntry(time.Time{})}
	r.entry.Line = number
	switch trimmed := strings.TrimSpace(source); {
	case trimmed == "" || trimmed[0] == '#':
		return line{text: text}
	case !utf8.ValidString(source):
		r.source = strings.ToValidUTF8(source, "\uFFFD")
		r.fail(0, len(r.source), codeText, "the line is no UTF-8 text", "save the log as UTF-8")
	case len(source) > workouts.MaxBytes:
		r.fail(0, 1, codeText, fmt.Sprintf("the line has more than %d bytes", workouts.MaxBytes), "a line holds one session; is this the right file?")
	default:
		r.all()
	}
	x := line{text: text, wrong: r.wrong, day: r.entry.Day}
	if len(r.wrong) == 0 {
		x.entry = &r.entry
	}
	return x
}

// fail reports a mistake at the bytes of the line from a to b.
func (r *lineReader) fail(a, b int, code, message, hint string) {
	column := utf8.RuneCountInString(r.source[:a]) + 1
	r.failAt(column, utf8.RuneCountInString(r.source[a:b]), code, message, hint)
}

func (r *lineReader) failAt(column, length int, code, message, hint string) {
	r.wrong = append(r.wrong, workouts.Diagnostic{File: r.name, Line: r.number, Column: column, Length: max(length, 1),
		Code: code, Message: message, Hint: hint, SourceLine: workouts.PrintableLine(r.source)})
}

// trim narrows the bytes from a to b by the blanks at both ends.
func (r *lineReader) trim(a, b int) (int, int) {
	s := r.source[a:b]
	a += len(s) - len(strings.TrimLeftFunc(s, unicode.IsSpace))
	return a, a + len(strings.TrimSpace(s))
}

// word ends the word that begins at a.
func (r *lineReader) word(a, b int) int {
	if k := strings.IndexFunc(r.source[a:b], func(c rune) bool { return unicode.IsSpace(c) || c == ';' }); k >= 0 {
		return a + k
	}
	return b
}

// all reads the head and the fields of a line.
//
// Branches: the parts of a line, each of which may be missing or wrong.
func (r *lineReader) all() {
	a, b := r.trim(0, len(r.source))
	end := r.word(a, b)
	date := strings.TrimRight(r.source[a:end], ":")
	day, err := time.Parse(time.DateOnly, date)
	if err != nil || day.Year() < 1900 {
		r.fail(a, end, codeDay, fmt.Sprintf("%q is no date", workouts.PrintableLine(date)), "a line begins with the day, such as 2026-09-08; a comment begins with #")
		return
	}
	r.entry.Day = day
	a, _ = r.trim(end, b)
	if a < b && r.source[a] >= '0' && r.source[a] <= '9' {
		end = r.word(a, b)
		clock, ok := ParseClock(strings.TrimRight(r.source[a:end], ":"))
		if !ok {
			r.fail(a, end, codeDay, fmt.Sprintf("%q is no time of day", workouts.PrintableLine(r.source[a:end])), "write one such as 18:10, or what the session was behind \"was\"")
			return
		}
		r.entry.Clock = clock
		a, _ = r.trim(end, b)
	}
	fields := 0
	for a < b {
		end := b
		if k := strings.IndexByte(r.source[a:b], ';'); k >= 0 {
			end = a + k
		}
		if from, to := r.trim(a, end); from < to {
			if r.isNote(from, to) {
				to, end = b, b // it may hold anything
			}
			r.field(from, to)
			fields++
		}
		a = min(end+1, b)
	}
	if fields == 0 || len(r.wrong) == 0 && !r.entry.Says() {
		r.fail(b, b, codeField, "the line says nothing of the session", "write for example: hard; effort 7; note windy")
	}
	if r.entry.Hard && r.entry.Easy {
		r.fail(0, b, codeField, "a session is not both hard and easy", "keep one of the two")
	}
}

func (r *lineReader) isNote(a, b int) bool {
	return strings.EqualFold(strings.TrimRight(r.source[a:r.key(a, b)], ":"), "note")
}

// key ends the key of the field that begins at a: a word and a colon if it has one.
func (r *lineReader) key(a, b int) int {
	end := r.word(a, b)
	if k := strings.IndexByte(r.source[a:end], ':'); k >= 0 {
		return a + k + 1
	}
	return end
}

// Words of fields: marks stand alone, keys have something behind them.
var (
	marks = []string{"race", "hard", "easy", "leave out", "outdoors", "treadmill", "track", "trail"}
	keys  = []string{"file", "effort", "with", "was", "reps", "title", "note"}
)

// field reads the bytes from a to b, which are trimmed and not empty.
func (r *lineReader) field(a, b int) {
	whole := strings.ToLower(strings.Join(strings.Fields(r.source[a:b]), " "))
	if slices.Contains(marks, whole) {
		r.mark(a, b, whole)
		return
	}
	end := r.key(a, b)
	key := strings.ToLower(strings.TrimRight(r.source[a:end], ":"))
	if !slices.Contains(keys, key) {
		r.unknown(a, b, end, whole)
		return
	}
	if !r.once(a, end, key) {
		return
	}
	for end < b && r.source[end] == ':' {
		end++
	}
	from, to := r.trim(end, b)
	value := tidy(r.source[from:to])
	if value == "" {
		r.fail(a, b, codeValue, fmt.Sprintf("nothing stands behind %q", key), examples[key])
		return
	}
	r.set(key, value, from, to)
}

// set puts the value of a key, the bytes between two places, into the entry.
func (r *lineReader) set(key, value string, from, to int) {
	switch key {
	case "file":
		r.entry.File = value
	case "with":
		r.entry.With = value
	case "title":
		r.entry.Title = value
	case "note":
		r.entry.Note = value
	case "effort":
		x, err := strconv.ParseFloat(value, 64)
		if err != nil || !validEffort(x) {
			r.fail(from, to, codeValue, fmt.Sprintf("%q is no effort", workouts.PrintableLine(value)), examples[key])
			return
		}
		r.entry.Effort = x + 0 // -0 is 0
	case "was":
		r.was(from, to, value)
	case "reps":
		r.reps(from, to)
	}
}

var examples = map[string]string{
	"file":   "write the name of a recording, such as file evening.fit",
	"effort": "write a number from 0 (rest) to 10 (maximal), in halves, such as effort 7",
	"with":   "write the time or the file of the other recording, such as with 18:52",
	"was":    "write the workout, such as was 6 x 800m off 400m jog",
	"reps":   "write from when to when each was, from the start on, such as reps 15:02-19:02 20:31-24:30, or reps none",
	"title":  "write a few words, such as title Long run in the woods",
	"note":   "write what there is to say, such as note windy",
}

func (r *lineReader) mark(a, b int, word string) {
	if !r.once(a, b, word) {
		return
	}
	switch word {
	case "race":
		r.entry.Race = true
	case "hard":
		r.entry.Hard = true
	case "easy":
		r.entry.Easy = true
	case "leave out":
		r.entry.LeaveOut = true
	default:
		if r.entry.Place != "" {
			r.fail(a, b, codeField, fmt.Sprintf("the line says %s already", r.entry.Place), "a session has one kind of place")
			return
		}
		r.entry.Place = recording.Place(word)
	}
}

// once refuses a word that stands a second time.
func (r *lineReader) once(a, b int, word string) bool {
	if slices.Contains(r.seen, word) {
		r.fail(a, b, codeField, fmt.Sprintf("%q stands twice in the line", word), "keep one of the two")
		return false
	}
	r.seen = append(r.seen, word)
	return true
}

func (r *lineReader) unknown(a, b, end int, whole string) {
	hint := "words are " + strings.Join(marks, ", ") + ", and, with something behind them, " + strings.Join(keys, ", ")
	first, _, _ := strings.Cut(whole, " ")
	switch near := workouts.Nearest(whole, marks); {
	case near != "":
		hint, end = fmt.Sprintf("did you mean %q?", near), b
	case slices.Contains(marks, first):
		hint = fmt.Sprintf("%q stands alone; a semicolon comes before the next field", first)
		a, _ = r.trim(min(a+len(first), b), b)
		end = b
	default:
		if near := workouts.Nearest(strings.TrimRight(first, ":"), keys); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
	}
	r.fail(a, end, codeField, fmt.Sprintf("%q is no field of a line", workouts.PrintableLine(r.source[a:end])), hint)
}

// was reads a workout; its mistakes are told where they stand in the line.
func (r *lineReader) was(a, b int, value string) {
	w, err := notation.Parse(r.name, strings.Map(oneLine, r.source[a:b]))
	var found workouts.Diagnostics
	switch {
	case errors.As(err, &found):
		column := utf8.RuneCountInString(r.source[:a])
		for _, d := range found {
			r.failAt(column+d.Column, d.Length, d.Code, d.Message, d.Hint)
		}
	case err != nil:
		r.fail(a, b, codeValue, err.Error(), examples["was"])
	case len(w.Items) == 0:
		r.fail(a, b, codeValue, "the workout has no steps", examples["was"])
	case strings.Contains(value, "#"):
		k := a + strings.IndexByte(r.source[a:b], '#')
		r.fail(k, b, codeValue, "a workout in the log has no comment", "write it behind \"note\"")
	default:
		r.entry.Was, r.entry.Workout = value, w
	}
}

// reps reads where the reps were.
func (r *lineReader) reps(a, b int) {
	reps, place, err := ParseReps(r.source[a:b])
	if err != nil {
		for range place { // to the word that is wrong
			a, _ = r.trim(r.word(a, b), b)
		}
		b = r.word(a, b)
		r.fail(a, b, codeValue, workouts.PrintableLine(err.Error()), examples["reps"])
		return
	}
	r.entry.Reps = reps
}
