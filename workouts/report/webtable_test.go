package report

import (
	"fmt"
	"regexp"
	"strconv"
	"testing"
)

// hiddenColumns reads the numbers of the columns that a rule of a table hides.
func hiddenColumns(t *testing.T, rules, within string) map[int]bool {
	t.Helper()
	m := regexp.MustCompile(regexp.QuoteMeta(within) + ` tr>:is\(([^{]*)\)\{display:none\}`).FindStringSubmatch(rules)
	if m == nil {
		t.Fatalf("no rule for %s in %s", within, rules)
	}
	hidden := map[int]bool{}
	for _, n := range regexp.MustCompile(`\d+`).FindAllString(m[1], -1) {
		k, err := strconv.Atoi(n)
		if err != nil {
			t.Fatal(err)
		}
		hidden[k-1] = true
	}
	return hidden
}

// On a phone every column is there: at first, or when the others are asked for, with those
// that name its rows.
func TestPhoneColumns(t *testing.T) {
	wide := Table{Rows: [][]Cell{{}}}
	for i := range 14 {
		wide.Columns = append(wide.Columns, Column{Head: fmt.Sprint("column ", i), Rank: i})
		wide.Rows[0] = append(wide.Rows[0], Cell{Text: "4:05"})
	}
	x := wide.web("t")
	if len(x.Folds) == 0 {
		t.Fatal("all columns fit on a phone")
	}
	rules := x.rules()
	states := []map[int]bool{hiddenColumns(t, rules, "#t:not(:has(.rest[open]))")}
	for k := range x.Folds {
		states = append(states, hiddenColumns(t, rules, fmt.Sprintf("#t:has(.f%d[open])", k+1)))
	}
	for i, c := range x.Columns {
		shown := 0
		for _, hidden := range states {
			if !hidden[i] {
				shown++
			}
		}
		if shown == 0 || i == 0 && shown < len(states) {
			t.Errorf("a phone shows %q in %d of %d states", c.Text, shown, len(states))
		}
	}
	for _, row := range x.Rows {
		if len(row) != len(x.Columns) {
			t.Errorf("%d cells under %d heads", len(row), len(x.Columns))
		}
	}
}
