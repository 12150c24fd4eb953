package recording

import (
	"archive/zip"
	"bytes"
	"errors"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const tinyCSV = "t_s,distance_m,hr\n0,0,140\n1,3,140\n"

// zipped makes an archive of name, content pairs, in that order.
func zipped(t testing.TB, members ...string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(members); i += 2 {
		w, err := z.Create(members[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(members[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// walk gives the recordings of all files of paths, or an error in place of each.
func walk(paths []string) iter.Seq2[*Recording, error] {
	return func(yield func(*Recording, error) bool) {
		for p, err := range Files(paths) {
			var raw []byte
			if err == nil {
				raw, err = ReadFile(p)
			}
			if err != nil {
				if !yield(nil, err) {
					return
				}
				continue
			}
			for r, err := range Each(p, raw) {
				if !yield(r, err) {
					return
				}
			}
		}
	}
}

// walkAll lists what walk gives: names, and errors without the folder.
func walkAll(dir string, paths ...string) []string {
	var got []string
	for r, err := range walk(paths) {
		if err != nil {
			got = append(got, "! "+strings.ReplaceAll(err.Error(), dir+string(filepath.Separator), ""))
		} else {
			got = append(got, strings.TrimPrefix(r.Name, dir+string(filepath.Separator)))
		}
	}
	return got
}

func TestWalk(t *testing.T) {
	dir := t.TempDir()
	write := func(name, data string) {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	two := string(fitRun(each(5, base, 1), steady).bytes())
	write("week/b.fit", two+two)
	write("week/a.csv.gz", gzipped(tinyCSV))
	write("week/c/deep.gpx", gpx(trkpt(0, ""), trkpt(1, "")))
	write("week/bad.fit", "no FIT file")
	write("week/run-without-extension", two)
	write("week/notes.txt", "a note")
	write("week/photo.jpg", "\xff\xd8\xff\xe0")
	write("week/.hidden.fit", two)
	write("week/.trash/d.fit", two)
	write("week/z.zip", zipped(t, "second.csv", tinyCSV, "first/r.fit", two, "readme.md", "x", "__MACOSX/._r.fit", "x",
		"broken.gpx", "<gpx>", "inner.zip", zipped(t, "i.csv", tinyCSV), "nofile.csv", ""))
	write("empty/notes.txt", "a note")
	want := []string{
		"week/a.csv.gz", "week/b.fit#1", "week/b.fit#2",
		`! week/bad.fit: is text, and no recording: its first line is "no FIT file"; give a FIT, GPX or TCX file, or a CSV file whose first line names its columns (t_s or time, and distance_m, speed_mps, pace, hr_bpm ...)`,
		"week/c/deep.gpx", "week/run-without-extension",
		"! week/z.zip/broken.gpx:1:6: the file breaks off here; export the file again",
		"week/z.zip/first/r.fit", "week/z.zip/inner.zip/i.csv",
		"! week/z.zip/nofile.csv: is empty; copy it from the device again",
		"week/z.zip/second.csv",
		"! gone: does not exist; check the name",
		"! empty: holds no recording; give a FIT, GPX, TCX or CSV file",
		"week/a.csv.gz",
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	if err := os.Symlink(in("week/c"), in("link")); err == nil { // not every system has links
		if got := walkAll(dir, in("link")); !slices.Equal(got, []string{"link/deep.gpx"}) {
			t.Errorf("a link to a folder: %v", got)
		}
	}
	paths := []string{in("week"), in("gone"), in("empty"), in("week/a.csv.gz")}
	for range 2 {
		if got := walkAll(dir, paths...); !slices.Equal(got, want) {
			t.Fatalf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	// Stopping early is quiet at every point.
	for stop := range want {
		n := 0
		for range walk(paths) {
			if n == stop {
				break
			}
			n++
		}
	}
	all, err := Open(in("week/z.zip"))
	var known *Error
	if len(all) != 3 || !errors.As(err, &known) || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("the archive opened: %d recordings, %v", len(all), err)
	}
}

func TestArchiveLimits(t *testing.T) {
	usual := limits{bytes: 10_000, archiveBytes: 10_000, members: 3, records: 100, marks: 100}
	with := func(change func(*limits)) limits { l := usual; change(&l); return l }
	for _, c := range []struct {
		name, data string
		lim        limits
		recs       int
		is         error
		says       string
	}{
		{"bomb.gz", gzipped(strings.Repeat(" ", 10_001)), usual, 0, ErrTooLarge,
			"bomb.gz: has more than 10000 bytes when decompressed; a recording of one run is far smaller; is it the right file?"},
		{"bomb.zip", zipped(t, "1.csv", strings.Repeat(" ", 10_001)), usual, 0, ErrTooLarge,
			"bomb.zip/1.csv: has more than 10000 bytes when decompressed; a recording of one run is far smaller; is it the right file?"},
		{"many.zip", zipped(t, "1", "", "2", "", "3", "", "4", ""), usual, 0, ErrTooLarge,
			"many.zip: holds more than 3 files; unpack it and give the files you need"},
		{"sum.zip", zipped(t, "1.csv", tinyCSV, "2.csv", tinyCSV, "3.csv", tinyCSV), with(func(l *limits) { l.archiveBytes = int64(2*len(tinyCSV) - 1) }), 2, ErrTooLarge,
			"sum.zip: has more than 67 bytes when decompressed; unpack it and give the files you need"},
		{"nested", gzipped(gzipped(gzipped(tinyCSV))), usual, 0, ErrFormat, "nested: is an archive in an archive in an archive; unpack it first"},
		{"broken.gz", gzipped(tinyCSV)[:12], usual, 0, ErrDamaged, "broken.gz: is compressed and damaged: unexpected EOF; copy it again"},
		{"broken.zip", zipped(t, "1.csv", tinyCSV)[:60], usual, 0, ErrDamaged, "broken.zip: is a damaged zip archive: zip: not a valid zip file; copy it again"},
		{"empty.zip", zipped(t), usual, 0, ErrNoRecords, "empty.zip: holds no recording; give a FIT, GPX, TCX or CSV file"},
	} {
		all, err := read(c.name, strings.NewReader(c.data), c.lim)
		if len(all) != c.recs || !errors.Is(err, c.is) || err.Error() != c.says {
			t.Errorf("%s: %d recordings, %v, want %s", c.name, len(all), err, c.says)
		}
	}
}

// Files, ReadFile and Each are the steps of Walk, for who takes them apart.
func TestFilesAndEachAreWalk(t *testing.T) {
	dir := t.TempDir()
	two := string(fitRun(each(5, base, 1), steady).bytes())
	for name, data := range map[string]string{
		"b.fit": two + two, "a.csv": tinyCSV, "bad.fit": "no FIT file", "notes.txt": "a note",
		"z.zip": zipped(t, "second.csv", tinyCSV, "first.fit", two, "broken.gpx", "<gpx>"),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	paths := []string{dir, filepath.Join(dir, "missing.fit"), filepath.Join(dir, "a.csv")}
	var got []string
	note := func(name string, err error) {
		if err != nil {
			name = "! " + strings.ReplaceAll(err.Error(), dir+string(filepath.Separator), "")
		}
		got = append(got, strings.TrimPrefix(name, dir+string(filepath.Separator)))
	}
	for path, err := range Files(paths) {
		if err != nil {
			note("", err)
			continue
		}
		raw, err := ReadFile(path)
		if err != nil {
			note("", err)
			continue
		}
		for r, err := range Each(path, raw) {
			if err != nil {
				note("", err)
				continue
			}
			note(r.Name, nil)
		}
	}
	want := walkAll(dir, paths...)
	if len(want) != 9 || !slices.Equal(got, want) {
		t.Errorf("step by step\n%s\nWalk\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	n := 0
	for range Files([]string{dir}) {
		if n++; n == 2 {
			break
		}
	}
	if n != 2 {
		t.Errorf("stopped after %d files", n)
	}
}
