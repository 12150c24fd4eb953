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
	_ "time/tzdata" // time zones are the same on every machine

	"github.com/spf13/pflag"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/report/weeks"
)

var blockCommand = command{
	name:    "block",
	args:    "[FLAGS] FOLDER|FILE...",
	summary: "add up weeks: volume, hard sessions, zones, trends",
	about: `Adds up all recordings in folders, files and archives, week by week: distance and
time by place; the hard sessions, taken apart into work, recovery, warm-up and
cool-down; time by heart rate and by pace; the quickest stretches; every workout
that was run more than once. Double recordings are counted once, pieces of one
session are joined. All recordings are taken to be of one runner.

With --plan it is held against a planned block, a text such as

  starts: 2026-09-07
  week 1: 45-50km
    tue: four-minutes-each-quicker
    thu: 2 x ( 5 x 400m off 200m jog ) off 800m jog

with the names of workouts in the library, or workouts written out. A FILE may
also be what "rungs split --format json --sums" wrote, on this or another machine.

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
		fs.BoolVar(&b.noCache, "no-cache", false, "read all files anew, and keep nothing")
		return func(e *env, args []string) int {
			if len(args) == 0 {
				return e.misuse("block: name a folder or a recording")
			}
			var status int
			if b.calendar, status = e.readZone("block", *zone); status != exitFine {
				return status
			}
			day, ok := block.ParseWeekday(*firstDay)
			if !ok {
				return e.misuse("block: --first-day: %q is no day of the week", *firstDay)
			}
			b.calendar.FirstDay = day
			b.env, b.format = e, format.value
			if b.athlete, status = e.loadAthlete(*athlete); status != exitFine {
				return status
			}
			return b.run(args)
		}
	},
}

// A blocker carries out one call of block.
type blocker struct {
	*env
	weeks.Telling
	calendar block.Calendar
	athlete  workouts.Athlete
	plan     string
	library  string
	noCache  bool
	format   string
}

// Reading makes much garbage and keeps little. It is collected seldom, which
// takes a fifth off the time, but before all memory comes to so many bytes, and
// so many more for each core at work.
const (
	memoryBase    = 32 << 20
	memoryPerCore = 8 << 20
)

// budgetMemory sets that up unless the user's environment says something else.
func budgetMemory() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(400)
		debug.SetMemoryLimit(memoryBase + memoryPerCore*int64(runtime.GOMAXPROCS(0)))
	}
}

func (b *blocker) run(paths []string) int {
	budgetMemory()
	entries, status := b.named()
	var plan *block.Plan
	if b.plan != "" {
		var found int
		if plan, found = b.readPlan(entries); plan == nil {
			return found
		}
	}
	for _, p := range paths {
		if p == "" {
			return b.complain(errNoName.Error())
		}
	}
	g := block.Gatherer{Cache: b.openCache(), Progress: progress(b.stderr), Stdin: b.stdinBytes}
	runs, errs := g.Gather(paths)
	for _, err := range errs {
		status = max(status, b.complainFully(err))
	}
	sessions, said := g.Merge(runs)
	b.sayCache(g.Cache)
	sums := block.New(sessions, runs, b.athlete, b.calendar)
	b.Warnings = said
	var name func(block.Session) string
	if len(entries) > 0 {
		name = block.Named(entries)
	}
	b.Trends = sums.Trends(name)
	if plan != nil {
		kept, err := plan.Against(sums)
		if err != nil {
			return b.complain(b.plan + ": " + err.Error())
		}
		b.Kept, b.PlanName = kept, plan.Name
	}
	return max(status, b.print(weeks.Report(sums, b.Telling), b.format))
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
	f, err := os.Open(b.plan)
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

func (b *blocker) stdinBytes() ([]byte, error) {
	in, err := b.takeStdin()
	if err != nil {
		return nil, err
	}
	return io.ReadAll(in)
}

// openCache opens the cache of sums; nil when there is no place for one, it is
// not wanted, or it cannot be used, which is said.
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
func programHash() (string, error) {
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
}
