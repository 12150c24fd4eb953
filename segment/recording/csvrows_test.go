package recording

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Rows without quotation marks are cut as encoding/csv cuts them, blank space
// around cells aside, which the reader takes off anyway.
func TestPlainRowsAgainstEncodingCSV(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{"1", "a", ",", "\n", "\r\n", " ", "\t", "é", ";"})).Draw(t, "text"), "")
		slow := csv.NewReader(strings.NewReader(text))
		slow.FieldsPerRecord = -1
		slow.LazyQuotes = true
		quick := newRows([]byte(text), ',')
		for {
			want, wrong := slow.Read()
			got, err := quick.Read()
			if (err == nil) != (wrong == nil) {
				t.Fatalf("%q: %v, not %v", text, err, wrong)
			}
			if err != nil {
				return
			}
			line, _ := slow.FieldPos(0)
			trim := func(cells []string) (out []string) {
				for _, c := range cells {
					out = append(out, strings.TrimSpace(c))
				}
				return out
			}
			if !slices.Equal(trim(got), trim(want)) || quick.Line() != line {
				t.Fatalf("%q: line %d %q, not %d %q", text, quick.Line(), got, line, want)
			}
		}
	})
}

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
