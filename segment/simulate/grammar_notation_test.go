package simulate_test

import (
	"testing"

	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/notation"
)

// What a session of the grammar is called is canonical: read and printed, it is the same.
func TestGrammarNotationIsCanonical(t *testing.T) {
	for seed := range uint64(1500) {
		s := simulate.Grammar(seed)
		w, err := notation.Parse("grammar", s.Notation)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if got := notation.Print(w); got != s.Notation {
			t.Errorf("seed %d: %q is printed as %q", seed, s.Notation, got)
		}
	}
}
