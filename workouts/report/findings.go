package report

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/rungs/workouts/match"
)

// checkSentences are the findings of a check: progression, verdict, notes. What
// the reps of a plan would have to be in another session has no trend to tell.
func checkSentences(res *match.Result, u unit) []Sentence {
	var said []Sentence
	progressions := res.Progressions
	if res.Verdict == match.Different {
		progressions = nil
	}
	several := len(progressions) > 1
	for _, p := range progressions {
		who := "the " + plural(p.Of, "rep")
		if several {
			who = repNames(res, p.Reps)
		}
		if s := progressionText(p, who, u); s != "" {
			said = append(said, Sentence{Text: sentence(s)})
		}
	}
	style := Strong
	if res.Verdict != match.AsPlanned {
		style = Alert
	}
	said = append(said, Sentence{Text: verdictText(res), Style: style})
	for _, d := range res.Deviations {
		if !d.Counts {
			said = append(said, Sentence{Text: "note: " + d.Message, Style: Faint})
		}
	}
	return said
}

// verdictMark begins the sentence of the verdict.
const verdictMark = "Verdict: "

// verdictWords are the verdicts for people.
var verdictWords = map[match.Verdict]string{
	match.AsPlanned: "As planned",
	match.Departed:  "Departed from the plan",
	match.Different: "A different session",
}

// verdictText is the verdict and its reasons.
func verdictText(res *match.Result) string {
	s := verdictMark
	switch res.Verdict {
	case match.AsPlanned:
		s += "as planned."
	case match.Departed:
		s += "departed from the plan."
	case match.Different:
		s += "a different session."
	}
	for _, r := range res.Reasons {
		s += " " + sentence(r)
	}
	if res.Found != "" {
		s += " What was run looks like " + res.Found + "."
	}
	return s
}

// progressionText says whether the reps, who, got quicker, as far as can be
// known.
func progressionText(p match.Progression, who string, u unit) string {
	if p.Of < 2 || !known(p.SlopeSPerKmPerRep) {
		return ""
	}
	slope := p.SlopeSPerKmPerRep * u.perKm
	margin := ""
	if known(p.SlopeSE) {
		margin = " ±" + decimal(z95*p.SlopeSE*u.perKm, 1)
	}
	s := who
	switch p.Call {
	case match.Quicker:
		s += " got quicker by " + decimal(-slope, 1) + margin + " " + u.spoken + " a rep"
	case match.Slower:
		s += " got slower by " + decimal(slope, 1) + margin + " " + u.spoken + " a rep"
	case match.Level:
		s += " were level, as far as can be known (trend " + signed(slope, 1) + margin + " " + u.spoken + " a rep)"
	case match.Uneven:
		s += " were uneven, without a trend"
	default:
		return ""
	}
	if p.Compared > 0 {
		s += "; " + strconv.Itoa(p.QuickerThanPrevious) + " of " + strconv.Itoa(p.Compared) +
			" quicker than the one before by more than the margin"
	}
	return s + testText(p)
}

// testText names the test behind the call.
func testText(p match.Progression) string {
	switch p.Test {
	case match.NoTest:
		return ""
	case match.MeasuringErrorTest:
		if p.Of < 5 {
			return " (judged by the measuring error: " + plural(p.Of, "rep") + " are too few for a rank test)"
		}
		return " (judged by the measuring error)"
	}
	if !known(p.P) {
		return " (" + string(p.Test) + " test)"
	}
	return " (" + string(p.Test) + " test, " + chanceText(p.P) + ")"
}

// chanceText prints a p-value.
func chanceText(p float64) string {
	if p < 0.001 {
		return "p < 0.001"
	}
	return "p = " + decimal(p, 3)
}

// repNames names the reps of a row: "reps 1 to 3".
func repNames(res *match.Result, reps []int) string {
	if len(reps) == 0 {
		return ""
	}
	first, last := res.Reps[reps[0]], res.Reps[reps[len(reps)-1]]
	return "reps " + decimal(float64(first.Rep), 0) + " to " + decimal(float64(last.Rep), 0)
}

// sentence gives s a capital and a full stop.
func sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	s = string(unicode.ToUpper(r)) + s[n:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}
