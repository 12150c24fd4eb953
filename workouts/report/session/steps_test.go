package session

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// Every step that is no work has its line: planned, run, difference; recoveries that are
// planned alike share one, with their range.
func TestStepTable(t *testing.T) {
	step := func(role segment.Role, a workouts.Amount, drift float64, o match.Outcome) match.Step {
		s := match.Step{Outcome: o, AmountDrift: drift, AmountUnit: "s"}
		s.Planned.Role, s.Planned.Step.Amount = role, a
		if a.Kind == workouts.Distance {
			s.AmountUnit = "m"
		}
		return s
	}
	mile := workouts.Metres(2 * figures.MetresPerMile)
	mile.Mile = true
	res := &match.Result{Steps: []match.Step{
		step(segment.Warm, workouts.Seconds(900), 380, match.Long),
		step(segment.Recovery, workouts.Seconds(90), -40, match.Short),
		step(segment.Recovery, workouts.Seconds(90), 3, match.Done),
		step(segment.Recovery, workouts.Seconds(90), math.NaN(), match.Missed),
		step(segment.Easy, mile, 12, match.Done),
		step(segment.Cool, workouts.Metres(12000), math.NaN(), match.Missed),
	}}
	table := stepTable(res, figures.Kilometre)
	var got []string
	for _, row := range table.Rows {
		var cells []string
		for _, c := range row {
			cells = append(cells, c.Text)
		}
		got = append(got, strings.Join(cells, "|"))
	}
	want := []string{
		"warm-up|15:00|21:20|+6:20|long",
		"3 recoveries|1:30|0:50 to 1:33|-0:40 to +0:03|1 short, 1 not run",
		"easy|2 mi|2.01 mi|+0.007 mi|",
		"cool-down|12.00 km|none||not recorded",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Of a different session nothing is matched: the answer, what was run, and what comes
// nearest; in JSON there are no reps, and those that were run stand apart.
func TestDifferentSessionIsNotMatched(t *testing.T) {
	_, s := demoResult()
	res := &match.Result{Plan: demoPlan, Verdict: match.Different, Reasons: []string{"it is another one"}, Found: "3 x 2:00", Nearest: "planned 5 reps of 1000 m, run 3 of 480 to 504 m"}
	r := Check(res, s, Options{Page: true})
	text := render(t, r, report.Page{})
	for _, want := range []string{"\nA different session: it is another one.\nPlanned 5 reps of 1000 m, run 3 of 480 to 504 m.\n", "\nThe reps that were run\n", "\nwork    1  10:00  2:00     480 m      4:10 ±1", "What was run looks like 3 x 2:00."} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	for _, never := range []string{"drift", "missed", "The rest of the plan", "target"} {
		if strings.Contains(text, never) {
			t.Errorf("%q in\n%s", never, text)
		}
	}
	_, page, _ := strings.Cut(string(writePage(t, r)), "<body")
	for _, never := range []string{"drift", "missed", "The rest of the plan", "on target", "planned reps run"} {
		if strings.Contains(page, never) {
			t.Errorf("%q on the page", never)
		}
	}
	if !strings.Contains(page, "run 3 of 480 to 504 m") || !strings.Contains(page, "The reps that were run") {
		t.Error("the page does not say what was run")
	}
	var b strings.Builder
	if err := r.JSON(&b); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Verdict string
		Reps    []any
		Steps   []any
		RunReps []struct {
			Start    float64 `json:"start_s"`
			Distance float64 `json:"distance_m"`
		} `json:"run_reps"`
	}
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatal(err)
	}
	if got.Verdict != "different_session" || got.Reps == nil || len(got.Reps)+len(got.Steps) != 0 || len(got.RunReps) != 3 || got.RunReps[0].Start != 600 || got.RunReps[0].Distance != 480 {
		t.Errorf("JSON has %+v", got)
	}
}
