// Package session tells of one run and of its plan: what was found in it, how it went against
// the plan, and what a plan asks for.
//
// Size: the three share their columns, charts and sentences; apart, each would export these to
// the others.
package session

import (
	"fmt"
	"slices"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/trend"
)

// Split reports what was found in a recording, segment by segment, with its
// structure in the notation.
func Split(s *segment.Session, o Options) *report.Report {
	u := sessionUnit(s, o)
	written := ""
	if len(s.Structure) > 0 {
		written = structureText(u, s.Structure)
	}
	r := &report.Report{
		Title:    s.Recording.Name,
		Lead:     splitLead(s, written, u),
		Profile:  sessionProfile(s, foundReps(s), u),
		Table:    report.Tabulate("segments", s.Segments, segmentColumns(u, sets(s) > 1)),
		Warnings: report.JoinWarnings(s.Recording.Warnings, s.Warnings, o.Warnings),
	}
	if slices.ContainsFunc(s.Segments, func(x segment.Segment) bool { return figures.Known(x.PaceSE) }) {
		r.Table.Notes = []string{marginNote(s)}
	}
	r.Table.Notes = append(append(r.Table.Notes, stoodNotes(s)...), sourceNotes(s)...)
	if kilometres := stretches(s, 0, s.Recording.Duration(), u); len(kilometres) > 0 && !hasReps(s) {
		r.Further = append(r.Further, stretchTable(kilometres, u))
		r.Said = driftSaid(driftOf(kilometres))
	}
	if o.Page {
		r.Front = splitFront(s, written, u)
	}
	r.Before = append(report.Object{{Key: "schema", Value: "rungs/split/1"}}, runFields(s)...)
	r.Subject = runFields(s)[:2]
	r.Before = append(r.Before,
		report.Field{Key: "notation", Value: report.OrNil(written)},
		report.Field{Key: "notation_sure", Value: sureness(s)},
		report.Field{Key: "notation_rival", Value: report.OrNil(rival(s, u))},
		report.Field{Key: "structure", Value: structureFields(s.Structure)})
	reps, t, d := workTotals(s)
	r.After = report.Object{{Key: "work", Value: report.Object{{Key: "reps", Value: reps}, {Key: "time_s", Value: seconds(t)}, {Key: "distance_m", Value: metres(d)}}}}
	return r
}

// Found is the structure of a session in the notation, as Split reports it; empty without one.
func Found(s *segment.Session, o Options) string {
	if len(s.Structure) == 0 {
		return ""
	}
	return structureText(sessionUnit(s, o), s.Structure)
}

// structureText writes a structure in the notation, with paces in the unit.
func structureText(u figures.Unit, blocks []segment.Block) string {
	return notation.Print(workouts.FromBlocksIn(blocks, workouts.PaceUnit(u.Per())))
}

// rival is the runner-up of a structure in the notation; empty when none is
// close.
func rival(s *segment.Session, u figures.Unit) string {
	if len(s.RunnerUp) == 0 {
		return ""
	}
	return structureText(u, s.RunnerUp)
}

// sureness is the probability of the reading's least sure amount, nil without a
// structure.
func sureness(s *segment.Session) any {
	if len(s.Structure) == 0 {
		return nil
	}
	return report.Number{Value: s.Sure, Decimals: 2, Unit: ""}
}

// rivalLine shows the runner-up when the reading of an amount is a close call.
func rivalLine(s *segment.Session, u figures.Unit) []string {
	if other := rival(s, u); other != "" {
		return []string{fmt.Sprintf("or:    %s (%.0f %% for the first)", other, 100*s.Sure)}
	}
	return nil
}

// sourceNotes say where speed came from, when not from the odometer. That there
// is none at all is a warning of its own.
func sourceNotes(s *segment.Session) []string {
	switch s.Trace.Source {
	case signal.Odometer, signal.Nothing, "":
		return nil
	}
	return []string{"speed is from " + string(s.Trace.Source) + ": " + s.Trace.Reason + "."}
}

// stoodNotes tell of parts in which the runner stood, whose paces leave that out.
func stoodNotes(s *segment.Session) (out []string) {
	const least = 30 // s; less hardly moves the pace of a part
	parts := map[segment.Role]int{}
	for _, x := range s.Segments {
		parts[x.Role]++
	}
	for _, x := range s.Segments {
		if noun := roleNouns[x.Role]; noun != "" && x.StoodS >= least {
			if parts[x.Role] > 1 {
				noun += " from " + figures.Clock(x.StartS)
			}
			out = append(out, figures.Clock(x.StoodS)+" of the "+noun+" were stood; its pace leaves them out.")
		}
	}
	return out
}

