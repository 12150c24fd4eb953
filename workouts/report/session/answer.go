package session

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/trend"
)

// verdictWords are the verdicts for people.
var verdictWords = map[match.Verdict]string{
	match.AsPlanned: "As planned",
	match.Departed:  "Departed from the plan",
	match.CutShort:  "Cut short",
	match.Different: "A different session",
}

// mostReasons is how many reasons an answer gives in sentences of their own; the rest
// follow the tables.
const mostReasons = 2

// answer is what a check begins with: the verdict with its first reason, and one or two
// sentences more.
func answer(res *match.Result, u figures.Unit) []report.Sentence {
	style := report.Strong
	if res.Verdict != match.AsPlanned {
		style = report.Alert
	}
	first := verdictWords[res.Verdict]
	if len(res.Reasons) > 0 {
		first += ": " + res.Reasons[0]
	}
	said := []report.Sentence{{Text: figures.Sentence(first), Style: style}}
	for i, reason := range res.Reasons {
		if i > 0 && i < mostReasons {
			said = append(said, report.Sentence{Text: figures.Sentence(reason)})
		}
	}
	switch {
	case res.Verdict == match.Different && res.Nearest != "":
		return append(said, report.Sentence{Text: figures.Sentence(res.Nearest)})
	case res.Verdict == match.Different:
		return said
	}
	if s := progressionText(res, res.Progression, u); s != "" && !toldOfRow(res) {
		said = append(said, report.Sentence{Text: figures.Sentence(s)})
	}
	if s := unsureText(res); s != "" && len(said) < mostReasons {
		said = append(said, report.Sentence{Text: figures.Sentence(s)})
	}
	return said
}

// unsureText says of which reps it cannot be told whether they kept to their targets; empty when of none.
func unsureText(res *match.Result) string {
	var slow, quick []int
	for _, r := range res.Reps {
		switch {
		case !r.Unsure || r.Rep == 0:
		case r.Drift > 0:
			slow = append(slow, r.Rep)
		default:
			quick = append(quick, r.Rep)
		}
	}
	word := func(list []int, is string) string {
		if len(list) == 1 {
			return "rep " + figures.Numbers(list) + " was too " + is
		}
		return "reps " + figures.Numbers(list) + " were too " + is
	}
	switch {
	case len(slow) > 0 && len(quick) > 0:
		return "whether " + word(slow, "slow") + " and " + word(quick, "quick") + " cannot be told"
	case len(slow) > 0:
		return "whether " + word(slow, "slow") + " cannot be told"
	case len(quick) > 0:
		return "whether " + word(quick, "quick") + " cannot be told"
	}
	return ""
}

// toldOfRow tells whether a reason has said already what became of the paces of a row.
func toldOfRow(res *match.Result) bool {
	return slices.ContainsFunc(res.Deviations, func(d match.Deviation) bool {
		switch d.Kind {
		case match.Faded, match.UnevenReps:
			return d.Counts
		case match.NotQuicker:
			return d.Counts && len(res.Reasons) > 0 && slices.Contains(res.Reasons[:min(mostReasons, len(res.Reasons))], d.Message)
		}
		return false
	})
}

// further are the findings that an answer leaves for after the tables.
func further(res *match.Result, u figures.Unit) []report.Sentence {
	var said []report.Sentence
	for i, reason := range res.Reasons {
		if i >= mostReasons {
			said = append(said, report.Sentence{Text: figures.Sentence("also, " + reason)})
		}
	}
	for _, p := range res.Progressions {
		if len(p.Reps) > 0 && len(res.Progression.Reps) > 0 && p.Reps[0] == res.Progression.Reps[0] {
			continue // said in the answer
		}
		if s := progressionText(res, p, u); s != "" {
			said = append(said, report.Sentence{Text: figures.Sentence(s)})
		}
	}
	for _, d := range res.Deviations {
		if !d.Counts {
			said = append(said, report.Sentence{Text: "note: " + d.Message, Style: report.Faint})
		}
	}
	if res.Found != "" {
		said = append(said, report.Sentence{Text: foundText(res)})
	}
	return said
}

// foundText tells what was run instead of the plan.
func foundText(res *match.Result) string { return "What was run looks like " + res.Found + "." }

// progressionText says what became of the paces of a row: what the plan asks of them,
// or else how even they were. Empty where there is nothing to say.
func progressionText(res *match.Result, p match.Progression, u figures.Unit) string {
	told := p.Call == match.Quicker || p.Call == match.Slower
	s := pairText(res, p, u)
	if s == "" && tellable(p, told) {
		s = rowText(res, p, u, told)
	}
	return s
}

