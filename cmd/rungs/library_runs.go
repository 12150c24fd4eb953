package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"

	"github.com/spf13/pflag"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/report/shelf"
)

var libraryMatch = command{
	name:    "library match",
	args:    "[FLAGS] FILE...",
	summary: "say which workout was run in a recording",
	about: `Ranks the workouts of the library for each recording: how much of the reps,
recoveries and ends of the two corresponds, in amount and in order. Targets do
not count. When nothing is like enough it says "none of these".

The exit status is 0 when each recording has one clear match, 1 when one has
none or several.`,
	example: "rungs library match tuesday.fit",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		top := fs.IntP("top", "n", 5, "how `MANY` of the workouts to print")
		fromShelf := fs.Bool("shelf", false, "compare with the shelf of starters instead of the library")
		format := formatFlag(fs)
		return func(e *env, args []string) int {
			switch {
			case len(args) == 0:
				return e.misuse("library match: name at least one recording")
			case *top < 1:
				return e.misuse("library match: --top is 1 or more")
			}
			entries, status := library.Shelf(), exitFine
			if !*fromShelf {
				if entries, status = e.entries(*folder); entries == nil && status != exitFine {
					return status
				}
			}
			return max(status, e.eachSession(args, func(s *segment.Session) int {
				r, err := library.Recognise(entries, s)
				if err != nil {
					return e.complain(s.Recording.Name + ": " + err.Error())
				}
				status := e.print(shelf.Recognition(r, s, *top), format.value)
				if status == exitFine && len(r.Fitting()) != 1 {
					return exitNo
				}
				return status
			}))
		}
	},
}

var libraryHistory = command{
	name:    "library history",
	args:    "[FLAGS] NAME [FOLDER|FILE...]",
	summary: "tell how a workout went, every time it was run",
	about: `Finds every recording in which a workout of the library was run, and tells how it
went: pace over the reps, drift from the target, whether the reps got quicker,
heart rate at equal pace, recoveries, and the difference from the last time in
the same kind of place. Folders are searched with all that is in them; in a training
folder, that is the one searched, and corrections of its log are obeyed.

The exit status is 1 when the workout was never run.`,
	example: "rungs library history four-minutes-each-quicker recordings/",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		odometer := fs.Float64("odometer", library.OdometerPct, "by how many `PERCENT` the odometer differs from run to run")
		beside := fs.Bool("side-by-side", false, "lay the last four runs side by side, rep by rep")
		noCache := fs.Bool("no-cache", false, "read all files anew, and keep nothing")
		athlete := athleteFlag(fs)
		format := formatFlag(fs, formatHTML)
		zone := zoneFlag(fs)
		return func(e *env, args []string) int {
			training, wrong := e.findTraining()
			calendar, status := e.readZone("library history", *zone)
			if status != exitFine {
				return status
			}
			switch {
			case len(args) < 1 || len(args) < 2 && training == nil:
				return e.misuse("library history: give a workout's name and where the recordings are")
			case !(*odometer >= 0 && *odometer <= 20):
				return e.misuse("library history: --odometer is a percentage from 0 to 20, not %v", *odometer)
			}
			a, status := e.loadAthlete(*athlete)
			if status != exitFine {
				return status
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			of, err := l.Get(args[0])
			if err != nil {
				return e.complainFully(err)
			}
			all, _ := e.entries(*folder)
			h := library.NewHistorian(of, all, a, *odometer)
			status = max(wrong, e.past(training.paths(args[1:]), h, training, calendar, a, *noCache))
			history := h.History()
			r := shelf.History(history, a.Miles)
			if *beside {
				shelf.SideBySide(r, history, a.Miles)
			}
			status = max(status, e.print(r, format.value))
			if status == exitFine && len(history.Runs) == 0 {
				return exitNo
			}
			return status
		}
	},
}

// past adds recordings to the history of a workout; what cannot be read is said. Standard
// input, which cannot be read twice, is split at once.
func (e *env) past(paths []string, h *library.Historian, t *training, c block.Calendar, a athlete.Athlete, noCache bool) int {
	budgetMemory()
	var files []string
	status := exitFine
	for _, p := range paths {
		if p != "" && p != stdinName {
			files = append(files, p)
			continue
		}
		status = max(status, e.eachSession([]string{p}, func(s *segment.Session) int {
			if t.leavesOut(s, c) {
				return exitFine
			}
			s = t.plain(s, c)
			a.Calibrate(s)
			if _, err := h.Add(t.obey(s, c)); err != nil && !errors.Is(err, library.ErrNoSpeed) {
				return e.complain(s.Recording.Name + ": " + err.Error())
			}
			return exitFine
		}))
	}
	b := blocker{env: e, noCache: noCache}
	g := block.Gatherer{Cache: b.openCache(), Progress: progress(e.stderr), Known: e.known()}
	runs, errs := g.Gather(e.ctx, files)
	var said log.Log
	if t != nil {
		said = t.log
	}
	errs = append(errs, g.Past(e.ctx, h, block.Past{Runs: runs, Log: said, Calendar: c, Calibrate: a.Calibrate})...)
	if e.ctx.Err() != nil {
		return exitInterrupted
	}
	for _, err := range errs {
		status = max(status, e.complainFully(err))
	}
	b.sayCache(g.Cache)
	return status
}

