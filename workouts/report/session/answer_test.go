package session

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// manyReps is a check of 40 reps of 1:00 planned at 3:40 to 3:45/km in two sets, of which most
// were slow, some short, one long and the last not run, and of ends that were not as planned.
func manyReps(t *testing.T) (*match.Result, *segment.Session) {
	t.Helper()
	plan := parsed(t, "15:00 warm + 2 x ( 20 x 1:00 @ 3:40-3:45/km ±2s off 1:00 jog ) off 3:00 jog + 15:00 cool")
	run := simulate.Session{Structured: true, Place: recording.Outdoors, Runner: simulate.DefaultRunner()}
	leg := func(role, manner string, rep int, seconds, mps float64) {
		run.Legs = append(run.Legs, simulate.Leg{Role: role, Manner: manner, Set: min(rep, 1), Rep: rep, Seconds: seconds, StartMPS: mps, EndMPS: mps})
	}
	leg("warm", "warm", 0, 480, 2.8)
	for i := range 39 {
		seconds, mps := 60.0, 4.0 // 4:10/km
		switch {
		case i%10 == 7:
			seconds = 48
		case i%10 == 3:
			mps = 4.5 // 3:42/km
		case i == 11:
			seconds = 75
		}
		leg("work", "work", i+1, seconds, mps)
		rest := 60.0
		if i%6 == 5 {
			rest = 35
		}
		if i == 19 {
			rest = 180
		}
		leg("recovery", "jog", i+1, rest, 2.4)
	}
	leg("cool", "cool", 0, 300, 2.6)
	d, ok := simulate.DeviceNamed("good watch, open sky")
	if !ok {
		t.Fatal("no such device")
	}
	rec, _ := simulate.Run(run, d, 5)
	s, err := segment.Split(rec)
	if err != nil {
		t.Fatal(err)
	}
	res, err := match.Check(plan, s, match.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res, s
}

var sentenceEnd = regexp.MustCompile(`[.!?](\s|$)`)

// However much is amiss, a page begins with the answer, in at most three sentences: the
// verdict with its weightiest reason first. What else there is to say follows the tables,
// and no kind of finding is told rep by rep.
func TestAnswerOfManyReps(t *testing.T) {
	res, s := manyReps(t)
	if res.Verdict != match.Departed || len(res.Reasons) < 4 || len(res.Reps) != 40 {
		t.Fatalf("%s, %d reps, reasons %q: not the session that was meant", res.Verdict, len(res.Reps), res.Reasons)
	}
	if !regexp.MustCompile(`^3\d of 40 reps were slower than their targets, by \d+ to \d+ s/km$`).MatchString(res.Reasons[0]) {
		t.Errorf("the weightiest of %q is not that most reps were slow", res.Reasons)
	}
	r := Check(res, s, Options{Page: true})
	if r.Answer[0].Text != figures.Sentence("Departed from the plan: "+res.Reasons[0]) {
		t.Errorf("the answer begins %q", r.Answer[0].Text)
	}
	var said []string
	for _, x := range r.Answer {
		said = append(said, x.Text)
	}
	if n := len(sentenceEnd.FindAllString(strings.Join(said, " "), -1)); n > 3 || n < 2 {
		t.Errorf("%d sentences: %q", n, said)
	}
	text := render(t, Check(res, s, Options{}), report.Page{})
	if !strings.HasPrefix(text, "Departed from the plan: ") { // the recording has no name to stand above it
		t.Errorf("the page begins\n%.200s", text)
	}
	var page strings.Builder
	if err := report.HTML(&page, r); err != nil {
		t.Fatal(err)
	}
	above, _, _ := strings.Cut(page.String(), "<svg")
	if n := strings.Count(above, "were slower than"); n != 1 {
		t.Errorf("what most reps have in common stands %d times above the picture", n)
	}
	if n := strings.Count(above, "Rep "); n > 0 {
		t.Errorf("%d findings on single reps stand above the picture", n)
	}
	for _, reason := range res.Reasons {
		if !strings.Contains(strings.ToLower(text), strings.ToLower(reason)) {
			t.Errorf("nowhere %q", reason)
		}
	}
	if n := len(regexp.MustCompile(`[Rr]ep \d+ was`).FindAllString(text, -1)); n > 2 { // the long one, and the one that was not run
		t.Errorf("%d findings are told rep by rep:\n%s", n, text)
	}
}

// At 80 columns the figures that answer are all there: set and rep, what became of it, pace and
// margin, target, difference and its call; and no line is longer.
func TestNarrowPageAnswers(t *testing.T) {
	res, s := manyReps(t)
	for _, miles := range []bool{false, true} {
		r := Check(res, s, Options{Miles: miles})
		u := planUnit(res.Plan, Options{Miles: miles})
		text := render(t, r, report.Page{Columns: 80})
		head := ""
		for line := range strings.SplitSeq(text, "\n") {
			if n := utf8.RuneCountInString(line); n > 80 {
				t.Errorf("%d columns: %s", n, line)
			}
			if strings.HasPrefix(line, "set ") {
				head = line
			}
		}
		for _, column := range []string{"set", "rep", "run", "pace " + u.Per() + " ±", "target", "drift"} {
			if !strings.Contains(head, column) {
				t.Errorf("no column %q in %q", column, head)
			}
		}
		answers := regexp.MustCompile(`(?m)^ *\d +\d+ .*\d:\d\d ±\d+ +\d:\d\d-\d:\d\d +\+\d+ slow`)
		if n := len(answers.FindAllString(text, -1)); n < 25 {
			t.Errorf("%d rows with pace, margin, target, drift and its call in\n%s", n, text)
		}
	}
}
