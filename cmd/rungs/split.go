package main

import (
	"github.com/spf13/pflag"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/report/session"
)

var splitCommand = command{
	name:    "split",
	args:    "[FLAGS] FILE|FOLDER...",
	summary: "say what was run: reps, recoveries, structure",
	about: `Finds the interval session in each recording (FIT, GPX, TCX, CSV; plain, gzip
or zip), or in all of a folder, and prints it segment by segment, with the
structure it amounts to.

` + ownText,
	example: "rungs split tuesday.fit",
	setup: func(fs *pflag.FlagSet) body {
		athlete := athleteFlag(fs)
		format := formatFlag(fs, formatHTML)
		zone := zoneFlag(fs)
		sums := fs.Bool("sums", false, "add to "+formatJSON+" what \"rungs block\" needs to add recordings up")
		plot := fs.String("plot", "", "draw the session into a `PICTURE` too, an .svg or a .png")
		return func(e *env, args []string) int {
			if len(args) == 0 {
				return e.misuse("split: name at least one recording")
			}
			if fs.Changed("plot") {
				if message := plotMisuse(*plot, len(args)); message != "" {
					return e.misuse("split: %s", message)
				}
			}
			if *sums && format.value != formatJSON {
				return e.misuse("split: --sums is for --format %s", formatJSON)
			}
			training, wrong := e.findTraining()
			calendar, status := e.readZone("split", *zone)
			if status != exitFine {
				return status
			}
			a, status := e.loadAthlete(*athlete)
			if status != exitFine {
				return status
			}
			drawing := plotter{path: *plot}
			return max(wrong, e.eachSession(args, func(s *segment.Session) int {
				s = training.obey(training.plain(s, calendar), calendar)
				if !*sums { // which are the same in every zone
					inZone(s, calendar)
					a.Calibrate(s)
				}
				o := session.Options{Miles: a.Miles, Page: format.value == formatHTML}
				r := session.Split(s, o)
				if *sums {
					r.After = append(r.After, report.Field{Key: "sums", Value: block.Summarise(s)})
				}
				status := e.print(r, format.value)
				return max(status, drawing.draw(e, s.Recording.Name, func() (chart.Chart, error) { return session.Plot(s, o) }))
			}))
		}
	},
}
