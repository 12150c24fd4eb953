package block

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
)

// Files that were not changed are known without being read, and a file that was is never taken
// for what it was, even where its size and the time of its content are the same.
func TestStampsAreNotFooled(t *testing.T) {
	t.Parallel() // it waits
	folder := t.TempDir()
	path := filepath.Join(folder, "run.csv")
	table := func(metres string) []byte {
		var b bytes.Buffer
		b.WriteString("time,distance_m\n")
		at := time.Date(2026, 9, 7, 7, 0, 0, 0, time.UTC)
		for i := range 61 {
			b.WriteString(at.Add(time.Duration(i)*10*time.Second).Format(time.RFC3339) + "," + metres[:1] + string(rune('0'+i/10)) + string(rune('0'+i%10)) + "\n")
		}
		return b.Bytes()
	}
	if err := os.WriteFile(path, table("1"), 0o600); err != nil {
		t.Fatal(err)
	}
	before := stampOf(path)
	if before == (stamp{}) {
		t.Skip("no stamps here")
	}
	c := openCache(t, t.TempDir(), "1")
	start := func() string {
		t.Helper()
		runs, errs := Gatherer{Cache: c}.Gather(context.Background(), []string{folder})
		if len(errs) > 0 || len(runs) != 1 {
			t.Fatalf("%d runs, %v", len(runs), errs)
		}
		return runs[0].key
	}
	first := start()
	if c.stamps([]string{folder}).key(path, before) != "" {
		t.Error("a file that was made just now is known by its stamp")
	}
	time.Sleep(stampAge + 100*time.Millisecond)
	if start() != first {
		t.Error("another key")
	}
	if got := c.stamps([]string{folder}).key(path, before); got+"-0" != first {
		t.Errorf("known as %q, want %q", got, first)
	}
	if err := os.WriteFile(path, table("2"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(path, time.Time{}, time.Unix(0, before.Changed)); err != nil {
		t.Fatal(err)
	}
	if is := stampOf(path); is.Size != before.Size || is.Changed != before.Changed {
		t.Fatalf("the stamp is %+v, was %+v", is, before)
	}
	raw, err := recording.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := start(); got != hash(raw)+"-0" || got == first {
		t.Errorf("the changed file is taken for %q, want %q", got, hash(raw)+"-0")
	}
}

// A stamp that leads to an entry that is lost or damaged costs reading the file again.
func TestStampOfALostEntry(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "run.fit")
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "tuesday-treadmill.fit"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, entry := range map[string][]byte{"lost": nil, "damaged": []byte("x")} {
		c := openCache(t, t.TempDir(), "1")
		list := c.stamps([]string{folder})
		list.now, list.anew = []stampedKey{{path, stampOf(path), hash(raw)}}, true
		list.keep(c)
		if entry != nil {
			if err := os.WriteFile(filepath.Join(c.Folder(), hash(raw)), entry, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		runs, errs := Gatherer{Cache: c}.Gather(context.Background(), []string{folder})
		if len(errs) > 0 || len(runs) != 1 || runs[0].DistanceM < 9000 || c.Damaged() != len(entry) {
			t.Errorf("%s: %d runs, %v, %d damaged", name, len(runs), errs, c.Damaged())
		}
	}
}
