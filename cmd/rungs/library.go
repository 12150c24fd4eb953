package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/report/shelf"
)

var libraryCommand = command{
	name:    "library",
	args:    "COMMAND [FLAGS] [ARGUMENTS]",
	summary: "keep workouts, recognise them in recordings, compare over time",
	about: `Keeps a library of workouts: a folder of text files, one workout each, named
NAME.plan. Its commands:

` + libraryOverview() + `
"rungs library COMMAND --help" says more about each. The folder is the one that
--library names, else $` + library.Variable + `, else rungs/library among the user's data.` + "\n\n" + ownText,
	example: "rungs library match tuesday.fit",
	setup: func(fs *pflag.FlagSet) body {
		fs.SetInterspersed(false) // flags behind the command are the command's
		return func(e *env, args []string) int {
			if len(args) == 0 {
				return e.misuse("library: say what to do: %s", list(libraryNames()))
			}
			c, ok := libraryCommandNamed(args[0])
			if !ok {
				return e.misuse("library: unknown command %q%s", args[0], cmp.Or(didYouMean(args[0], libraryNames()), "; it is one of "+list(libraryNames())))
			}
			fs := newFlagSet(c.name)
			body := c.setup(fs)
			if err := fs.Parse(args[1:]); err != nil {
				return e.misflagged(c, fs, err)
			}
			return body(e, fs.Args())
		}
	},
}

// libraryCommands is the table of what follows "rungs library".
func libraryCommands() []command {
	return []command{
		libraryList, libraryShow, libraryAdd, libraryRename, libraryRemove, libraryCheck,
		libraryMatch, libraryHistory, libraryShelf, libraryTake, libraryExport,
	}
}

func libraryCommandNamed(name string) (command, bool) {
	for _, c := range libraryCommands() {
		if c.name == "library "+name {
			return c, true
		}
	}
	return command{}, false
}

func libraryNames() []string {
	var names []string
	for _, c := range libraryCommands() {
		names = append(names, strings.TrimPrefix(c.name, "library "))
	}
	return names
}

func libraryOverview() string {
	var b strings.Builder
	for _, c := range libraryCommands() {
		fmt.Fprintf(&b, "  %-9s %s\n", strings.TrimPrefix(c.name, "library "), c.summary)
	}
	return b.String()
}

func libraryFlag(fs *pflag.FlagSet) *string {
	return fs.StringP("library", "l", "", "the `FOLDER` of the library")
}

// openLibrary finds the library. Trouble is said already when the status is
// not exitFine.
func (e *env) openLibrary(folder string) (library.Library, int) {
	l, err := library.Locate(folder, os.Getenv)
	if err != nil {
		return l, e.complain("library: " + err.Error())
	}
	return l, exitFine
}

// entries lists a library, damaged files said and remembered in the status.
func (e *env) entries(folder string) ([]library.Entry, int) {
	l, status := e.openLibrary(folder)
	if status != exitFine {
		return nil, status
	}
	entries, damaged, err := l.List()
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, e.complain(l.Folder + ": there is no library yet; rungs library add makes one, rungs library take --all begins with the shelf")
	case err != nil:
		return nil, e.complain(fileTrouble(l.Folder, err))
	}
	for _, d := range damaged {
		status = e.complainFully(d)
	}
	return entries, status
}

var libraryList = command{
	name:    "library list",
	args:    "[FLAGS]",
	summary: "list workouts, all or those that are wanted",
	about: `Lists the workouts of the library, or those with all the tags, of the kind, and
of the lengths asked for. A RANGE is one length (400m, 3:00), give or take 2 %,
or two with a hyphen between, of which one may be missing (20:00-40:00, 1km-).
Kinds are ` + list(kindNames()) + `.`,
	example: "rungs library list --kind sets --rep 400m",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		query := queryFlags(fs)
		athlete := athleteFlag(fs)
		format := formatFlag(fs)
		return func(e *env, args []string) int {
			if len(args) > 0 {
				return e.misuse("library list: takes no arguments; show prints one workout")
			}
			q, err := query()
			if err != nil {
				return e.misuse("library list: %v", err)
			}
			a, status := e.loadAthlete(*athlete)
			if status != exitFine {
				return status
			}
			entries, status := e.entries(*folder)
			if entries == nil && status != exitFine {
				return status
			}
			l, _ := library.Locate(*folder, os.Getenv)
			return max(status, e.print(shelf.Listing(l.Folder, library.Search(entries, q, a), a), format.value))
		}
	},
}

func kindNames() []string {
	var names []string
	for _, k := range likeness.Kinds {
		names = append(names, string(k))
	}
	return names
}

// queryFlags declares the flags that say which workouts are wanted.
func queryFlags(fs *pflag.FlagSet) func() (library.Query, error) {
	tags := fs.StringArrayP("tag", "t", nil, "with this `TAG`; may be given again")
	kind := fs.StringP("kind", "k", "", "of this `KIND`")
	worked := fs.String("work", "", "with so much work in all: a `RANGE` of time or distance")
	rep := fs.String("rep", "", "with a rep of such a length: a `RANGE` of time or distance")
	return func() (q library.Query, err error) {
		q.Tags, q.Kind = *tags, likeness.Kind(*kind)
		if *kind != "" && !slices.Contains(kindNames(), *kind) {
			return q, fmt.Errorf("--kind is one of %s, not %q%s", list(kindNames()), *kind, didYouMean(*kind, kindNames()))
		}
		for _, r := range []struct {
			text string
			into *library.Range
		}{{*worked, &q.Work}, {*rep, &q.Rep}} {
			if r.text != "" {
				if *r.into, err = library.ParseRange(r.text); err != nil {
					return q, err
				}
			}
		}
		return q, nil
	}
}

