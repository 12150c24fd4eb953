package site

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func page(name, text string) Page {
	return Page{name, []byte("<html><head>" + mark + "</head>" + text)}
}

// holds tells what is in a folder.
func holds(t *testing.T, folder string) string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return strings.Join(names, " ")
}

// Pages with the same contents keep their time, pages of ours that are no longer wanted go,
// and what is not ours stays.
func TestWriteTouchesOnlyWhatChanged(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "a", "b")
	if n, _, err := Write(folder, []Page{page("index.html", "1"), page("a.html", "a"), page("b.html", "b")}); n != 3 || err != nil {
		t.Fatal(n, err)
	}
	own := filepath.Join(folder, "own.html")
	if err := os.WriteFile(own, []byte("mine"), 0o666); err != nil {
		t.Fatal(err)
	}
	old := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, name := range []string{"index.html", "a.html"} {
		if err := os.Chtimes(filepath.Join(folder, name), old, old); err != nil {
			t.Fatal(err)
		}
	}
	n, gone, err := Write(folder, []Page{page("index.html", "2"), page("a.html", "a")})
	if n != 1 || gone != 1 || err != nil {
		t.Fatal(n, gone, err)
	}
	for name, touched := range map[string]bool{"index.html": true, "a.html": false} {
		info, err := os.Stat(filepath.Join(folder, name))
		if err != nil || info.ModTime().Equal(old) == touched {
			t.Errorf("%s: changed at %v, %v", name, info.ModTime(), err)
		}
	}
	if got := holds(t, folder); got != "a.html index.html own.html" {
		t.Errorf("the folder holds %s", got)
	}
}

// What stands in the way is found before anything is written.
func TestWriteWholeOrNotAtAll(t *testing.T) {
	for name, put := range map[string]func(path string) error{
		"a file of someone else": func(path string) error { return os.WriteFile(path, []byte("mine"), 0o666) },
		"a folder":               func(path string) error { return os.MkdirAll(path, 0o777) },
	} {
		folder := t.TempDir()
		if err := put(filepath.Join(folder, "b.html")); err != nil {
			t.Fatal(err)
		}
		_, _, err := Write(folder, []Page{page("index.html", "1"), page("a.html", "a"), page("b.html", "b")})
		if err == nil || !strings.Contains(err.Error(), "b.html") {
			t.Errorf("%s: %v", name, err)
		}
		if name == "a file of someone else" && !errors.Is(err, ErrNotOurs) {
			t.Errorf("%s: %v", name, err)
		}
		if got := holds(t, folder); got != "b.html" {
			t.Errorf("%s: the folder holds %s", name, got)
		}
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Write(file, []Page{page("index.html", "1")}); err == nil || !strings.Contains(err.Error(), "is no folder") {
		t.Errorf("a file for a folder: %v", err)
	}
}

// A page that cannot be written beside its place leaves all as it was.
func TestWriteLeavesTheOldOnFailure(t *testing.T) {
	folder := t.TempDir()
	if _, _, err := Write(folder, []Page{page("index.html", "1"), page("a.html", "a")}); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(folder, ".a.html.part"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, ".a.html.part", "x"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, _, err := Write(folder, []Page{page("index.html", "2"), page("a.html", "b")}); err == nil {
		t.Error("no error")
	}
	b, err := os.ReadFile(filepath.Join(folder, "index.html"))
	if err != nil || !strings.HasSuffix(string(b), "1") {
		t.Errorf("the front page is %q, %v", b, err)
	}
	if got := holds(t, folder); got != ".a.html.part a.html index.html" {
		t.Errorf("the folder holds %s", got)
	}
}
