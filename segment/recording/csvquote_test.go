package recording

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// A mark that is never closed swallows no rows, and its line is told. Marks within
// cells and pairs of them are as they were.
func TestUnclosedQuote(t *testing.T) {
	var b strings.Builder
	b.WriteString("t_s,distance_m,hr_bpm,stage\n")
	for i := range 5000 {
		cell := "a"
		switch {
		case i == 2:
			cell = `"with, ""marks"""`
		case i == 3:
			cell = `5" long`
		case i == 1000:
			cell = `"open`
		}
		fmt.Fprintf(&b, "%d,%d,150,%s\n", i, 3*i, cell)
	}
	r := readOne(t, "t.csv", b.String())
	if r.Len() != 5000 || codes(r) != BadCell || !strings.Contains(r.Warnings[0].Message, "line 1002 is not closed") {
		t.Errorf("%d records, %v", r.Len(), r.Warnings)
	}
	whole := readOne(t, "t.csv", strings.Replace(b.String(), `"open`, "open", 1))
	if whole.Len() != 5000 || len(whole.Warnings) != 0 || !slices.Contains(whole.Stage, `with, "marks"`) || !slices.Contains(whole.Stage, `5" long`) {
		t.Errorf("%d records, %v, stages %q", whole.Len(), whole.Warnings, whole.Stage[:5])
	}
}
