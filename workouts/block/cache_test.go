package block

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

func openCache(t testing.TB, folder, version string) *Cache {
	t.Helper()
	c, err := OpenCache(folder, version)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// entriesOf lists the entries of a cache.
func entriesOf(t testing.TB, c *Cache) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(c.Folder(), "*"))
	if err != nil {
		t.Fatal(err)
	}
	return paths
}

// With the cache the result is the same, whatever happened to it: kept,
// damaged in any way, deleted before or meanwhile, of another version.
func TestCacheKeepsResults(t *testing.T) {
	folder, place := t.TempDir(), t.TempDir()
	writeWeek(t, folder, 5)
	want := told(t, Gatherer{}, folder)
	same := func(when string, c *Cache) {
		t.Helper()
		if got := told(t, Gatherer{Cache: c}, folder); got != want {
			t.Errorf("%s: another result", when)
		}
		if err := c.Failed(); err != nil {
			t.Errorf("%s: %v", when, err)
		}
	}
	c := openCache(t, place, "1")
	same("empty", c)
	paths := entriesOf(t, c)
	if len(paths) != 7 { // six files and a session joined of two
		t.Fatalf("%d entries", len(paths))
	}
	same("full", c)

	// Nothing is made anew: an entry that says something else that can be is believed,
	// but for those of recordings that another one stands for. One that cannot be, a
	// distance that its parts do not add up to, is made anew.
	var raw []byte
	believed := 0
	for _, p := range paths {
		var err error
		if raw, err = os.ReadFile(p); err != nil {
			t.Fatal(err)
		}
		_, body, _ := strings.Cut(string(raw), "\n")
		rewrite := func(body string) {
			if err := os.WriteFile(p, []byte(hash([]byte(body))+"\n"+body), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		rewrite(strings.Replace(body, `"start":"2026`, `"start":"2025`, 1))
		if got := told(t, Gatherer{Cache: c}, folder); got != want {
			believed++
		}
		rewrite(strings.ReplaceAll(body, `"distance_m":`, `"distance_m":1`))
		absurd := openCache(t, place, "1")
		same("absurd", absurd)
		if absurd.Damaged() != 1 {
			t.Errorf("%d entries are called damaged, of one absurd", absurd.Damaged())
		}
		if err := os.WriteFile(p, raw, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if believed < 3 {
		t.Errorf("%d of %d entries are used", believed, len(paths))
	}

	damages := []func(path string) error{
		func(p string) error { return os.WriteFile(p, nil, 0o600) },
		func(p string) error { return os.WriteFile(p, raw[:len(raw)/2], 0o600) },
		func(p string) error { return os.WriteFile(p, []byte("rubbish\n"), 0o600) },
		func(p string) error {
			flipped := append([]byte(nil), raw...)
			flipped[len(flipped)/2] ^= 1
			return os.WriteFile(p, flipped, 0o600)
		},
		func(p string) error {
			return os.WriteFile(p, []byte(hash([]byte(`[{"file":3}]`))+"\n"+`[{"file":3}]`), 0o600)
		},
		func(p string) error { os.Remove(p); return os.Mkdir(p, 0o700) },
		func(p string) error {
			os.Remove(p)
			if err := os.Mkdir(p, 0o700); err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(p, "x"), nil, 0o600)
		},
	}
	for i, damage := range damages {
		c = openCache(t, place, "1")
		if err := damage(paths[i%len(paths)]); err != nil {
			t.Fatal(err)
		}
		same("damaged", c)
		if c.Damaged() != 1 && i > 0 || i == 0 && c.Damaged() < 1 {
			t.Errorf("damage %d: %d entries damaged", i, c.Damaged())
		}
		c = openCache(t, place, "1")
		same("mended", c)
		if c.Damaged() != 0 {
			t.Errorf("damage %d was not mended", i)
		}
	}

	if err := os.RemoveAll(c.Folder()); err != nil {
		t.Fatal(err)
	}
	if got := told(t, Gatherer{Cache: c}, folder); got != want {
		t.Error("deleted while open: another result")
	}
	if c.Failed() == nil {
		t.Error("deleted while open: nothing is said")
	}

	// Versions keep apart; the one before last goes.
	for _, v := range []string{"1", "2", "3"} {
		same("version "+v, openCache(t, place, v))
	}
	folders, err := os.ReadDir(place)
	if err != nil || len(folders) != 2 {
		t.Errorf("%d versions are kept, %v", len(folders), err)
	}
}

// A place that cannot be used is an error, and what others put there stays.
func TestCachePlace(t *testing.T) {
	place := t.TempDir()
	file := filepath.Join(place, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenCache(filepath.Join(file, "cache"), "1"); err == nil {
		t.Error("a folder was made in a file")
	}
	if err := os.MkdirAll(filepath.Join(place, "notes"), 0o700); err != nil {
		t.Fatal(err)
	}
	c := openCache(t, place, "1")
	left := filepath.Join(c.Folder(), unfinished+"123")
	if err := os.WriteFile(left, []byte("half an entry"), 0o600); err != nil {
		t.Fatal(err)
	}
	openCache(t, place, "1")
	if _, err := os.Stat(left); err == nil {
		t.Error("what an interrupted process left is still there")
	}
	for _, keep := range []string{file, filepath.Join(place, "notes")} {
		if _, err := os.Stat(keep); err != nil {
			t.Error(err)
		}
	}
	var none *Cache
	none.put("key", 1)
	if none.get("key", new(int), nil) || none.Damaged() != 0 || none.Failed() != nil {
		t.Error("no cache keeps something")
	}
}

// Several at once, opening, reading and writing the same entries.
func TestCacheShared(t *testing.T) {
	folder, place := t.TempDir(), t.TempDir()
	writeWeek(t, folder, 5)
	want := told(t, Gatherer{}, folder)
	var wait sync.WaitGroup
	for range 6 {
		wait.Go(func() {
			c, err := OpenCache(place, "1")
			if err != nil {
				t.Error(err)
				return
			}
			if got := told(t, Gatherer{Cache: c}, folder); got != want {
				t.Error("another result beside others")
			}
			if c.Damaged() != 0 || c.Failed() != nil {
				t.Errorf("beside others: %d entries damaged, %v", c.Damaged(), c.Failed())
			}
		})
	}
	wait.Wait()
}

// Zones are the athlete's; sums are kept without them.
func TestCacheKnowsNoAthlete(t *testing.T) {
	folder := t.TempDir()
	writeWeek(t, folder, 1)
	c := openCache(t, t.TempDir(), "1")
	runs, _ := Gatherer{Cache: c}.Gather(t.Context(), []string{folder})
	again, _ := Gatherer{Cache: c}.Gather(t.Context(), []string{folder})
	upper := func(runs []Run, maxHR float64) float64 {
		a := newAthleteWith(maxHR)
		return New(runs, runs, a, calendar(t, "UTC")).Whole.Heart.UpperTwoS()
	}
	if low, high := upper(runs, 170), upper(again, 200); !(low > high) || upper(again, 170) != low {
		t.Errorf("%.0f s in the upper two with a maximum of 170, %.0f s with 200", low, high)
	}
}
