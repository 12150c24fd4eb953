package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"golang.org/x/term"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/report"
)

// An env is the world as a command sees it.
type env struct {
	ctx            context.Context // done when the user interrupts
	stdin          io.Reader
	stdout, stderr io.Writer
	page           report.Page

	saving     sync.Mutex       // held while a file is being replaced
	ends       atomic.Bool      // the command ends by itself when the user interrupts
	unfinished string           // a new folder that is not whole yet; an interrupt removes it
	printed    bool             // a report is out, so the next one needs a space
	sheet      *report.Sheet    // the reports in CSV, which have one head
	bound      []*report.Report // the reports in HTML, which are one page
	stdinRead  bool
	asJSON     bool // mistakes in a plan are told as JSON, one to a line

	ownOnce  sync.Once
	ownKnown []segment.Known // workouts of the runner; see known

	unwritable bool           // standard output took no more; said once
	troubles   map[string]int // how often each kind was met
	kinds      []string       // in the order they were met
}

func newEnv(stdin io.Reader, stdout, stderr io.Writer) *env {
	return &env{ctx: context.Background(), stdin: stdin, stdout: stdout, stderr: stderr, page: pageOf(stdout)}
}

// pageOf decides, once, how wide and how plain the output is.
func pageOf(w io.Writer) report.Page {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return choosePage(false, 0, os.Getenv)
	}
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		columns = 0
	}
	return choosePage(true, columns, os.Getenv)
}

// choosePage makes the page of a terminal of so many columns, or of something that is not a
// terminal: the latter has no width and no style, and the same characters whatever the
// locale. COLUMNS, when set, is the width of either; NO_COLOR (https://no-color.org) and a
// dumb terminal take the style away.
func choosePage(terminal bool, columns int, getenv func(string) string) report.Page {
	p := report.Page{Columns: columns}
	if n, err := strconv.Atoi(getenv("COLUMNS")); err == nil && n > 0 {
		p.Columns = n
	}
	kind := getenv("TERM")
	p.Styled = terminal && getenv("NO_COLOR") == "" && kind != "" && kind != "dumb"
	p.ASCII = terminal && !showsBlocks(kind, getenv)
	return p
}

// showsBlocks tells whether a terminal shows block elements: where the first
// that is set of the three variables of POSIX says that characters are UTF-8,
// except on the Linux console, whose font lacks most of them. Windows sets none
// and is always written to in Unicode.
func showsBlocks(kind string, getenv func(string) string) bool {
	locale := cmp.Or(getenv("LC_ALL"), getenv("LC_CTYPE"), getenv("LANG"))
	if locale == "" && runtime.GOOS == "windows" {
		return true
	}
	locale = strings.ReplaceAll(strings.ToLower(locale), "-", "")
	return strings.Contains(locale, "utf8") && kind != "linux"
}

// write puts finished text on standard output.
func (e *env) write(s string) int {
	if e.unwritable {
		return exitTrouble
	}
	if _, err := io.WriteString(e.stdout, s); err != nil {
		e.unwritable = true
		return e.complain(fileTrouble("cannot write the output", err))
	}
	return exitFine
}

// print writes a report in one piece, reports in text apart from each other.
func (e *env) print(r *report.Report, format string) int {
	var b bytes.Buffer
	var err error
	switch format {
	case formatJSON:
		err = r.JSON(&b)
	case formatCSV: // all recordings in one table
		if e.sheet == nil {
			e.sheet = &report.Sheet{}
		}
		err = e.sheet.Add(r)
	case formatHTML: // all recordings on one page
		e.bound = append(e.bound, r)
	default:
		if e.printed {
			b.WriteByte('\n')
		}
		if format == formatMarkdown {
			err = r.Markdown(&b)
		} else {
			err = r.Text(&b, e.page)
		}
	}
	if err != nil {
		return e.complain("cannot lay out the report: " + err.Error())
	}
	e.printed = true
	return e.write(b.String())
}

// finish prints what could only be laid out when all reports were there.
func (e *env) finish() int {
	defer e.countTroubles()
	var b bytes.Buffer
	var err error
	switch {
	case e.sheet != nil:
		err = e.sheet.Write(&b)
	case e.bound != nil:
		err = report.HTML(&b, e.bound...)
	default:
		return exitFine
	}
	if err != nil {
		return e.complain("cannot lay out the report: " + err.Error())
	}
	return e.write(b.String())
}

// misuse answers wrong use with one line.
func (e *env) misuse(format string, args ...any) int {
	return e.complain(fmt.Sprintf(format, args...))
}

// complain writes one line of trouble, unless there were many of its kind.
func (e *env) complain(message string) int {
	message = report.Safe(brief(message, 2*longestLine)) // escapes make it longer
	if e.oneTooMany(message) {
		return exitTrouble
	}
	fmt.Fprintf(e.stderr, "rungs: %s\n", brief(message, longestLine-len("rungs: ")))
	return exitTrouble
}

// complainFully writes an error that may have several lines (diagnostics) or
// several parts (the files of an archive).
func (e *env) complainFully(err error) int {
	if parts, ok := err.(interface{ Unwrap() []error }); ok {
		for _, part := range parts.Unwrap() {
			e.complainFully(part)
		}
		return exitTrouble
	}
	var found workouts.Diagnostics
	if errors.As(err, &found) {
		if !e.asJSON {
			return e.complainLines(found[:min(len(found), mostOfKind)].Error())
		}
		lines := json.NewEncoder(e.stderr)
		lines.SetEscapeHTML(false)
		for _, d := range found {
			if err := lines.Encode(d); err != nil {
				return e.complain(err.Error())
			}
		}
		return exitTrouble
	}
	return e.complain(err.Error())
}

// complainLines writes a diagnosis of several lines, in which tabs matter.
func (e *env) complainLines(message string) int {
	for line := range strings.SplitSeq(message, "\n") {
		cells := strings.Split(line, "\t")
		for i := range cells {
			cells[i] = report.Safe(cells[i])
		}
		fmt.Fprintln(e.stderr, brief(strings.Join(cells, "\t"), longestLine))
	}
	return exitTrouble
}
