package session

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// kilometric finds a figure in metres, kilometres, per km; text of charts and style sheets
// has none of it.
var kilometric = regexp.MustCompile(`[0-9] k?m\b|[0-9]k?m\b|/km`)

// Whoever counts in miles meets nothing else on a page, whatever its layout.
func TestMilesOnly(t *testing.T) {
	res, s := demoResult()
	plan := parsed(t, "1mi warm + 3 x 2:00 @ 6:40 -> 6:10/mi off 60s jog + 5:00 cool")
	res.Plan = plan
	for i := range res.Reps {
		res.Reps[i].Planned.Step = workouts.Step{Amount: workouts.Miles(0.3)}
		res.Reps[i].AmountUnit, res.Reps[i].AmountDrift = "m", -12
	}
	a := athlete.New()
	a.Miles = true
	o := Options{Miles: true, Page: true}
	different, _ := demoResult()
	different.Plan, different.Verdict, different.Reps = plan, match.Different, nil
	different.Progression, different.Progressions = match.Progression{}, nil
	for name, r := range map[string]*report.Report{
		"split": Split(s, o), "check": Check(res, s, o), "different": Check(different, s, o),
		"explain": Explain(parsed(t, "1mi warm + 3 x 2:00 @ 6:40 -> 6:10 off 60s jog + 5:00 cool"), a, nil),
	} {
		var b bytes.Buffer
		if err := r.Markdown(&b); err != nil {
			t.Fatal(err)
		}
		layouts := map[string]string{"text": render(t, r, report.Page{}), "markdown": b.String()}
		if name != "explain" { // which has no page
			page := string(writePage(t, r))
			_, body, _ := strings.Cut(page, "<body")
			layouts["html"] = pathData.ReplaceAllString(body, "") // where m is a move
		}
		for layout, text := range layouts {
			if at := kilometric.FindStringIndex(text); at != nil {
				t.Errorf("%s in %s: %q", name, layout, text[max(0, at[0]-60):min(len(text), at[1]+20)])
			}
			if !strings.Contains(text, "/mi") || !strings.Contains(text, " mi") {
				t.Errorf("%s in %s has no miles:\n%s", name, layout, text)
			}
		}
	}
}

// pathData is the data of a path, in which letters are moves.
var pathData = regexp.MustCompile(` d="[^"]*"`)

// A distance of 800 m is 0.497 mi (1 mi is 1609.344 m), and a pace of 250 s/km 402.3 s/mi.
func TestMileFigures(t *testing.T) {
	for got, want := range map[string]string{
		figures.Mile.Stretch(800): "0.497 mi", figures.Mile.Stretch(3218.688): "2.00 mi", figures.Kilometre.Stretch(3218.7): "3219 m",
		figures.Mile.Length(10000): "6.21 mi", figures.Kilometre.Length(10000): "10.00 km", figures.Mile.Pace(250): "6:42",
		structureText(figures.Mile, []segment.Block{{Count: 1, Role: segment.Work, Amount: segment.Amount{Seconds: 240}, Pace: 250}}): "4:00 @ 6:42/mi",
		overText(12, "m", workouts.Planned{Step: workouts.Step{Amount: workouts.Miles(1)}}):                                           "+0.007 mi",
		overText(-12, "m", workouts.Planned{Step: workouts.Step{Amount: workouts.Metres(800)}}):                                       "-12 m",
		overText(8470, "m", workouts.Planned{Step: workouts.Step{Amount: workouts.Metres(20000)}}):                                    "+8.47 km",
		overText(-30.4, "s", workouts.Planned{}):                                                                                      "-0:30",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