// rowText is progressionText where there is something to tell; told, that the row got quicker or slower.
func rowText(res *match.Result, p match.Progression, u figures.Unit, told bool) string {
	who := rowName(res, p)
	change := u.Difference(p.ChangeSPerKm, p.ChangeMargin)
	when := "over the session by "
	if len(p.Sets) > 0 {
		when = "over a set by "
	}
	each := p.Compared > 0 && p.QuickerThanPrevious == p.Compared
	switch {
	case each && told:
		return who + " were each quicker than the last, " + when + change
	case each:
		return who + " were each quicker than the last"
	case p.Call == match.Quicker:
		return who + " got quicker " + when + change + setBacks(res, p, u)
	case p.Call == match.Slower:
		return who + " got slower " + when + change
	case p.Course == match.EvenCourse && p.Of > 2 && figures.Known(p.Scatter):
		return who + " scatter by " + u.Difference(p.Scatter, -1) + tooFew(p, "; a trend over them cannot be told ("+u.SignedDifference(p.ChangeSPerKm, p.ChangeMargin)+")") + setBacks(res, p, u)
	case p.Course == match.EvenCourse:
		return "" // two reps within the margin
	case p.Call == match.Uneven:
		return "whether " + who + " got quicker cannot be told: they scatter by " + u.Difference(p.Scatter, -1) + setBacks(res, p, u)
	}
	return "whether " + who + " got quicker cannot be told" + tooFew(p, ": the change of "+u.SignedDifference(p.ChangeSPerKm, p.ChangeMargin)+" is within the margin") + setBacks(res, p, u)
}

// pairText says which of the two reps of a row was quicker; empty where that cannot be told, or of more.
func pairText(res *match.Result, p match.Progression, u figures.Unit) string {
	if len(p.Reps) != 2 {
		return ""
	}
	a, b := res.Reps[p.Reps[0]], res.Reps[p.Reps[1]]
	how := map[match.Call]string{match.Quicker: "quicker", match.Slower: "slower"}[b.VsPrevious.Call]
	if how == "" || b.VsPrevious.With != p.Reps[0] {
		return ""
	}
	return fmt.Sprintf("rep %d was %s than rep %d by %s", b.Rep, how, a.Rep, u.Difference(b.VsPrevious.DeltaSPerKm, trend.Z95*b.VsPrevious.SE))
}

// rowName names the reps of a row: all that were run, or which.
func rowName(res *match.Result, p match.Progression) string {
	run := 0
	for _, r := range res.Reps {
		if r.Step >= 0 && r.Outcome != match.Missed {
			run++
		}
	}
	if p.Of < run {
		return repNames(res, p.Reps)
	}
	return "the " + figures.Plural(p.Of, "rep")
}

// tellable tells whether there is something to say of a row; told, that it got quicker or
// slower.
func tellable(p match.Progression, told bool) bool {
	if p.Of < 2 || !figures.Known(p.ChangeSPerKm) || !figures.Known(p.Scatter) && p.Call == match.Uneven {
		return false
	}
	return p.Course != match.NoCourse || told
}

// tooFew says that three reps, whose scatter can hardly be known, are too few for a trend; of
// more it says otherwise.
func tooFew(p match.Progression, otherwise string) string {
	if p.Of == 3 {
		return "; three are too few for a trend"
	}
	return otherwise
}

// setBacks are the reps of a row that were slower than the one before, by more than
// the margin.
func setBacks(res *match.Result, p match.Progression, u figures.Unit) string {
	const most = 2
	var back []string
	for _, i := range p.Reps {
		if v := res.Reps[i].VsPrevious; v.Call == match.Slower && v.With >= 0 && v.With < len(res.Reps) && figures.Known(v.DeltaSPerKm) {
			back = append(back, "rep "+strconv.Itoa(res.Reps[i].Rep)+" was slower than rep "+strconv.Itoa(res.Reps[v.With].Rep)+
				" by "+u.Difference(v.DeltaSPerKm, trend.Z95*v.SE))
		}
	}
	switch {
	case len(back) == 0:
		return ""
	case len(back) > most:
		return ", but " + strconv.Itoa(len(back)) + " of " + strconv.Itoa(p.Compared) + " were slower than the one before"
	}
	return ", but " + strings.Join(back, ", and ")
}

// methodNotes name the methods behind a check and what they gave.
func methodNotes(res *match.Result, u figures.Unit) []string {
	notes := []string{"a pair of reps differs when the difference passes " + figures.Decimal(trend.Z95, 2) + " standard errors of it, the margin that is printed."}
	for _, p := range res.Progressions {
		if p.Test == match.NoTest {
			continue
		}
		s := "trend of " + repNames(res, p.Reps) + ": " + u.FineDifference(p.SlopeSPerKmPerRep, p.SlopeMargin) + " a rep"
		if p.Test == match.SlopeTest {
			s += ", weighted least squares, the error widened by the scatter about the line and never below the measuring error, Student's t with " +
				figures.Plural(p.Free, "degree") + " of freedom"
		} else {
			s += ", the difference of two against its measuring error"
		}
		notes = append(notes, s+", "+chanceText(p.P)+".")
	}
	return notes
}

// chanceText prints a p-value.
func chanceText(p float64) string {
	if p < 0.001 {
		return "p < 0.001"
	}
	return "p = " + figures.Decimal(p, 3)
}

// repNames names the reps of a row: "reps 1 to 3", "reps 2 and 4".
func repNames(res *match.Result, reps []int) string {
	if len(reps) == 0 {
		return ""
	}
	numbers := make([]int, len(reps))
	for k, i := range reps {
		numbers[k] = res.Reps[i].Rep
	}
	return "reps " + figures.Numbers(numbers)
}
