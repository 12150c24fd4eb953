package library

import (
	"strings"
	"testing"

	"example.org/rungs/workouts/report"
)

// A simulated history: the page has the figures of the table.
func TestPageOfSimulated(t *testing.T) {
	e := starter(t, "three-minute-reps")
	a, _, _ := outing(t, e.Workout, 1, 1, device(t, "good watch, open sky"), 101)
	b, _, _ := outing(t, e.Workout, 8, 1.08, device(t, "good watch, open sky"), 108)
	a.Recording.Name, b.Recording.Name = `<script>alert(1)</script>`, "evil\u202egpj.fit"
	r := historyOf(t, e, a, b).Report(false)
	var out strings.Builder
	if err := report.HTML(&out, r); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(out.String(), "<script") || strings.ContainsRune(out.String(), '\u202e') || !strings.Contains(out.String(), "&lt;script&gt;") {
		t.Error("a name is not shown as text")
	}
	if !strings.HasPrefix(r.Front.Answer, "Quicker by ") || !strings.HasSuffix(r.Front.Answer, " s/km than on 1 Sep 2026") {
		t.Errorf("the answer is %q", r.Front.Answer)
	}
	c := r.Front.Charts[0]
	for i, row := range r.Table.Rows {
		pace := row[3].Text
		if !strings.HasPrefix(c.Marks[i].Figures[0], pace+" /km") {
			t.Errorf("the table has %s, the mark %q", pace, c.Marks[i].Figures)
		}
	}
}
