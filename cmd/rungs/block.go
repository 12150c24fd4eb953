package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"time"
	_ "time/tzdata" // time zones are the same on every machine

	"github.com/spf13/pflag"

	"example.org/rungs/segment/input"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/report/weeks"
)

var blockCommand = command{
	name:    "block",
	args:    "[FLAGS] [FOLDER|FILE...]",
	summary: "add up weeks: volume, hard sessions, zones, trends",
	about: `Adds up all recordings in folders, files and archives, week by week: distance and
time by place; the hard sessions, taken apart into work, recovery, warm-up and
cool-down; time by heart rate and by pace; the quickest stretches; every workout
that was run more than once. Double recordings are counted once, pieces of one
session are joined. All recordings are taken to be of one runner.

With --plan it is held against a planned block, a text such as

  starts: 2026-09-07
  week 1: 45-50km
    mon: rest
    tue: four-minutes-each-quicker
    tue: 30:00 easy
    thu: 2 x ( 5 x 400m off 200m jog ) off 800m jog
  2026-09-12: 8km easy

with the names of workouts in the library, or workouts written out; a date changes
what its day had. Easy running counts as planned within 15 %, in one run or several; a
session moved by up to three days is the same one; it is missed once its day is over. A FILE may
also be what "rungs split --format json --sums" wrote, on this or another machine.

` + trainingText + `

` + block.HardRule + `

Sums are kept in the user's cache folder (rungs/block), by the content of the
files; it may be deleted at any time.

The exit status is 0 when all files could be read, 2 when one could not.`,
	example: "rungs block --time-zone Europe/Berlin runs/",
	setup: func(fs *pflag.FlagSet) body {
		var b blocker
		athlete := athleteFlag(fs)
		format := formatFlag(fs, formatHTML)
		zone := zoneFlag(fs)
		firstDay := fs.String("first-day", "monday", "the `DAY` that weeks begin on")
		fs.StringVarP(&b.plan, "plan", "p", "", "hold the weeks against the planned block in this `FILE`")
		fs.StringVarP(&b.library, "library", "l", "", "the `FOLDER` of the library, for the names of workouts")
		runners := fs.Bool("runners", false, "a row each for several runners: each folder in a FOLDER is one's, with an athlete file,\na log and a planned block of its own")
		days := spanFlag(fs)
		fs.StringVar(&b.pages, "pages", "", "with --format html: write the block and a page for each session into this `FOLDER`;\nwith --runners a page of all, and a folder of pages each")
		fs.BoolVar(&b.noCache, "no-cache", false, "read all files anew, and keep nothing")
		return func(e *env, args []string) int {
			if fs.Changed("pages") && (format.value != formatHTML || b.pages == "") {
				return e.misuse("block: --pages names a folder for --format %s", formatHTML)
			}
			var status, found int
			switch {
			case *runners && len(args) == 0:
				return e.misuse("block: --runners needs the folder that holds the runners' folders")
			case *runners && (b.plan != "" || *athlete != ""):
				return e.misuse("block: with --runners each runner's plan and athlete file are in the runner's folder, as %s and %s", folder.Plan, folder.Athlete)
			case *runners: // whose folders have logs of their own
			default:
				b.training, status = e.findTraining()
			}
			if len(args) == 0 && b.training == nil {
				return e.misuse("block: name a folder or a recording")
			}
			b.all = len(args) == 0
			if b.calendar, found = e.readZone("block", *zone); found != exitFine {
				return found
			}
			day, ok := block.ParseWeekday(*firstDay)
			if !ok {
				return e.misuse("block: --first-day: %q is no day of the week", *firstDay)
			}
			b.calendar.FirstDay = day
			b.env, b.format = e, format.value
			var err error
			if b.span, err = days.of(b.calendar, now()); err != nil {
				return e.misuse("block: %v", err)
			}
			if *runners {
				return b.runners(args)
			}
			if b.athlete, found = e.loadAthlete(*athlete); found != exitFine {
				return found
			}
			return max(status, b.run(b.training.paths(args)))
		}
	},
}

// A blocker carries out one call of block.
type blocker struct {
	*env
	weeks.Telling
	calendar block.Calendar
	athlete  athlete.Athlete
	span     span
	training *training // nil without a training folder
	all      bool      // the whole training folder is read
	plan     string
	library  string
	noCache  bool
	format   string
	pages    string // a folder; empty for a page alone
}

// Reading makes much garbage and keeps little. Collecting it seldom saves a fifth of the
// time; it is collected before the memory in use reaches this many bytes, and this many more
// for each core at work.
const (
	memoryBase    = 32 << 20
	memoryPerCore = 8 << 20
)

// softMemory is the memory, in bytes, at which garbage is collected at once instead of when
// the heap has doubled: input that is refused in the end must not cost 150 MB.
const softMemory = 80 << 20

// boundMemory sets this limit for all commands, unless the user's environment sets another.
func boundMemory() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(softMemory)
	}
}

// budgetMemory sets the limit for reading, unless the user's environment sets another.
func budgetMemory() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(400)
		debug.SetMemoryLimit(memoryBase + memoryPerCore*int64(runtime.GOMAXPROCS(0)))
	}
}

func (b *blocker) run(paths []string) int {
	sums, entries, status := b.add(paths, b.span.holds)
	if sums == nil {
		return status
	}
	return max(status, b.tell(sums, entries))
}

// tell writes the block, or its pages.
func (b *blocker) tell(sums *block.Block, entries []library.Entry) int {
	var name func(block.Session) string
	if len(entries) > 0 {
		name = block.Named(entries)
	}
	b.Trends, b.Page = sums.Trends(name), b.format == formatHTML
	if b.pages != "" {
		return b.writePages(sums)
	}
	return b.print(weeks.Report(sums, b.Telling), b.format)
}

