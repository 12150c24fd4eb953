package notation

import (
	"fmt"
	"strings"

	"example.org/rungs/workouts"
)

// Format rewrites a workout or a library file canonically: the header in its
// order, an item a line, comments kept. Comments within an item move above it;
// blank lines between items stay, one at a time. The name is that of the file,
// for messages; a non-nil error is Diagnostics.
//
// Formatting twice changes nothing, and the workout read is the same.
func Format(name, src string) (string, error) {
	p := parse(name, src)
	if len(p.diagnostics) > 0 {
		return "", p.diagnostics
	}
	f := formatter{source: p.source, comments: p.comments}
	f.header(p)
	for i, at := range p.places {
		last := i+1 == len(p.places) || p.places[i+1].first > at.last
		f.item(at, last)
	}
	f.commentsBefore(len(p.source) + 1)
	return f.out.String(), nil
}

type formatter struct {
	source   []string
	comments []comment // not yet written
	out      strings.Builder
	begun    bool // something stands below the header
}

// header writes the header with the comments above its lines.
func (f *formatter) header(p *parser) {
	texts := headerLines(p.workout)
	for _, key := range headerKeys {
		for _, at := range p.keys {
			if at.key != strings.TrimSuffix(key, "s") {
				continue
			}
			for _, c := range at.above {
				fmt.Fprintln(&f.out, c.text)
			}
		}
		for _, line := range texts {
			if strings.HasPrefix(line, key+":") {
				fmt.Fprintln(&f.out, line)
			}
		}
	}
	if f.out.Len() > 0 {
		f.out.WriteByte('\n')
	}
}

// line writes a line that stood at line n, with the blank line that was above
// it unless it is the first.
func (f *formatter) line(n int, text string) {
	if f.begun && n >= 2 && n-2 < len(f.source) && strings.TrimSpace(f.source[n-2]) == "" {
		f.out.WriteByte('\n')
	}
	f.begun = true
	fmt.Fprintln(&f.out, text)
}

// commentsBefore writes the comments above line n.
func (f *formatter) commentsBefore(n int) {
	for len(f.comments) > 0 && f.comments[0].line < n {
		f.line(f.comments[0].line, f.comments[0].text)
		f.comments = f.comments[1:]
	}
}

// item writes an item; when it is the last that ends on its line, the comment
// behind it stays there.
func (f *formatter) item(at place, lastOnLine bool) {
	// Comments within the item go above it.
	f.commentsBefore(at.last)
	texts := itemTexts(workouts.Workout{Items: []workouts.Item{at.item}})
	for i, text := range texts {
		if i == len(texts)-1 && lastOnLine && len(f.comments) > 0 && f.comments[0].line == at.last {
			text += "  " + f.comments[0].text
			f.comments = f.comments[1:]
		}
		if i == 0 {
			f.line(at.first, text)
		} else {
			fmt.Fprintln(&f.out, text)
		}
	}
}
