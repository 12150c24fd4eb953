package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/report/listing"
	"example.org/rungs/workouts/report/weeks"
)

var logCommand = command{
	name:    "log",
	args:    "[FLAGS] [FOLDER|FILE...]",
	summary: "list sessions, tell weeks in words, write notes",
	about: `Lists the sessions of the last four weeks, or of the days asked for, oldest first:
date, title, distance, time, place, hard or not and why, work, what it was, what the
planned block says of it, effort. Below stands each week in words.

What you say of a session stands in the log, ` + folder.Log + `, a line a session
that you may also write by hand (workouts/log/LOG.md tells how):

  2026-09-08 hard; effort 7; title Tuesday on the track; note legs heavy
  2026-09-10 18:10 was 6 x 800m off 400m jog

A correction (was) is obeyed by split, check and block: the recording is read again as
that, and where its speed speaks against it, that is said. These write lines:

` + logOverview() + `
` + trainingText + `

` + block.HardRule + `

The exit status is 0 when all files and lines could be read, 2 when one could not.`,
	example: "rungs log --week 2026-W37",
	setup: func(fs *pflag.FlagSet) body {
		var b blocker
		fs.SetInterspersed(false) // flags behind a command are the command's
		athlete := athleteFlag(fs)
		format := formatFlag(fs, formatHTML)
		zone := zoneFlag(fs)
		firstDay := fs.String("first-day", "monday", "the `DAY` that weeks begin on")
		days := spanFlag(fs)
		fs.StringVarP(&b.plan, "plan", "p", "", "hold the sessions against the planned block in this `FILE`")
		fs.StringVarP(&b.library, "library", "l", "", "the `FOLDER` of the library, for the names of workouts")
		plot := fs.String("plot", "", "draw the days into a `PICTURE` too, an .svg or a .png")
		fs.BoolVar(&b.noCache, "no-cache", false, "read all files anew, and keep nothing")
		return func(e *env, args []string) int {
			if len(args) > 0 {
				if c, ok := subcommandNamed("log", args[0]); ok {
					fs := newFlagSet(c.name)
					body := c.setup(fs)
					if err := fs.Parse(args[1:]); err != nil {
						return e.misflagged(c, fs, err)
					}
					return body(e, fs.Args())
				}
			}
			if fs.Changed("plot") {
				if message := plotMisuse(*plot, 1); message != "" {
					return e.misuse("log: %s", message)
				}
			}
			var status, found int
			if b.training, status = e.findTraining(); len(args) == 0 && b.training == nil {
				return e.misuse("log: there is no training folder here; name a folder or a recording, or begin a log with rungs log note")
			}
			b.all = len(args) == 0
			if b.calendar, found = e.readZone("log", *zone); found != exitFine {
				return found
			}
			day, ok := block.ParseWeekday(*firstDay)
			if !ok {
				return e.misuse("log: --first-day: %q is no day of the week", *firstDay)
			}
			b.calendar.FirstDay = day
			var err error
			if b.span, err = days.of(b.calendar, now()); err != nil {
				return e.misuse("log: %v", err)
			}
			if b.span.whole() && b.all {
				b.span.from = b.calendar.Week(b.span.today).AddDate(0, 0, -21)
			}
			b.env, b.format = e, format.value
			if b.athlete, found = e.loadAthlete(*athlete); found != exitFine {
				return found
			}
			sums, _, trouble := b.add(b.training.paths(args), nil)
			if status = max(status, trouble); sums == nil {
				return status
			}
			pictures := weeks.Strips(sums, b.Kept, b.span.holds, b.span.today)
			r := listing.Report(sums, listing.Telling{Holds: b.span.holds, Kept: b.Kept, Today: b.span.today, Warnings: b.Warnings, Charts: pictures})
			if status = max(status, b.print(r, b.format)); *plot == "" {
				return status
			}
			if len(pictures) == 0 {
				return b.complain("no picture: nothing was run or planned in these days")
			}
			return max(status, e.plot(*plot, "log", pictures[0], nil))
		}
	},
}

// logCommands is the table of what follows "rungs log".
func logCommands() []command { return []command{logNote, logMark, logCorrect} }

func logOverview() string {
	var b strings.Builder
	for _, c := range logCommands() {
		fmt.Fprintf(&b, "  %-28s %s\n", strings.TrimPrefix(c.name, "log ")+" "+c.args, c.summary)
	}
	return b.String()
}
