package main

import (
	"testing"
)

// The bar is as long at the end as at the start, so that it can be wiped, and
// shorter than the line.
func TestBar(t *testing.T) {
	for _, c := range []struct {
		done, of, columns int
		want              string
	}{
		{0, 120, 80, "[                              ]   0 of 120 files"},
		{60, 120, 80, "[===============               ]  60 of 120 files"},
		{120, 120, 80, "[==============================] 120 of 120 files"},
		{0, 1, 80, "[                              ] 0 of 1 file"},
		{0, 0, 80, "[                              ] 0 of 0 files"},
		{60, 120, 40, "[==========          ]  60 of 120 files"},
		{60, 120, 24, " 60 of 120 files"},
		{60, 120, 10, " 60 of 12"},
		{60, 120, 0, ""},
	} {
		if got := bar(c.done, c.of, c.columns); got != c.want {
			t.Errorf("%d of %d in %d columns: %q", c.done, c.of, c.columns, got)
		}
	}
}
