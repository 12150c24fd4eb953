package session

import (
	"strings"
	"testing"

	"example.org/rungs/workouts/report"
)

// Style never changes what stands there: with the attributes taken out, a
// styled page is the plain page.
func TestStyleIsOnlyStyle(t *testing.T) {
	for name, r := range map[string]*report.Report{"split": demoSplit(), "check": demoCheck()} {
		for _, columns := range []int{0, 80, 40} {
			plain := render(t, r, report.Page{Columns: columns})
			styled := render(t, r, report.Page{Columns: columns, Styled: true})
			if strings.Contains(plain, "\x1b") {
				t.Errorf("%s: escape on a plain page", name)
			}
			if !strings.Contains(styled, "\x1b[1m") {
				t.Errorf("%s: no attribute on a styled page", name)
			}
			bare := styled
			for _, sgr := range []string{"\x1b[0m", "\x1b[1m", "\x1b[2m", "\x1b[31m"} {
				bare = strings.ReplaceAll(bare, sgr, "")
			}
			if bare != plain {
				t.Errorf("%s at %d columns: styled differs from plain:\n%s\n%s", name, columns, bare, plain)
			}
		}
	}
}