// add reads recordings and adds up the sessions of the days that are wanted (nil is all), held
// against the planned block when there is one; nil when that cannot be done, which
// is said.
//
// Branches: each step of the reading may be asked for or not.
func (b *blocker) add(paths []string, wanted func(day time.Time) bool) (*block.Block, []library.Entry, int) {
	budgetMemory()
	entries, status := b.named()
	var plan *block.Plan
	if b.plan == "" && b.training != nil && b.all {
		b.plan = b.training.PlanPath()
	}
	if b.plan != "" {
		var found int
		if plan, found = b.readPlan(entries); plan == nil {
			return nil, nil, found
		}
	}
	for _, p := range paths {
		if p == "" {
			return nil, nil, b.complain(errNoName.Error())
		}
	}
	g := block.Gatherer{Cache: b.openCache(), Progress: progress(b.stderr), Stdin: b.takeStdin, Known: own(b.training)}
	runs, errs := g.Gather(b.ctx, paths)
	if b.ctx.Err() != nil { // which needs no words
		return nil, nil, exitInterrupted
	}
	for _, err := range errs {
		if b.all && len(runs) == 0 && len(errs) == 1 && errors.Is(err, recording.ErrNoRecords) {
			continue // a training folder may be new
		}
		status = max(status, b.complainFully(err))
	}
	sessions, said := g.Merge(runs)
	if b.training != nil {
		var more []recording.Warning
		var lines workouts.Diagnostics
		sessions, more, lines = g.Obey(sessions, b.training.log, b.calendar)
		said = append(said, more...)
		if len(lines) > 0 && b.all { // of other paths, most lines mean sessions that are not there
			b.complainFully(lines)
		}
	}
	b.sayCache(g.Cache)
	inSpan, recordings := sessions, runs
	some := wanted != nil && !b.span.whole() // days only
	if some {
		holds := func(r block.Run) bool { return r.Start.IsZero() || wanted(b.calendar.Day(r.Start)) }
		inSpan, recordings = only(sessions, holds), only(runs, holds)
	}
	sums := block.New(inSpan, recordings, b.athlete, b.calendar)
	b.Warnings = said
	if some {
		for _, s := range sessions {
			if day := b.calendar.Day(s.Start); !s.Start.IsZero() && day.After(b.Last) {
				b.Last = day
			}
		}
	}
	if plan != nil {
		whole := sums // sessions just outside of the days that are wanted may be moved ones
		if some {
			whole = block.New(sessions, runs, b.athlete, b.calendar)
		}
		kept, err := plan.Against(whole, b.span.today)
		if err != nil {
			return nil, nil, b.complain(b.plan + ": " + err.Error())
		}
		b.PlanName = plan.Name
		for _, k := range kept {
			if b.span.touches(k.Start) {
				b.Kept = append(b.Kept, k)
			}
		}
	}
	return sums, entries, status
}

// only keeps the runs that are wanted.
func only(runs []block.Run, wanted func(block.Run) bool) (out []block.Run) {
	for _, r := range runs {
		if wanted(r) {
			out = append(out, r)
		}
	}
	return out
}

// named lists the workouts of the library. It may be missing unless it was asked for.
func (b *blocker) named() ([]library.Entry, int) {
	l, err := library.Locate(b.library, os.Getenv)
	if err != nil {
		return nil, exitFine
	}
	entries, damaged, err := l.List()
	status := exitFine
	switch {
	case errors.Is(err, fs.ErrNotExist) && b.library == "":
		return nil, exitFine
	case err != nil:
		return nil, b.complain("library: " + fileTrouble(l.Folder, err))
	}
	for _, d := range damaged {
		status = max(status, b.complainFully(d))
	}
	return entries, status
}

// readPlan reads the planned block; nil, and the status, when it cannot be.
func (b *blocker) readPlan(entries []library.Entry) (*block.Plan, int) {
	f, err := input.Open(b.plan, workouts.MaxBytes)
	if err != nil {
		return nil, b.complain(fileTrouble(b.plan, err))
	}
	defer f.Close()
	src, err := readText(f, b.plan)
	if err != nil {
		return nil, b.complain(err.Error())
	}
	plan, err := block.ParsePlan(b.plan, src)
	if err == nil {
		err = plan.Resolve(b.plan, src, entries)
	}
	if err != nil {
		return nil, b.complainFully(err)
	}
	return &plan, exitFine
}

// openCache opens the cache of sums. It is nil when there is no place for one, when it is not
// wanted, and when it cannot be used, which is reported.
func (b *blocker) openCache() *block.Cache {
	if b.noCache {
		return nil
	}
	place, err := os.UserCacheDir()
	if err != nil {
		return nil
	}
	program, err := programHash()
	if err != nil {
		return nil
	}
	folder := filepath.Join(place, "rungs", "block")
	c, err := block.OpenCache(folder, program)
	if err != nil {
		b.complain("going on without the cache: " + fileTrouble(folder, err))
		return nil
	}
	return c
}

// sayCache says what went wrong with the cache. It does not change a result.
func (b *blocker) sayCache(c *block.Cache) {
	if n := c.Damaged(); n > 0 {
		b.complain(fmt.Sprintf("the cache had %d damaged entries, which were made anew (%s)", n, c.Folder()))
	}
	if err := c.Failed(); err != nil {
		b.complain("the cache could not be written: " + fileTrouble(c.Folder(), err))
	}
}

// programHash names this very program: sums of another may differ.
var programHash = sync.OnceValues(func() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
})
