package athlete

import (
	"strings"
	"testing"
)

// A "#" in quotation marks begins no comment, so what stands behind it counts as nesting.
func TestNestingBehindQuotes(t *testing.T) {
	deep := strings.Repeat(".a", 100)
	for line, want := range map[string]int{`["#"` + deep + "]": 1, `'#'` + deep + " = 1": 1, `"\"#"` + deep + " = 1": 1,
		"max = 190 # " + deep: 0, `name = "a" # "` + deep: 0} {
		if got := nestedLine(line); got != want {
			t.Errorf("%.40q: line %d, want %d", line, got, want)
		}
	}
}
