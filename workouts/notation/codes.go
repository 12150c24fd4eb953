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
