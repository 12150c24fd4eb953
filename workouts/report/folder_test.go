package report

import (
	"path/filepath"
	"testing"
)

func TestFolderOf(t *testing.T) {
	for _, c := range []struct {
		names  []string
		folder string
		last   string // as it stands in its row
		note   string
	}{
		{nil, "", "", ""},
		{[]string{"a.fit"}, "", "a.fit", ""},
		{[]string{"runs/a.fit"}, "runs/", "a.fit", "Folder of the recordings: runs"},
		{[]string{"/home/me/runs/may/a.fit", "/home/me/runs/june/b.fit"}, "/home/me/runs/", "june/b.fit", "Folder of the recordings: /home/me/runs"},
		{[]string{"runs/a.fit", "runs-2/b.fit"}, "", "runs-2/b.fit", ""}, // begin alike, share no folder
		{[]string{"runs/a/x.fit", "b.fit"}, "", "b.fit", ""},
		{[]string{"/a.fit", "/b/c.fit"}, "/", "b/c.fit", "Folder of the recordings: /"},
		{[]string{"/a.fit", "b.fit"}, "", "b.fit", ""},
		{[]string{"../a/x.fit", "../b/y.fit"}, "../", "b/y.fit", "Folder of the recordings: .."},
	} {
		names := make([]string, len(c.names))
		for i, name := range c.names {
			names[i] = filepath.FromSlash(name)
		}
		f := FolderOf(names)
		if f != Folder(filepath.FromSlash(c.folder)) {
			t.Errorf("%q: folder %q, want %q", names, f, c.folder)
		}
		if len(names) > 0 {
			if got := f.Inside(names[len(names)-1]); got != filepath.FromSlash(c.last) {
				t.Errorf("%q: %q in its row, want %q", names, got, c.last)
			}
		}
		note := ""
		for _, n := range f.Note() {
			note += n
		}
		if note != filepath.FromSlash(c.note) {
			t.Errorf("%q: note %q, want %q", names, note, c.note)
		}
	}
}