var libraryShow = command{
	name:    "library show",
	args:    "[FLAGS] NAME...",
	summary: "print workouts as they are written",
	about:   "Prints the files of workouts as they stand.",
	example: "rungs library show three-minute-reps",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		return func(e *env, args []string) int {
			if len(args) == 0 {
				return e.misuse("library show: name at least one workout")
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			for _, name := range args {
				entry, err := l.Get(name)
				if err != nil {
					status = e.complainFully(err)
					continue
				}
				status = max(status, e.write(printable(entry.Text)))
			}
			return status
		}
	},
}

// printable is a text without characters that would upset a terminal.
func printable(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = workouts.PrintableLine(strings.TrimSuffix(lines[i], "\r"))
	}
	return strings.Join(lines, "\n")
}

// complainChange says why a library could not be changed, the system's reasons
// without the names of system calls.
func (e *env) complainChange(l library.Library, err error) int {
	var pathErr *fs.PathError
	var linkErr *os.LinkError
	if errors.As(err, &pathErr) || errors.As(err, &linkErr) {
		return e.complain(fileTrouble(l.Folder, err))
	}
	return e.complainFully(err)
}

var libraryRename = command{
	name:    "library rename",
	args:    "[FLAGS] NAME NEW-NAME",
	summary: "give a workout another name",
	about:   "Gives a workout another name. A workout that has the new name already stays unless\n--replace is given.",
	example: "rungs library rename tuesday four-minutes-each-quicker",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		replace := fs.Bool("replace", false, "replace the workout that has the new name")
		return func(e *env, args []string) int {
			if len(args) != 2 {
				return e.misuse("library rename: give the name it has and the name it is to have")
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			e.saving.Lock()
			err := l.Rename(args[0], args[1], *replace)
			e.saving.Unlock()
			switch {
			case errors.Is(err, library.ErrTaken):
				return e.complain(err.Error() + "; --replace replaces it")
			case err != nil:
				return e.complainChange(l, err)
			}
			return e.write(fmt.Sprintf("renamed %s to %s\n", args[0], args[1]))
		}
	},
}

var libraryRemove = command{
	name:    "library remove",
	args:    "[FLAGS] NAME...",
	summary: "remove workouts",
	about: `Removes workouts, all of those named or, when one is unknown, none. What they
were is printed, so that it can be added again.`,
	example: "rungs library remove tuesday",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		return func(e *env, args []string) int {
			if len(args) == 0 {
				return e.misuse("library remove: name at least one workout")
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			e.saving.Lock()
			texts, err := l.Remove(args...)
			e.saving.Unlock()
			for i, text := range texts {
				status = max(status, e.write("# removed "+args[i]+"\n"+printable(text)))
			}
			if err != nil {
				return e.complainChange(l, err)
			}
			return status
		}
	},
}

var libraryCheck = command{
	name:    "library check",
	args:    "[FLAGS]",
	summary: "read every file and say what is wrong",
	about: `Reads every file of the library and says what is wrong with it: mistakes in the
notation with their places, and file names that are no names.

The exit status is 0 when all is well, 1 when something is wrong.`,
	example: "rungs library check",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		return func(e *env, args []string) int {
			if len(args) > 0 {
				return e.misuse("library check: takes no arguments")
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			n, found, err := l.Check()
			if err != nil {
				return e.complain(fileTrouble(l.Folder, err))
			}
			if len(found) == 0 {
				return e.write(fmt.Sprintf("%s: %s, all well\n", l.Folder, figures.Plural(n, "workout")))
			}
			for _, problem := range found {
				e.complainFully(problem)
			}
			return exitNo
		}
	},
}

var libraryExport = command{
	name:    "library export",
	args:    "[FLAGS] NAME FILE",
	summary: "write a workout as a FIT workout file for a watch",
	about: `Writes a workout as a FIT workout file. What steps of that format cannot say is
said on standard error; it stands in the notes of the steps, and "library add"
reads it back. FILE may be "-" for standard output. A file that is there already
stays unless --replace is given.`,
	example: "rungs library export three-minute-reps three-minute-reps.fit",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		athlete := athleteFlag(fs)
		replace := fs.Bool("replace", false, "replace the file")
		return func(e *env, args []string) int {
			if len(args) != 2 {
				return e.misuse("library export: give a workout's name and a file")
			}
			a, status := e.loadAthlete(*athlete)
			if status != exitFine {
				return status
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			entry, err := l.Get(args[0])
			if err != nil {
				return e.complainFully(err)
			}
			return e.export(entry, a, args[1], *replace)
		}
	},
}

// export writes a workout as a FIT workout file.
func (e *env) export(entry library.Entry, a athlete.Athlete, file string, replace bool) int {
	w, warnings := a.Resolve(entry.Workout)
	if w.Name == "" {
		w.Name = entry.Name
	}
	var b bytes.Buffer
	lost, err := fitfile.Write(&b, w)
	if err != nil {
		return e.complain(entry.Name + ": " + err.Error())
	}
	for _, x := range warnings {
		lost = append(lost, x.Message)
	}
	for _, x := range lost {
		e.complain(entry.Name + ": " + x)
	}
	if file == stdinName {
		return e.write(b.String())
	}
	e.saving.Lock()
	err = library.WriteFile(file, b.Bytes(), replace)
	e.saving.Unlock()
	switch {
	case errors.Is(err, fs.ErrExist):
		return e.complain(file + ": it is there already; --replace replaces it")
	case err != nil:
		return e.complain(fileTrouble(file, err))
	}
	return exitFine
}
