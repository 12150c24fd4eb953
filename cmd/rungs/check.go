package main

import (
	"os"
	"slices"

	"github.com/spf13/pflag"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/report/session"
)

var checkCommand = command{
	name:    "check",
	args:    "[FLAGS] [FILE|FOLDER...]",
	summary: "hold recordings against a plan, rep by rep",
	about: `Holds each recording, or all of a folder, against a plan: which rep is which, how
far each drifted from its target, whether the reps really got quicker, and what
became of the rest of the plan. PLAN is a file (text or FIT), "-" for standard
input, the name of a workout in the library, or the plan itself in the notation.
Without --plan, the plan that the device stored in the recording counts, and
without that the one workout of the library that the recording clearly matches.

Without a path, in a training folder, what its planned block has for the last seven
days, or for those asked for, is held against what was run for it.

An amount counts as planned within 6 % for a rep (at least 5 s or 20 m), 20 % for
a recovery, 15 % for easy running and 35 % for a warm-up or cool-down; --amounts
says otherwise. A pace counts within 3 %, or what the plan or --tolerance says,
and within what the odometer may be off: a drift beyond the one but not the other
is "~". [odometer.outdoors] or [odometer.treadmill] in the athlete file, with how
much yours was measured to be "over" and "within" which margin, both in percent,
corrects paces and settles more of them.

The exit status is 0 when every recording was run as planned, 1 when one was
not, 2 when one could not be read.`,
	example: `rungs check --plan "15:00 warm + 6 x 800m @ 3:30/km off 90s jog + 10:00 cool" tuesday.fit`,
	setup: func(fs *pflag.FlagSet) body {
		written := fs.StringP("plan", "p", "", "the `PLAN`, as a file, as - for standard input, as a name in the library, or written out")
		folder := libraryFlag(fs)
		tolerance := percentFlag(fs, "tolerance", 3, "how many `PERCENT` a pace may be off a target without a tolerance of its own")
		given := amountsFlag(fs)
		method := fs.Bool("method", false, "name the methods behind the findings, and what they gave")
		athlete := athleteFlag(fs)
		zone := zoneFlag(fs)
		format := formatFlag(fs, formatHTML)
		plot := fs.String("plot", "", "draw the session with its targets into a `PICTURE` too, an .svg or a .png")
		days := spanFlag(fs)
		return func(e *env, args []string) int {
			training, wrong := e.findTraining()
			switch {
			case len(args) == 0 && training == nil:
				return e.misuse("check: name at least one recording")
			case !(*tolerance > 0 && *tolerance <= 50):
				return e.misuse("check: --tolerance is a percentage above 0 and up to 50, not %v", *tolerance)
			}
			if fs.Changed("plot") {
				if message := plotMisuse(*plot, len(args)); message != "" {
					return e.misuse("check: %s", message)
				}
			}
			amounts, err := amountsOf(*given)
			if err != nil {
				return e.misuse("check: --amounts: %v", err)
			}
			c := checker{env: e, options: match.Options{PaceTolerancePct: *tolerance, Amounts: amounts}, method: *method, format: format.value, drawing: &plotter{path: *plot}}
			e.asJSON = format.value == formatJSON
			c.training = training
			var status int
			if c.calendar, status = e.readZone("check", *zone); status != exitFine {
				return status
			}
			if c.athlete, status = e.loadAthlete(*athlete); status != exitFine {
				return status
			}
			if fs.Changed("plan") {
				if c.given, status = e.readCheckPlan(*folder, *written); status != exitFine {
					return status
				}
			} else {
				c.library, _ = library.Locate(*folder, os.Getenv)
			}
			span, err := days.of(c.calendar, now())
			switch {
			case err != nil:
				return e.misuse("check: %v", err)
			case len(args) > 0 && !span.whole():
				return e.misuse("check: days are asked for of a training folder, not of recordings that are named")
			case len(args) == 0 && fs.Changed("plan"):
				return e.misuse("check: name the recording to hold against the plan")
			case len(args) == 0:
				if span.whole() {
					span.from, span.to = span.today.AddDate(0, 0, -6), span.today
				}
				c.library.Folder = *folder
				return max(wrong, c.days(span))
			}
			return max(wrong, e.eachSession(args, c.check))
		}
	},
}

// A checker holds sessions against the plan given, or else each against its
// own.
type checker struct {
	*env
	given   *plan
	library library.Library // to find a plan in when none is given
	athlete athlete.Athlete
	options match.Options

	calendar block.Calendar
	training *training // nil without a training folder
	method   bool
	format   string
	drawing  *plotter
}

func (c checker) check(s *segment.Session) int {
	name := s.Recording.Name
	s = c.training.obey(c.training.plain(s, c.calendar), c.calendar)
	inZone(s, c.calendar)
	c.athlete.Calibrate(s)
	o := session.Options{Miles: c.athlete.Miles, Page: c.format == formatHTML, Method: c.method}
	var w workouts.Workout
	switch {
	case c.given != nil:
		w, o.Warnings = c.given.workout, c.given.warnings
	case s.Recording.Plan != nil:
		w, o.Warnings = fitfile.FromPlan(*s.Recording.Plan)
		o.RecordedPlan = true
	default:
		p, err := c.recognised(s)
		if err != nil {
			return c.complain(name + ": " + err.Error())
		}
		w, o.Warnings = p.workout, p.warnings
	}
	resolved, warnings := c.athlete.Resolve(w)
	o.Warnings = slices.Concat(o.Warnings, warnings)
	options := c.options
	options.Miles = session.CountsMiles(resolved, o)
	res, err := match.Check(resolved, s, options)
	if err != nil {
		return c.complain(name + ": " + err.Error())
	}
	status := c.print(session.Check(res, s, o), c.format)
	if drawn := c.drawing.draw(c.env, name, func() (chart.Chart, error) { return session.PlotCheck(res, s, o) }); drawn > status {
		return drawn
	}
	if status == exitFine && res.Verdict != match.AsPlanned {
		return exitNo
	}
	return status
}
