package report

import (
	"math"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/match"
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
	mile := workouts.Metres(2 * workouts.MetresPerMile)
	mile.Mile = true
	res := &match.Result{Steps: []match.Step{
		step(segment.Warm, workouts.Seconds(900), 380, match.Long),
		step(segment.Recovery, workouts.Seconds(90), -40, match.Short),
		step(segment.Recovery, workouts.Seconds(90), 3, match.Done),
		step(segment.Recovery, workouts.Seconds(90), math.NaN(), match.Missed),
		step(segment.Easy, mile, 12, match.Done),
		step(segment.Cool, workouts.Metres(12000), math.NaN(), match.Missed),
	}}
	table := stepTable(res)
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
		"easy|2 mi|2.01 mi|+12 m|",
		"cool-down|12.00 km|none||not recorded",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}
