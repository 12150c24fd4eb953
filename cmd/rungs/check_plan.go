package main

import (
	"fmt"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/report"
)

// days holds what was planned for the days of a span, by the planned block of the
// training folder, against what was run for it.
func (c checker) days(s span) int {
	b := &blocker{env: c.env, training: c.training, all: true, calendar: c.calendar, athlete: c.athlete, span: s, library: c.library.Folder}
	if c.training.PlanPath() == "" {
		return c.misuse("check: the training folder has no planned block, %s; name a recording", folder.Plan)
	}
	sums, _, status := b.add([]string{c.training.Path}, nil)
	if sums == nil {
		return status
	}
	told := false
	for _, w := range b.Kept {
		for _, k := range w.Sessions {
			if k.Planned == nil || k.Planned.Rest || !s.holds(k.Day) {
				continue
			}
			told = true
			status = max(status, c.kept(k, shared(w, k)))
		}
	}
	if !told {
		return max(status, c.complain("check: nothing is planned for these days"))
	}
	return status
}

// shared tells whether a run was for another planned session, too.
func shared(w block.KeptWeek, k block.KeptSession) bool {
	n := 0
	for _, o := range w.Sessions {
		if o.Run != nil && o.Run == k.Run {
			n++
		}
	}
	return n > 1
}

// kept tells what became of one planned session: rep by rep when one run was for it.
func (c checker) kept(k block.KeptSession, shared bool) int {
	switch k.Outcome {
	case block.Ahead:
		return c.inWords(k, "still to come")
	case block.Missed:
		return max(exitNo, c.inWords(k, "missed"))
	case block.Replaced:
		what := k.Run.Main
		if what == "" {
			what = fmt.Sprintf("%.1f km", k.Run.DistanceM/1000)
		}
		return max(exitNo, c.inWords(k, "replaced by "+what+", "+k.Run.File))
	}
	if shared || len(k.Also) > 0 {
		files := k.Run.Files()
		for _, r := range k.Also {
			files = append(files, r.Files()...)
		}
		status, how := exitFine, "as planned"
		if k.Share != 1 {
			status, how = exitNo, fmt.Sprintf("%.0f %% of it", 100*k.Share)
		}
		return max(status, c.inWords(k, how+", by "+list(files)))
	}
	rec, err := k.Run.Recording()
	if err != nil {
		return c.complain(err.Error())
	}
	s, err := segment.Split(rec, segment.Knowing(c.known()...))
	if err != nil {
		return c.complain(rec.Name + ": " + err.Error())
	}
	c.given = &plan{workout: k.Planned.Workout}
	return c.check(s)
}

// inWords tells what became of a planned session in a line.
func (c checker) inWords(k block.KeptSession, what string) int {
	if c.format == formatCSV { // whose rows are reps
		return exitFine
	}
	return c.print(&report.Report{
		Title: k.Day.Format("Mon 2 Jan 2006") + ": " + k.Planned.String(),
		Lead:  []string{figures.Sentence(what)},
		Before: report.Object{{Key: "schema", Value: "rungs/planned/1"}, {Key: "date", Value: k.Day.Format(time.DateOnly)},
			{Key: "planned", Value: k.Planned.String()}, {Key: "outcome", Value: string(k.Outcome)}},
	}, c.format)
}
