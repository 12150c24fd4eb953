package rows

import (
	"encoding/csv"
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
		quick := New([]byte(text), ',')
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
