package main

import (
	"bytes"
	"errors"
	"os"

	"github.com/rogpeppe/go-internal/diff"
	"github.com/spf13/pflag"

	"example.org/rungs/workouts/notation"
)

var fmtCommand = command{
	name:    "fmt",
	args:    "[-w | -d] FILE...",
	summary: "write plans in the canonical way",
	about: `Prints each plan in the canonical notation, comments kept. With -w the files
themselves are rewritten, each whole or not at all; with -d the differences
are printed, and the exit status is 1 when there are any.`,
	example: "rungs fmt -w plans/*.plan",
	setup: func(fs *pflag.FlagSet) body {
		write := fs.BoolP("write", "w", false, "rewrite the files that differ")
		differences := fs.BoolP("diff", "d", false, "print what would change")
		return func(e *env, args []string) int {
			switch {
			case len(args) == 0:
				return e.misuse("fmt: name at least one plan")
			case *write && *differences:
				return e.misuse("fmt: -w and -d exclude each other")
			}
			status := exitFine
			for _, file := range args {
				status = max(status, e.formatFile(file, *write, *differences))
			}
			return status
		}
	},
}

// formatFile prints, rewrites or compares one plan file.
func (e *env) formatFile(file string, write, differences bool) int {
	if write && file == stdinName {
		return e.misuse("fmt: standard input cannot be rewritten; leave -w out")
	}
	src, err := e.planFile(file)
	if err != nil {
		return e.complain(err.Error())
	}
	if binary(src) {
		return e.complain(file + ": is no text; fmt rewrites plans in the notation")
	}
	formatted, err := notation.Format(file, src)
	if err != nil {
		return e.complainFully(err)
	}
	switch {
	case differences:
		// Diff ends every line it prints, so the names cannot run on.
		if d := diff.Diff(file, []byte(src), file+" (canonical)", []byte(formatted)); len(d) > 0 {
			return max(exitNo, e.write(string(bytes.TrimPrefix(d, firstLine(d)))))
		}
		return exitFine
	case !write:
		return e.write(formatted)
	case formatted == src:
		return exitFine
	}
	if err := e.save(file, []byte(formatted)); err != nil {
		return e.complain(fileTrouble(file, err))
	}
	return exitFine
}

// firstLine is the "diff a b" line, which names commands that nobody ran.
func firstLine(d []byte) []byte { return d[:bytes.IndexByte(d, '\n')+1] }

// planFile reads a plan that must be a file or standard input.
func (e *env) planFile(file string) (string, error) {
	if file != stdinName {
		if _, err := os.Stat(file); err != nil {
			return "", errors.New(fileTrouble(file, err))
		}
	}
	_, src, err := e.planText(file)
	return src, err
}