// roleNouns name parts in which standing is told apart from running, in a sentence.
var roleNouns = map[segment.Role]string{segment.Warm: "warm-up", segment.Cool: "cool-down", segment.Easy: "easy running"}

// marginNote says what the margins are, and what they leave out because it is
// common to all of them.
func marginNote(s *segment.Session) string {
	note := "± is the 95 % margin of the pace in seconds, for comparing the parts of this run"
	if figures.Known(s.ScaleSE) && s.ScaleSE > 0 {
		note += ". Besides, the device may measure the whole run up to " + figures.Decimal(100*trend.Z95*s.ScaleSE, 1) + " % too long or too short"
	}
	return note + "."
}

// faint is a cell of a row that is bright for work alone.
func faint(role segment.Role, c report.Cell) report.Cell {
	if role != segment.Work {
		c.Style = report.Faint
	}
	return c
}

// segmentColumns say what is known of a segment.
func segmentColumns(u figures.Unit, withSets bool) []report.ColumnOf[segment.Segment] {
	type S = segment.Segment
	return []report.ColumnOf[S]{
		{Column: report.Column{Head: "part"}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: roleWords[s.Role], Fields: report.Object{{Key: "role", Value: string(s.Role)}}})
		}},
		{Column: report.Column{Head: "set", Align: report.Right, Rank: 1}, Cell: func(s S) report.Cell {
			return counted("set", s.Set, withSets && s.Role == segment.Work)
		}},
		{Column: report.Column{Head: "rep", Align: report.Right}, Cell: func(s S) report.Cell {
			return counted("rep", s.Rep, s.Role == segment.Work)
		}},
		{Column: report.Column{Head: "from", Align: report.Right, Rank: 2}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Clock(s.StartS), Fields: report.Object{{Key: "start_s", Value: seconds(s.StartS)}}})
		}},
		{Column: report.Column{Head: "time", Align: report.Right}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Clock(s.Seconds()), Fields: report.Object{
				{Key: "end_s", Value: seconds(s.EndS)},
				{Key: "start_se_s", Value: seconds(s.StartSE)},
				{Key: "end_se_s", Value: seconds(s.EndSE)},
				{Key: "stood_s", Value: seconds(s.StoodS)},
			}})
		}},
		{Column: report.Column{Head: "distance", Align: report.Right, Rank: 1}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: u.Stretch(s.DistanceM), Fields: report.Object{{Key: "distance_m", Value: metres(s.DistanceM)}}})
		}},
		{Column: report.Column{Head: "pace " + u.Per(), Align: report.Right}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: u.Pace(s.Pace), Fields: report.Object{{Key: "pace_s_per_km", Value: pace(s.Pace)}}})
		}},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(s S) report.Cell {
			c := report.Cell{Fields: report.Object{
				{Key: "pace_se_s_per_km", Value: pace(s.PaceSE)},
				{Key: "pace_se_within_s_per_km", Value: pace(s.WithinSE)},
			}}
			if figures.Known(s.Pace) && s.Pace < figures.Standing {
				c.Text = u.Margin(s.WithinSE)
			}
			return faint(s.Role, c)
		}},
		{Column: report.Column{Head: "HR avg", Align: report.Right, Rank: 3}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Beats(s.HRAvg), Fields: report.Object{{Key: "hr_avg", Value: beats(s.HRAvg)}}})
		}},
		{Column: report.Column{Head: "HR max", Align: report.Right, Rank: 4}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Beats(s.HRMax), Fields: report.Object{{Key: "hr_max", Value: beats(s.HRMax)}}})
		}},
		{Column: report.Column{Head: "HR end", Align: report.Right, Rank: 3}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Beats(s.HREnd), Fields: report.Object{{Key: "hr_end", Value: beats(s.HREnd)}}})
		}},
		{Column: report.Column{Head: "cadence", Align: report.Right, Rank: 5}, Cell: func(s S) report.Cell {
			return faint(s.Role, report.Cell{Text: figures.Beats(s.CadenceAvg), Fields: report.Object{{Key: "cadence_avg", Value: steps(s.CadenceAvg)}}})
		}},
	}
}

// counted is a number of a set or rep from 1; zero is none, and null.
func counted(key string, n int, show bool) report.Cell {
	if n <= 0 {
		return report.Cell{Fields: report.Object{{Key: key, Value: nil}}}
	}
	c := report.Cell{Fields: report.Object{{Key: key, Value: n}}}
	if show {
		c.Text = figures.Decimal(float64(n), 0)
	}
	return c
}

