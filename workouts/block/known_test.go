package block

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/segment"
)

// legs writes a recording of legs run at an even speed, as seconds and m/s.
func legs(t *testing.T, path string, list ...float64) {
	t.Helper()
	var b strings.Builder
	b.WriteString("time,distance_m\n2026-09-08T17:00:00Z,0\n")
	at, d := 0, 0.0
	for i := 0; i < len(list); i += 2 {
		for range int(list[i]) {
			at, d = at+1, d+list[i+1]
			fmt.Fprintf(&b, "2026-09-08T17:%02d:%02dZ,%.2f\n", at/60, at%60, d)
		}
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o666); err != nil {
		t.Fatal(err)
	}
}

// Sums are those that the workouts of the runner make, whatever else the cache has: none, one
// with which a session is read otherwise, and another one again. Sums that no workout would change
// are kept once for all.
func TestKnownInCache(t *testing.T) {
	dir := t.TempDir()
	legs(t, filepath.Join(dir, "tens.csv"), 611, 3, 600, 3.15, 120, 2.6, 600, 3.15, 612, 2.9)
	legs(t, filepath.Join(dir, "fours.csv"), 600, 3, 240, 4, 90, 2.5, 240, 4, 90, 2.5, 240, 4, 600, 2.8)
	tens := segment.Known{Name: "tens", Reps: []segment.Amount{{Seconds: 600}, {Seconds: 600}}, Rests: []segment.Amount{{Seconds: 120}}}
	other := segment.Known{Name: "other", Reps: []segment.Amount{{Metres: 5000}}}
	c, err := OpenCache(t.TempDir(), "test")
	if err != nil {
		t.Fatal(err)
	}
	mains := map[string]string{}
	for _, known := range [][]segment.Known{nil, {tens}, nil, {other}, {tens, other}, {tens}} {
		with := Gatherer{Cache: c, Known: known}
		kept, errs := with.Gather(context.Background(), []string{dir})
		anew, more := Gatherer{Known: known}.Gather(context.Background(), []string{dir})
		if len(errs)+len(more) > 0 || len(kept) != 2 {
			t.Fatal(errs, more, len(kept))
		}
		for i := range kept {
			if kept[i].Main != anew[i].Main || cmp.Diff(kept[i].Packed, anew[i].Packed) != "" {
				t.Errorf("%d workouts: %s is %q from the cache and %q without", len(known), kept[i].File, kept[i].Main, anew[i].Main)
			}
			mains[fmt.Sprint(len(known), " ", filepath.Base(kept[i].File))] = kept[i].Main
		}
	}
	if mains["2 tens.csv"] != "2 x 10:00 off 2:00 jog" || mains["0 tens.csv"] == mains["2 tens.csv"] {
		t.Errorf("%v", mains)
	}
	files, err := os.ReadDir(c.Folder())
	if err != nil || len(files) != 2+3 { // fours.csv once; tens.csv without workouts, and with each list
		t.Errorf("%d entries, %v", len(files), err)
	}
}
