package notation

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// formatCases are library files and what Format makes of them.
var formatCases = []struct{ name, in, want string }{
	{"a line becomes a line an item", "15min warm+5x4min off 90s jog+10min cool",
		"15:00 warm\n5 x 4:00 off 1:30 jog\n10:00 cool\n"},
	{"already canonical", "name: Four by four\ntags: hard, track\nnote: first read the air\n\n15:00 warm\n4 x 4:00 off 3:00 jog\n",
		"name: Four by four\ntags: hard, track\nnote: first read the air\n\n15:00 warm\n4 x 4:00 off 3:00 jog\n"},
	{"the header in its order", "NOTE: second\nTags: b a,c\n\nname:  Hills  \n30min easy",
		"name: Hills\ntags: b, a, c\nnote: second\n\n30:00 easy\n"},
	{"notes of several lines", "note: one\nnote: two\n30min easy", "note: one\nnote: two\n\n30:00 easy\n"},
	{"comments above, behind and below", "#first\n15:00 warm#on the path\n\n\n# the reps\n5 x 4:00 off 90s   #   by feel\n# last",
		"# first\n15:00 warm  # on the path\n\n# the reps\n5 x 4:00 off 1:30  # by feel\n# last\n"},
	{"comments within a group move above it", "3 x ( # three\n  800m # eight\n  # then\n  400m\n) # sets\noff 3:00\n",
		"# three\n# eight\n# then\n# sets\n3 x ( 800m + 400m ) off 3:00\n"},
	{"comments of the header stay with their line", "# what\nname: Hills\n# why\nnote: strength\n# how\n\n6 x 45s off open walk\n",
		"# what\nname: Hills\n# why\nnote: strength\n\n# how\n\n6 x 45s off open walk\n"},
	{"a comment behind the last of several items", "10:00 warm + 20:00 @ half + 10:00 cool # easy\n",
		"10:00 warm\n20:00 @ half\n10:00 cool  # easy\n"},
	{"a comment behind a plus", "10:00 warm + # soft\n20:00\n", "10:00 warm  # soft\n20:00\n"},
	{"a group that is none", "( 10:00 warm + 20:00 ) # both\n", "10:00 warm\n20:00  # both\n"},
	{"line ends of other systems", "10:00 warm\r\n# c\r20:00\r\n", "10:00 warm\n# c\n20:00\n"},
	{"a byte order mark", "\ufeffname: x\n30:00 easy", "name: x\n\n30:00 easy\n"},
	{"an empty header value", "name:\n30:00 easy", "30:00 easy\n"},
	{"an empty comment", "#\n30:00 easy #", "#\n30:00 easy  #\n"},
}

func TestFormat(t *testing.T) {
	for _, c := range formatCases {
		got, err := Format("f", c.in)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s:\n%s", c.name, diff)
		}
		check(t, c.in)
	}
}

func TestFormatReportsMistakes(t *testing.T) {
	got, err := Format("hills.txt", "name: Hills\n\n6 x 45 off open walk\n")
	if ds, ok := err.(Diagnostics); !ok || got != "" || ds[0].Summary() != "hills.txt:3:5: 45 of what?" {
		t.Errorf("got %q and %v", got, err)
	}
}
