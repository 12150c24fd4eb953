package log

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.org/rungs/workouts/internal/keep"
)

// Read reads the log in a file. One that is missing is an empty log.
func Read(path string) (Log, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Log{name: path}, nil
	}
	if err != nil {
		return Log{}, err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, maxBytes+1))
	if err != nil {
		return Log{}, err
	}
	if len(src) > maxBytes {
		return Log{}, fmt.Errorf("%s: has more than %d bytes; is it the log?", path, maxBytes)
	}
	return Parse(path, string(src)), nil
}

// Change reads the log in a file, lets change do something to it, and writes it
// back, while no other process does the same. An error of change leaves the file
// as it is. The file is replaced whole: a temporary file beside it, flushed,
// renamed. It is made when it is missing; its folder is not.
func Change(path string, change func(*Log) error) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // one file has one lock
	}
	folder := filepath.Dir(path)
	unlock, err := keep.Lock(folder)
	if err != nil {
		return err
	}
	defer unlock()
	keep.Clear(folder, filepath.Base(path))
	l, err := Read(path)
	if err != nil {
		return err
	}
	before := l.String()
	if err := change(&l); err != nil {
		return err
	}
	if after := l.String(); after != before {
		return keep.Replace(path, []byte(after))
	}
	return nil
}

// Find gives the line that means the same session by the same words: the day,
// the time and the file. It tells whether there is one.
func (l Log) Find(e Entry) (Entry, bool) {
	for _, x := range l.lines {
		if x.entry != nil && x.entry.Day.Equal(e.Day) && x.entry.Clock == e.Clock && x.entry.File == e.File {
			return *x.entry, true
		}
	}
	return Entry{}, false
}

// Set writes an entry: over its Line when it has one, else as a new line behind
// the last one of its day or an earlier day. All other lines stay as they are.
// It is an error when the entry cannot be a line, or when the line it would
// take is none.
//
// Branches: an entry that has a line or not, in a file that ends with a line end or not.
func (l *Log) Set(e Entry) error {
	if err := e.Check(); err != nil {
		return err
	}
	if e.Line > len(l.lines) || e.Line > 0 && l.lines[e.Line-1].entry == nil {
		return fmt.Errorf("%s: line %d holds no session any more", l.name, e.Line)
	}
	if e.Line > 0 {
		end := lineEnd(l.lines[e.Line-1].text)
		l.lines[e.Line-1] = l.read(e.Line, e.String()+end)
		return nil
	}
	at, top := 0, true
	for i, x := range l.lines {
		top = top && x.day.IsZero()
		if top || !x.day.IsZero() && !x.day.After(e.Day) {
			at = i + 1 // comments at the top stay at the top
		}
	}
	end := "\n"
	if len(l.lines) > 0 && strings.HasSuffix(l.lines[0].text, "\r\n") {
		end = "\r\n"
	}
	if at > 0 && lineEnd(l.lines[at-1].text) == "" {
		l.lines[at-1].text += end
	}
	src := l.String()
	cut := 0
	for _, x := range l.lines[:at] {
		cut += len(x.text)
	}
	if cut == 0 && strings.HasPrefix(src, mark) {
		cut = len(mark)
	}
	*l = Parse(l.name, src[:cut]+e.String()+end+src[cut:])
	return nil
}

// mark is the byte order mark that some editors put at the top of a file.
const mark = "\ufeff"

func lineEnd(text string) string {
	for _, end := range []string{"\r\n", "\n"} {
		if strings.HasSuffix(text, end) {
			return end
		}
	}
	return ""
}
