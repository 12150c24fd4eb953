package notation

import (
	"slices"
	"strings"

	"example.org/rungs/workouts"
)

// Codes of the diagnostics. They never vary; the manual has a section on each.
const (
	codeAmount    = "amount"
	codeCharacter = "character"
	codeClock     = "clock"
	codeCount     = "count"
	codeDepth     = "depth"
	codeEmpty     = "empty"
	codeHeader    = "header"
	codeHeart     = "heart"
	codeJoin      = "join"
	codeLimit     = "limit"
	codeManner    = "manner"
	codeOffset    = "offset"
	codePace      = "pace"
	codeParen     = "parenthesis"
	codePlus      = "plus"
	codePrecise   = "precision"
	codeRest      = "rest"
	codeTarget    = "target"
	codeTolerance = "tolerance"
	codeTooBig    = "size"
	codeUnit      = "unit"
)

// mannerWords and unitWords are what a mistyped word may have been meant for,
// in a fixed order.
var (
	mannerWords = func() []string {
		words := []string{"off"}
		for _, m := range workouts.Manners {
			words = append(words, string(m))
		}
		return words
	}()
	unitWords = func() []string {
		var words []string
		for w := range units {
			words = append(words, w)
		}
		slices.Sort(words)
		return words
	}()
)

func listManners() string { return strings.Join(mannerWords[1:], ", ") }

// nearest is the word that can be had from s with the fewest edits, at most
// two and fewer than half its letters; empty when there is none.
func nearest(s string, words []string) string {
	best, least := "", 3
	for _, w := range words {
		if d := edits(s, w); d < least && 2*d < max(len(s), len(w))+1 {
			best, least = w, d
		}
	}
	return best
}

// edits is the number of letters to insert, delete, change or swap with their
// neighbour that turns a into b (Damerau 1964, optimal string alignment); 3
// or more is not counted out.
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > 2 || len(y)-len(x) > 2 {
		return 3
	}
	rows := [3][]int{make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		row, above, before := rows[i%3], rows[(i+2)%3], rows[(i+1)%3]
		row[0] = i
		for j := 1; j <= len(y); j++ {
			change := above[j-1]
			if x[i-1] != y[j-1] {
				change++
			}
			row[j] = min(change, above[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
	}
	return rows[len(x)%3][len(y)]
}
