package session

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
)

// A rep that the table has an alert for has it in the profile.
func TestProfileAlerts(t *testing.T) {
	res, _ := demoResult() // its third rep is short
	marks := checkedReps(res)
	if len(marks) != 3 || marks[0].Style != report.Plain || marks[2].Style != report.Alert {
		t.Errorf("marks are %+v", marks)
	}
}

// Whatever the plan and the page, no line is wider than the page or ends in
// space, and reps are marked in order.
func TestProfileFitsAnyPage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(t, "reps")
		sets := rapid.IntRange(2, 4).Draw(t, "sets")
		src := fmt.Sprintf("%s%d x ( %d x 400m @ 3:30/km off 1:00 stand ) off 4:00 jog",
			rapid.SampledFrom([]string{"10:00 warm + ", ""}).Draw(t, "warm"), sets, n)
		w, err := notation.Parse("plan", src)
		if err != nil {
			t.Fatal(err)
		}
		page := report.Page{Columns: rapid.IntRange(1, 200).Draw(t, "columns"), ASCII: rapid.Bool().Draw(t, "ascii")}
		var text strings.Builder
		if err := (&report.Report{Profile: outlineProfile(athlete.New().Outline(w))}).Text(&text, page); err != nil {
			t.Fatal(err)
		}
		got := strings.TrimLeft(text.String(), "\n") // no title
		lines := strings.Split(strings.TrimSuffix(got, "\n"), "\n")
		if len(lines) != 2 {
			t.Fatalf("%d lines:\n%s", len(lines), got)
		}
		for _, line := range lines {
			if utf8.RuneCountInString(line) > min(page.Columns, 120) || strings.HasSuffix(line, " ") {
				t.Fatalf("line %q on a page of %d", line, page.Columns)
			}
			if page.ASCII && strings.ContainsFunc(line, func(r rune) bool { return r > 0x7e }) {
				t.Fatalf("line %q is not ASCII", line)
			}
		}
	})
}