var libraryShelf = command{
	name:    "library shelf",
	args:    "[FLAGS] [STARTER...]",
	summary: "look at the starters: classic sessions to take from",
	about: `Lists the shelf of starters, or prints some of them as they are written. "library
take" copies them into the library.

` + wrapped(library.Caution),
	example: "rungs library shelf --kind ladder",
	setup: func(fs *pflag.FlagSet) body {
		query := queryFlags(fs)
		athlete := athleteFlag(fs)
		format := formatFlag(fs)
		return func(e *env, args []string) int {
			q, err := query()
			if err != nil {
				return e.misuse("library shelf: %v", err)
			}
			a, status := e.loadAthlete(*athlete)
			if status != exitFine {
				return status
			}
			if len(args) == 0 {
				r := shelf.Listing("the shelf", library.Search(library.Shelf(), q, a), a)
				r.Lead = []string{library.Caution}
				return e.print(r, format.value)
			}
			chosen, status := e.fromShelf("library shelf", args)
			for _, entry := range chosen {
				e.write(entry.Text)
			}
			return status
		}
	},
}

// fromShelf finds starters by name.
func (e *env) fromShelf(command string, names []string) (chosen []library.Entry, status int) {
	shelf := library.Shelf()
	var known []string
	for _, entry := range shelf {
		known = append(known, entry.Name)
	}
	for _, name := range names {
		i := slices.Index(known, name)
		if i < 0 {
			status = e.misuse("%s: no starter is called %q%s", command, name, didYouMean(name, known))
			continue
		}
		chosen = append(chosen, shelf[i])
	}
	return chosen, status
}

var libraryTake = command{
	name:    "library take",
	args:    "[FLAGS] STARTER...",
	summary: "copy starters from the shelf into the library",
	about:   "Copies starters from the shelf into the library. Workouts that are there already\nstay unless --replace is given.",
	example: "rungs library take three-minute-reps tempo-twenty",
	setup: func(fs *pflag.FlagSet) body {
		folder := libraryFlag(fs)
		all := fs.Bool("all", false, "all of them")
		replace := fs.Bool("replace", false, "replace workouts that have the names")
		return func(e *env, args []string) int {
			if (len(args) == 0) != *all {
				return e.misuse("library take: name the starters, or say --all")
			}
			l, status := e.openLibrary(*folder)
			if status != exitFine {
				return status
			}
			chosen := library.Shelf()
			if !*all {
				if chosen, status = e.fromShelf("library take", args); status != exitFine {
					return status
				}
			}
			for _, entry := range chosen {
				status = max(status, e.addTo(l, entry.Name, entry.Text, *replace, false))
			}
			return status
		}
	},
}

// recognised finds the plan for a session that has none: the one clear match
// of the library.
func (c checker) recognised(s *segment.Session) (*plan, error) {
	entries, damaged, err := c.library.List()
	if err != nil || len(entries) == 0 {
		return nil, errors.New("no plan in it; give one with --plan")
	}
	r, err := library.Recognise(entries, s)
	if err != nil {
		return nil, err
	}
	if r.ByHeart {
		return nil, library.ErrNoSpeed
	}
	fitting := r.Fitting()
	switch len(fitting) {
	case 0:
		return nil, errors.New("no plan in it, and nothing like it in the library; give one with --plan")
	case 1:
	default:
		var names []string
		for _, x := range fitting {
			names = append(names, x.Entry.Name)
		}
		return nil, fmt.Errorf("no plan in it, and it may be any of %s of the library; name one with --plan", list(names))
	}
	best := fitting[0]
	p := &plan{workout: best.Entry.Workout}
	p.warn("plan-recognised", "no plan was given or recorded; it is held against %s of the library, which is %.0f %% alike",
		best.Entry.Name, 100*best.Likeness)
	if len(damaged) > 0 {
		p.warn("library-damaged", "%s of the library could not be read and left out; rungs library check says why", figures.Plural(len(damaged), "file"))
	}
	return p, nil
}

func (p *plan) warn(code, format string, args ...any) {
	p.warnings = append(p.warnings, recording.Warning{
		Code: code, Message: fmt.Sprintf(format, args...), StartS: math.NaN(), EndS: math.NaN()})
}

// readCheckPlan is readPlan, but it knows the names of the library as well. A file comes
// before a workout of the same name.
func (e *env) readCheckPlan(folder, arg string) (*plan, int) {
	if _, err := os.Stat(arg); err != nil && library.CheckName(arg) == nil {
		if l, err := library.Locate(folder, os.Getenv); err == nil {
			if entry, err := l.Get(arg); err == nil {
				return &plan{workout: entry.Workout}, exitFine
			}
		}
	}
	return e.readPlan(arg)
}
