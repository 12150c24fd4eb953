// Package shelf tells a folder of workouts: what is in it, which of them a run was, and
// every time that one was run.
package shelf

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
)

// Listing reports workouts, one a row. Times of distances, and distances of
// times, are worked out with the paces of the athlete.
func Listing(title string, entries []library.Entry, a athlete.Athlete) *report.Report {
	r := &report.Report{
		Title:  title,
		Before: report.Object{{Key: "schema", Value: "rungs/library/1"}, {Key: "library", Value: title}},
		Table: report.Table{Key: "workouts", Columns: []report.Column{
			{Head: "name"}, {Head: "kind", Rank: 2}, {Head: "reps", Align: report.Right, Rank: 3},
			{Head: "work", Align: report.Right, Rank: 1}, {Head: "workout", Wrap: true}, {Head: "tags", Rank: 4},
		}},
	}
	rough := false
	for _, e := range entries {
		w := e.Workout
		seconds, metres, reps := likeness.Work(a.Outline(w))
		rough = rough || seconds.Rough
		tags := strings.Join(w.Tags, ", ")
		r.Table.Rows = append(r.Table.Rows, []report.Cell{
			{Text: e.Name, Fields: report.Object{{Key: "name", Value: e.Name}, {Key: "title", Value: report.OrNil(w.Name)}}},
			{Text: string(likeness.KindOf(w)), Fields: report.Object{{Key: "kind", Value: string(likeness.KindOf(w))}}},
			{Text: strconv.Itoa(reps), Fields: report.Object{{Key: "reps", Value: reps}}},
			{Text: about(seconds), Fields: report.Object{
				{Key: "work_s", Value: report.Number{Value: seconds.Value}},
				{Key: "work_m", Value: report.Number{Value: metres.Value}},
				{Key: "work_s_estimated", Value: seconds.Rough},
				{Key: "work_m_estimated", Value: metres.Rough},
			}},
			{Text: notation.Print(w), Fields: report.Object{{Key: "notation", Value: notation.Print(w)}}},
			{Text: tags, Fields: report.Object{{Key: "tags", Value: w.Tags}, {Key: "note", Value: report.OrNil(w.Note)}}},
		})
	}
	if rough {
		r.Table.Notes = append(r.Table.Notes, "~ rests on an assumed pace.")
	}
	return r
}

// about prints an estimated time.
func about(e athlete.Estimate) string {
	switch {
	case e.Value <= 0:
		return ""
	case e.Rough:
		return "~" + figures.Clock(e.Value)
	}
	return figures.Clock(e.Value)
}

// Report ranks the workouts for people and programs, the likest n of them.
func Recognition(found library.Recognition, s *segment.Session, n int) *report.Report {
	r := recognition{found}
	written := ""
	if len(s.Structure) > 0 {
		written = notation.Print(workouts.FromBlocks(s.Structure))
	}
	fitting := r.Fitting()
	rep := &report.Report{
		Title: s.Recording.Name,
		Before: report.Object{
			{Key: "schema", Value: "rungs/match/1"}, {Key: "file", Value: s.Recording.Name},
			{Key: "notation", Value: report.OrNil(written)}, {Key: "match", Value: nil},
		},
		Subject: report.Object{{Key: "file", Value: s.Recording.Name}},
		Table: report.Table{Key: "candidates", Columns: []report.Column{
			{Head: "alike", Align: report.Right}, {Head: "workout"}, {Head: "missing", Align: report.Right, Rank: 2},
			{Head: "extra", Align: report.Right, Rank: 3}, {Head: "as written", Rank: 1},
		}, Notes: []string{"alike is the share of reps, recoveries and ends of the two that correspond; targets do not count."}},
		Warnings: slices.Clone(s.Warnings),
	}
	if r.ByHeart {
		rep.Warnings = append(rep.Warnings, recording.Warning{Code: "by-heart-rate", StartS: math.NaN(), EndS: math.NaN(),
			Message: "there is no speed, so the times were found by heart rate: reps meant in distance cannot be told from reps of about the same time"})
	}
	if written != "" {
		rep.Lead = []string{"found: " + written}
	}
	if len(fitting) == 1 {
		rep.Before[3].Value = fitting[0].Entry.Name
	}
	fits := map[string]bool{}
	for _, c := range fitting {
		fits[c.Entry.Name] = true
	}
	for _, c := range r.Candidates[:min(n, len(r.Candidates))] {
		if c.Likeness < 0.005 {
			break // nothing in common
		}
		style := report.Plain
		if fits[c.Entry.Name] {
			style = report.Strong
		}
		plan := notation.Print(c.Entry.Workout)
		rep.Table.Rows = append(rep.Table.Rows, []report.Cell{
			{Text: figures.Percent(c.Likeness), Style: style, Fields: report.Object{
				{Key: "likeness", Value: report.Number{Value: c.Likeness, Decimals: 3}}, {Key: "fits", Value: fits[c.Entry.Name]}}},
			{Text: c.Entry.Name, Style: style, Fields: report.Object{{Key: "name", Value: c.Entry.Name}}},
			{Text: figures.Count(c.Missing), Fields: report.Object{{Key: "reps_missing", Value: c.Missing}}},
			{Text: figures.Count(c.Extra), Fields: report.Object{{Key: "reps_extra", Value: c.Extra}}},
			{Text: plan, Fields: report.Object{{Key: "notation", Value: plan}}},
		})
	}
	rep.Said = []report.Sentence{{Text: r.verdict(), Style: report.Strong}}
	return rep
}

// A recognition is told with its methods.
type recognition struct{ library.Recognition }

func (r recognition) verdict() string {
	switch f := r.Fitting(); {
	case len(r.Candidates) == 0:
		return "None: there are no workouts to compare with."
	case len(f) == 0 && r.Candidates[0].Likeness >= library.LeastLikeness:
		return fmt.Sprintf("None of these: more than %d rep of %s is missing or too many.", library.MostOdd, r.Candidates[0].Entry.Name)
	case len(f) == 0:
		return fmt.Sprintf("None of these: a workout must be %s alike to be the one that was run.", figures.Percent(library.LeastLikeness))
	case len(f) == 1:
		return fmt.Sprintf("This is %s.", f[0].Entry.Name)
	default:
		var names []string
		for _, c := range f {
			names = append(names, c.Entry.Name)
		}
		return "It may be any of these, which are too close to tell apart: " + strings.Join(names, ", ") + "."
	}
}

// placeWord names a kind of place.
func placeWord(p recording.Place) string {
	if p == recording.PlaceUnknown {
		return "unknown"
	}
	return string(p)
}
