package main

import (
	"testing"
)

// The bar is as long at the end as at the start, so that it can be wiped.
func TestBar(t *testing.T) {
	for _, c := range []struct {
		done, of int
		want     string
	}{
		{0, 120, "[                              ]   0 of 120 files"},
		{60, 120, "[===============               ]  60 of 120 files"},
		{120, 120, "[==============================] 120 of 120 files"},
		{0, 0, "[                              ] 0 of 0 files"},
	} {
		if got := bar(c.done, c.of); got != c.want {
			t.Errorf("%d of %d: %q", c.done, c.of, got)
		}
	}
}
