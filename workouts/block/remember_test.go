package block

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// What is remembered of a folder is what was read, to the last figure and with what reads it
// again; a file changed just now is not remembered, nothing is of another folder, and a
// damaged entry is none.
func TestRemember(t *testing.T) {
	c, err := OpenCache(t.TempDir(), "test")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("..", "..", "testdata", "demo", "tuesday-treadmill.fit")
	runs, errs := Gatherer{Cache: c}.Gather(context.Background(), []string{path})
	if len(errs) > 0 || len(runs) != 1 {
		t.Fatal(errs)
	}
	g := Gatherer{Cache: c}
	old := time.Now().Add(-time.Hour).Round(0)
	g.Remember("a", map[string]Stamped{
		path: {Size: 7, Changed: old, Holds: true, Runs: runs}, "notes.txt": {Size: 3, Changed: old}, "new.fit": {Changed: time.Now(), Holds: true},
	})
	got := g.Recall("a")
	if len(got) != 2 || got["notes.txt"].Size != 3 || got[path].Size != 7 || !got[path].Changed.Equal(old) || !got[path].Holds || len(got[path].Runs) != 1 {
		t.Fatalf("%+v", got)
	}
	r := got[path].Runs[0]
	if r.key != runs[0].key || r.path != runs[0].path || cmp.Diff(r.Full().Detail, runs[0].Full().Detail) != "" || r.File != runs[0].File || !r.Start.Equal(runs[0].Start) || r.DistanceM != runs[0].DistanceM {
		t.Errorf("%+v is remembered as %+v", runs[0], r)
	}
	if rec, err := r.Recording(); err != nil || rec.Len() == 0 {
		t.Errorf("it cannot be read again: %v", err)
	}
	if got := g.Recall("b"); got != nil {
		t.Errorf("of another folder: %v", got)
	}
	if err := os.WriteFile(filepath.Join(c.Folder(), g.filesKey("a")), []byte("damaged"), 0o666); err != nil {
		t.Fatal(err)
	}
	if got := g.Recall("a"); got != nil {
		t.Errorf("damaged: %v", got)
	}
	var none Gatherer
	none.Remember("a", nil)
	if got := none.Recall("a"); got != nil {
		t.Errorf("without a cache: %v", got)
	}
}
