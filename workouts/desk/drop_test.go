package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/rungs/workouts/folder"
)

// drop posts files by their names, in turns of a name and its contents.
func (w *window) drop(files ...string) []dropped {
	w.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for i := 0; i < len(files); i += 2 {
		p, err := m.CreateFormFile("files", files[i])
		if err != nil {
			w.Fatal(err)
		}
		io.WriteString(p, files[i+1])
	}
	m.Close()
	head := w.head.Clone()
	defer func() { w.head = head }()
	w.head.Set("Content-Type", m.FormDataContentType())
	w.head.Set("Accept", "application/json")
	out := w.send(http.MethodPost, "/new", &body)
	var all []dropped
	if err := json.Unmarshal(out.Body.Bytes(), &all); err != nil {
		w.Fatalf("status %d: %s", out.Code, out.Body)
	}
	return all
}

// names are the files of the folder, with slashes.
func (w *window) names() (out []string) {
	w.Helper()
	filepath.WalkDir(w.folder, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(w.folder, path)
			out = append(out, filepath.ToSlash(rel))
		}
		return nil
	})
	return out
}

// Recordings that are dropped are kept as they are, under a name that no other file has; what is
// no recording is not kept. They are on the pages when the folder was looked at twice.
func TestDrop(t *testing.T) {
	w := open(t, map[string]string{"training-log.txt": "", "tue.csv": "mine"})
	run := reps(t, "08 18:04")
	all := w.drop("tue.csv", run, "tue.csv", run, "broken.fit", "no recording", "photo.jpg", "not one either", "empty.csv", "", "wed.csv", easy(t, "09 07:00"))
	var told []string
	for _, x := range all {
		told = append(told, x.Name+" "+x.What)
	}
	want := []string{"tue-2.csv is kept.", "tue-2.csv was here already.", "broken.fit is kept.",
		"photo.jpg is not kept: it is no recording (FIT, GPX, TCX, CSV; plain, gzip or zip).", "empty.csv is not kept: it is empty.", "wed.csv is kept."}
	if strings.Join(told, "\n") != strings.Join(want, "\n") {
		t.Errorf("told\n%s\nwant\n%s", strings.Join(told, "\n"), strings.Join(want, "\n"))
	}
	if w.file("tue.csv") != "mine" || w.file("tue-2.csv") != run {
		t.Error("a file was changed")
	}
	if got := strings.Join(w.names(), " "); got != "broken.fit training-log.txt tue-2.csv tue.csv wed.csv" {
		t.Errorf("the folder has %s", got)
	}
	w.desk.look(context.Background())
	w.desk.look(context.Background())
	w.shows("/", "/session/"+tuesday, "2 recordings could not be read")
	w.shows("/new", "broken.fit", "tue.csv", "Tue 8 Sep 2026, 18:04")
}

// Names that lead elsewhere, are hidden or cannot be names of files everywhere are made plain.
func TestDroppedNames(t *testing.T) {
	for given, want := range map[string]string{
		"../../etc/passwd.csv": "passwd.csv", `..\..\evil.fit`: "evil.fit", "/abs.gpx": "abs.gpx", ".hidden.csv": "hidden.csv", "..": "recording", "": "recording",
		"a\x00b.csv": "a-b.csv", "CON:1?.csv": "CON-1-.csv", "läuf 走.fit": "läuf 走.fit", "new\nline.csv": "new-line.csv", "x.csv. . ": "x.csv",
		strings.Repeat("ü", 300) + ".csv": strings.Repeat("ü", 58) + ".csv", "training-log.txt": "training-log.txt",
	} {
		if got := fileName(given); got != want && !(len(got) <= mostName && strings.HasSuffix(got, want[len(want)-4:]) && len(given) > 300) {
			t.Errorf("%q becomes %q, want %q", given, got, want)
		}
	}
	w := open(t, map[string]string{"training-log.txt": "2026-09-08 hard\n", "recordings/x.csv": easy(t, "07 07:00")})
	w.drop("../../out.csv", easy(t, "08 07:00"), "training-log.txt", easy(t, "09 07:00"))
	if got := strings.Join(w.names(), " "); got != "recordings/out.csv recordings/training-log.txt recordings/x.csv training-log.txt" || w.file("training-log.txt") != "2026-09-08 hard\n" {
		t.Errorf("the folder has %s", got)
	}
}

// What is put into the folder by hand is seen at the second look, when it is whole; what is taken
// away goes; and nothing but recordings makes pages new.
func TestFolderIsWatched(t *testing.T) {
	w := open(t, map[string]string{"training-log.txt": ""})
	ctx := context.Background()
	serial := func() int { s, _ := w.desk.sums(ctx); return s.serial }
	before := serial()
	text := easy(t, "08 07:00")
	w.put("run.csv", text[:len(text)/2])
	w.desk.look(ctx)
	w.put("run.csv", text) // it was still being copied
	w.desk.look(ctx)
	if serial() != before {
		t.Error("half a file was read")
	}
	w.desk.look(ctx)
	if serial() != before+1 {
		t.Error("a file that is whole was not read")
	}
	w.shows("/", "/session/2026-09-08-070000")
	w.put("training-log.txt", "2026-09-08 hard\n")
	w.desk.look(ctx)
	w.desk.look(ctx)
	if serial() != before+1 {
		t.Error("the log is taken for a recording")
	}
	if err := os.Remove(filepath.Join(w.folder, "run.csv")); err != nil {
		t.Fatal(err)
	}
	w.desk.look(ctx)
	if out := w.ask("/session/2026-09-08-070000"); out.Code != http.StatusNotFound {
		t.Errorf("a file that is gone is shown: status %d", out.Code)
	}
}

// While the folder is read for the first time, pages say how far that is, and come by
// themselves, also without the script.
func TestReadingIsTold(t *testing.T) {
	d, err := Open(Options{Folder: folder.Folder{Path: t.TempDir()}})
	if err != nil {
		t.Fatal(err)
	}
	defer d.root.Close()
	w := &window{T: t, desk: d, handler: d.handler(host), head: goodHead(d)}
	d.ground.reading = progress{Done: 3, Of: 7}
	for _, path := range []string{"/", "/new"} {
		w.shows(path, "3 of 7 files are read", `<progress max="7" value="3"`, `<noscript><meta http-equiv="refresh"`)
	}
	w.shows("/news", `{"serial":0,"done":3,"of":7}`)
	if out := w.ask("/session/" + tuesday); out.Code != http.StatusServiceUnavailable {
		t.Errorf("a session before the folder is read: status %d", out.Code)
	}
	d.look(context.Background())
	w.shows("/", "No sessions in these days")
}