// roleWords names the roles for people.
var roleWords = map[segment.Role]string{
	segment.Warm:     "warm-up",
	segment.Work:     "work",
	segment.Recovery: "recovery",
	segment.Cool:     "cool-down",
	segment.Easy:     "easy",
	segment.Run:      "run",
	segment.Stop:     "stop",
}

// runFields are the facts of the whole run, those that tell it apart first.
func runFields(s *segment.Session) report.Object {
	rec := s.Recording
	start := any(nil)
	if !rec.Start.IsZero() {
		start = rec.Start.Format(time.RFC3339)
	}
	return report.Object{
		{Key: "file", Value: rec.Name},
		{Key: "start", Value: start},
		{Key: "sport", Value: report.OrNil(string(rec.Sport))},
		{Key: "indoor", Value: indoor(rec.Place)},
		{Key: "elapsed_s", Value: seconds(rec.Duration())},
		{Key: "moving_s", Value: seconds(movingSeconds(s))},
		{Key: "distance_m", Value: metres(s.Distance(0, rec.Duration()))},
		{Key: "speed_source", Value: report.OrNil(string(s.Trace.Source))},
		{Key: "speed_source_reason", Value: report.OrNil(s.Trace.Reason)},
	}
}

// indoor is null when the file does not say.
func indoor(p recording.Place) any {
	if p == recording.PlaceUnknown {
		return nil
	}
	return p == recording.Treadmill
}

// runLine is the run in one line: when, what, how far, how long.
func runLine(s *segment.Session, u figures.Unit) string {
	rec := s.Recording
	line := figures.Clock(rec.Duration())
	if d := s.Distance(0, rec.Duration()); figures.Known(d) {
		line = u.Length(d) + " in " + line
	}
	if stood := rec.Duration() - movingSeconds(s); stood >= 1 {
		line += " (" + figures.Clock(stood) + " of it standing)"
	}
	what := string(rec.Sport)
	if rec.Place != recording.PlaceUnknown {
		if what != "" {
			what += ", "
		}
		what += string(rec.Place)
	}
	if what != "" {
		line = what + ", " + line
	}
	if !rec.Start.IsZero() {
		line = rec.Start.Format("2006-01-02 15:04 MST") + ", " + line
	}
	return line
}

// splitLead says what was run: the reps in the notation and their sum, or the run
// and how even it was.
func splitLead(s *segment.Session, written string, u figures.Unit) []string {
	if !hasReps(s) {
		return append([]string{runLine(s, u)}, steadySentences(s, u)...)
	}
	var lead []string
	if written != "" {
		lead = append([]string{"found: " + written}, rivalLine(s, u)...)
	}
	return append(lead, workLine(s, u), runLine(s, u))
}

// workTotals counts the reps, their time and their distance.
func workTotals(s *segment.Session) (reps int, t, d float64) {
	for _, x := range s.Segments {
		if x.Role == segment.Work {
			reps++
			t += x.Seconds()
			d += x.DistanceM
		}
	}
	return reps, t, d
}

// workLine sets the work apart from the rest of the run.
func workLine(s *segment.Session, u figures.Unit) string {
	reps, t, d := workTotals(s)
	if reps == 0 {
		return "No reps."
	}
	if !figures.Known(d) {
		return figures.Plural(reps, "rep") + ": " + figures.Clock(t) + " of work."
	}
	line := figures.Plural(reps, "rep") + ": " + u.Length(d) + " of work in " + figures.Clock(t)
	if total := s.Distance(0, s.Recording.Duration()); total > 0 {
		line += ", " + figures.Decimal(100*d/total, 0) + " % of the distance"
	}
	return line + "."
}

// sets is the number of sets of work.
func sets(s *segment.Session) int {
	n := 0
	for _, x := range s.Segments {
		n = max(n, x.Set)
	}
	return n
}

// movingSeconds is the time outside stops, whether Split found them or the
// device's timer stood still.
func movingSeconds(s *segment.Session) float64 {
	spans := append([]recording.Span(nil), s.Recording.Stops...)
	for _, x := range s.Segments {
		if x.Role == segment.Stop {
			spans = append(spans, recording.Span{StartS: x.StartS, EndS: x.EndS})
		}
	}
	return s.Recording.Duration() - covered(spans, s.Recording.Duration())
}

// sessionUnit is the unit the session seems to be meant in.
func sessionUnit(s *segment.Session, o Options) figures.Unit {
	if o.Miles || inMiles(s.Structure) {
		return figures.Mile
	}
	return figures.Kilometre
}

func inMiles(blocks []segment.Block) bool {
	for _, b := range blocks {
		if b.Amount.Mile || inMiles(b.Body) {
			return true
		}
	}
	return false
}
