package main

import (
	"github.com/spf13/pflag"

	"example.org/rungs/workouts/report/session"
)

var explainCommand = command{
	name:    "explain",
	args:    "[FLAGS] PLAN",
	summary: "say what a plan asks for, step by step",
	about: `Prints a plan step by step, in running order, with what it comes to. PLAN is
a file (text or FIT), "-" for standard input, or the plan itself in the
notation.`,
	example: `rungs explain "3 x ( 3 x 2:00 @ quicker off 1:00 jog ) off 4:00 walk"`,
	setup: func(fs *pflag.FlagSet) body {
		athlete := athleteFlag(fs)
		format := formatFlag(fs, formatHTML)
		plot := fs.String("plot", "", "draw the plan into a `PICTURE` too, an .svg or a .png")
		return func(e *env, args []string) int {
			if len(args) != 1 {
				return e.misuse("explain: give one plan, in quotation marks when it is written out")
			}
			if fs.Changed("plot") {
				if message := plotMisuse(*plot, 1); message != "" {
					return e.misuse("explain: %s", message)
				}
			}
			e.asJSON = format.value == formatJSON
			a, status := e.loadAthlete(*athlete)
			if status != exitFine {
				return status
			}
			p, status := e.readPlan(args[0])
			if status != exitFine {
				return status
			}
			if status = e.print(session.Explain(p.workout, a, p.warnings), format.value); *plot == "" {
				return status
			}
			c, err := session.PlotPlan(p.workout, a)
			return max(status, e.plot(*plot, args[0], c, err))
		}
	},
}
