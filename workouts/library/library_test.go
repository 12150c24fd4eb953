package library

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
)

// folder makes a library of the files given as name and text.
func folder(t testing.TB, files ...string) Library {
	t.Helper()
	l := Library{filepath.Join(t.TempDir(), "library")}
	if err := os.Mkdir(l.Folder, 0o777); err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(files); i += 2 {
		if err := os.WriteFile(filepath.Join(l.Folder, files[i]), []byte(files[i+1]), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return l
}

// contents are the files of a library, hidden ones included, with their texts.
func contents(t testing.TB, l Library) map[string]string {
	t.Helper()
	out := map[string]string{}
	files, err := os.ReadDir(l.Folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if f.IsDir() {
			continue
		}
		b, err := os.ReadFile(filepath.Join(l.Folder, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name()] = string(b)
	}
	return out
}

func TestListReportsDamageAndHidesNothing(t *testing.T) {
	l := folder(t,
		"b.plan", "tags: road\n\n5 x 4:00 off 90s jog\n",
		"a.plan", "5km\n",
		"torn.plan", "5 x 4:00 of 90s",
		"empty.plan", "",
		"binary.plan", "\x00\xff\xfe",
		"Big Name.plan", "8km\n",
		"notes.txt", "not a workout",
		".hidden.plan", "5 x",
		".plan", "5 x")
	if err := os.Mkdir(filepath.Join(l.Folder, "folder.plan"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(l.Folder, "huge.plan"), make([]byte, workouts.MaxBytes+10), 0o666); err != nil {
		t.Fatal(err)
	}
	entries, damaged, err := l.List()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name)
	}
	if diff := cmp.Diff([]string{"Big Name", "a", "b"}, names); diff != "" {
		t.Error(diff)
	}
	if got := entries[2].Workout.Tags; len(got) != 1 || got[0] != "road" {
		t.Errorf("tags %v", got)
	}
	said := map[string]string{}
	for _, d := range damaged {
		said[filepath.Base(d.Path)] = d.Error()
	}
	for file, part := range map[string]string{
		"torn.plan":   filepath.Join(l.Folder, "torn.plan") + ":1:10: ",
		"empty.plan":  "there is no step here",
		"binary.plan": ":1:2: ",
		"folder.plan": "a folder",
		"huge.plan":   "a workout may have",
	} {
		if !strings.Contains(said[file], part) {
			t.Errorf("%s: %q, want %q in it", file, said[file], part)
		}
	}
	if len(damaged) != 5 {
		t.Errorf("%d damaged files, want 5", len(damaged))
	}
	n, found, err := l.Check()
	if err != nil || n != 3 || len(found) != 6 { // the five, and a name
		t.Errorf("%d workouts, problems %v, %v", n, found, err)
	}
	if err := found[5]; !errors.Is(err, ErrName) || !strings.Contains(err.Error(), "big-name would do") {
		t.Error(err)
	}
}

func TestMissingLibrary(t *testing.T) {
	l := Library{filepath.Join(t.TempDir(), "none")}
	if _, _, err := l.List(); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("list: %v", err)
	}
	if _, err := l.Get("a"); !errors.Is(err, ErrUnknown) {
		t.Errorf("get: %v", err)
	}
	for what, err := range map[string]error{
		"rename": l.Rename("a", "b", false),
		"remove": func() error { _, err := l.Remove("a"); return err }(),
	} {
		if err == nil || !strings.Contains(err.Error(), "there is no library yet") {
			t.Errorf("%s: %v", what, err)
		}
	}
	if err := l.Add("a", "5km", false); err != nil {
		t.Errorf("add makes it: %v", err)
	}
}

func TestAddWritesCanonicallyAndKeepsComments(t *testing.T) {
	l := folder(t)
	if err := l.Add("tuesday", "name: Tuesday\n# by feel\n15min warm\n5x4min off 90s jog # quicker\n10:00 cool", false); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"tuesday.plan": "name: Tuesday\n\n# by feel\n15:00 warm\n5 x 4:00 off 1:30 jog  # quicker\n10:00 cool\n"}
	if diff := cmp.Diff(want, contents(t, l)); diff != "" {
		t.Error(diff)
	}
	e, err := l.Get("tuesday")
	if err != nil || e.Workout.Name != "Tuesday" || e.Text != want["tuesday.plan"] {
		t.Errorf("%+v, %v", e, err)
	}
}

// Nothing is overwritten without being told, whatever refuses leaves
// everything as it was.
func TestRefusalsChangeNothing(t *testing.T) {
	l := folder(t, "a.plan", "5km\n", "b.plan", "6km\n", "MIXED.plan", "7km\n")
	before := contents(t, l)
	for what, c := range map[string]struct {
		err  error
		want error
	}{
		"add over another":      {l.Add("a", "8km", false), ErrTaken},
		"add in other case":     {l.Add("mixed", "8km", false), ErrTaken},
		"add under no name":     {l.Add("../a", "8km", false), ErrName},
		"add under a device":    {l.Add("nul", "8km", false), ErrName},
		"rename over another":   {l.Rename("a", "b", false), ErrTaken},
		"rename to no name":     {l.Rename("a", "A B", false), ErrName},
		"rename unknown":        {l.Rename("c", "d", false), ErrUnknown},
		"remove one unknown":    {func() error { _, err := l.Remove("a", "c"); return err }(), ErrUnknown},
		"write over a file":     {WriteFile(l.path("a"), []byte("x"), false), fs.ErrExist},
		"rename through a path": {l.Rename("../library/a", "d", false), ErrUnknown},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: %v, want %v", what, c.err, c.want)
		}
	}
	var mistakes workouts.Diagnostics
	if err := l.Add("c", "5 x", false); !errors.As(err, &mistakes) || mistakes[0].File != "c.plan" {
		t.Errorf("add a mistake: %v", err)
	}
	if diff := cmp.Diff(before, contents(t, l)); diff != "" {
		t.Error(diff)
	}
}

func TestChangesWhenTold(t *testing.T) {
	l := folder(t, "a.plan", "5km\n", "b.plan", "6km\n", "My Run.plan", "7km\n", "torn.plan", "5 x")
	check := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	check(l.Add("a", "8km", true))
	check(l.Rename("b", "a", true))
	check(l.Rename("My Run", "my-run", false))
	texts, err := l.Remove("torn") // damaged ones too
	check(err)
	if diff := cmp.Diff([]string{"5 x"}, texts); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(map[string]string{"a.plan": "6km\n", "my-run.plan": "7km\n"}, contents(t, l)); diff != "" {
		t.Error(diff)
	}
	// A name may change its case only.
	check(os.WriteFile(filepath.Join(l.Folder, "Long.plan"), []byte("9km\n"), 0o666))
	check(l.Rename("Long", "long", false))
}

// A file that is a link stays one, and keeps its permissions.
func TestReplaceKeepsLinkAndMode(t *testing.T) {
	l := folder(t)
	real := filepath.Join(t.TempDir(), "kept-elsewhere")
	if err := os.WriteFile(real, []byte("5km\n"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, l.path("a")); err != nil {
		t.Skip("no links here: ", err)
	}
	if err := l.Add("a", "6km", true); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(l.path("a"))
	if err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("it is no link any more: %v %v", info, err)
	}
	b, _ := os.ReadFile(real)
	if info, _ := os.Stat(real); string(b) != "6km\n" || info.Mode().Perm() != 0o640 {
		t.Errorf("%q with mode %v", b, info.Mode())
	}
}

// What a killed process left behind goes with the next change, and nothing
// else does.
func TestLeftoversAreCleared(t *testing.T) {
	l := folder(t, ".a.plan.77-1.part", "half", ".b.plan.swp", "an editor's", ".gitignore", "x", "a.plan", "5km\n")
	if entries, damaged, err := l.List(); err != nil || len(entries) != 1 || len(damaged) != 0 {
		t.Errorf("%v %v %v", entries, damaged, err)
	}
	if err := l.Add("c", "6km", false); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{".b.plan.swp": "an editor's", ".gitignore": "x", "a.plan": "5km\n", "c.plan": "6km\n"}
	if diff := cmp.Diff(want, contents(t, l)); diff != "" {
		t.Error(diff)
	}
}

func TestGetSuggests(t *testing.T) {
	l := folder(t, "tuesday.plan", "5km\n")
	if _, err := l.Get("teusday"); !errors.Is(err, ErrUnknown) || !strings.HasSuffix(err.Error(), "did you mean tuesday?") {
		t.Error(err)
	}
}

func TestLocate(t *testing.T) {
	env := func(pairs ...string) func(string) string {
		m := map[string]string{}
		for i := 0; i < len(pairs); i += 2 {
			m[pairs[i]] = pairs[i+1]
		}
		return func(k string) string { return m[k] }
	}
	for _, c := range []struct {
		given string
		env   func(string) string
		want  string
	}{
		{"here", env("RUNGS_LIBRARY", "there"), "here"},
		{"", env("RUNGS_LIBRARY", "there", "HOME", "/home/a"), "there"},
		{"", env("XDG_DATA_HOME", "/data", "HOME", "/home/a"), "/data/rungs/library"},
		{"", env("XDG_DATA_HOME", "data", "HOME", "/home/a"), "/home/a/.local/share/rungs/library"},
		{"", env("HOME", "/home/a"), "/home/a/.local/share/rungs/library"},
		{"", env(), ""},
	} {
		l, err := Locate(c.given, c.env)
		if l.Folder != filepath.FromSlash(c.want) || (err != nil) != (c.want == "") {
			t.Errorf("%q: %q, %v; want %q", c.given, l.Folder, err, c.want)
		}
	}
}

func TestNames(t *testing.T) {
	for _, name := range []string{"a", "5k", "tuesday-treadmill", "läufe", "日曜", "sets-of-3-x-2", "å-b", strings.Repeat("a", maxName)} {
		if err := CheckName(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
	for name, suggested := range map[string]string{
		"": "", "Tuesday": "tuesday", "tuesday run": "tuesday-run", "-a": "a", "a-": "a", "a--b": "a-b", "../etc": "etc",
		"a/b": "a-b", `a\b`: "a-b", "a.plan": "a-plan", "nul": "", "com1": "", "a\x00b": "a-b", "a\u202eb": "a-b", "la\u0308ufe": "läufe",
		"\u0301a": "a", "\xff": "", "...": "", "400 m / 200 m": "400-m-200-m", strings.Repeat("a", maxName+1): "",
		strings.Repeat("long ", 20): strings.TrimSuffix(strings.Repeat("long-", 13), "-"), "ǅ": "ǆ",
	} {
		err := CheckName(name)
		if !errors.Is(err, ErrName) {
			t.Errorf("%q: %v", name, err)
			continue
		}
		if got := nameFrom(name); got != suggested {
			t.Errorf("%q: suggests %q, want %q", name, got, suggested)
		}
		if suggested != "" && !strings.Contains(err.Error(), suggested+" would do") {
			t.Errorf("%q: %v does not suggest %s", name, err, suggested)
		}
	}
}

func FuzzNameFrom(f *testing.F) {
	for _, s := range []string{"Tuesday run", "läufe", "nul", "\u0301a", "../../x", "a\x00b", "İ", "ẞ", "a-b-c"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		name := nameFrom(s)
		if name == "" {
			return
		}
		if err := CheckName(name); err != nil {
			t.Fatalf("%q makes %q: %v", s, name, err)
		}
		if again := nameFrom(name); again != name {
			t.Fatalf("%q makes %q makes %q", s, name, again)
		}
		if !utf8.ValidString(name) || strings.ContainsAny(name, "/\\. \x00") {
			t.Fatalf("%q", name)
		}
	})
}

func TestShelf(t *testing.T) {
	entries := Shelf()
	if len(entries) < 20 {
		t.Errorf("%d starters, at least 20 are wanted", len(entries))
	}
	seen := map[likeness.Kind]bool{}
	for i, e := range entries {
		if err := CheckName(e.Name); err != nil {
			t.Error(err)
		}
		formatted, err := notation.Format(e.Name, e.Text)
		if err != nil || formatted != e.Text {
			t.Errorf("%s is not canonical: %v\n%s", e.Name, err, formatted)
		}
		if len(e.Workout.Tags) == 0 || e.Workout.Note == "" {
			t.Errorf("%s has no tags or no note", e.Name)
		}
		seen[likeness.KindOf(e.Workout)] = true
		for _, o := range entries[i+1:] {
			if d := likeness.Distance(e.Workout, o.Workout); 1-d >= LeastLikeness {
				t.Errorf("%s and %s are alike by %.2f", e.Name, o.Name, 1-d)
			}
		}
	}
	for _, k := range []likeness.Kind{likeness.Tempo, likeness.Sets, likeness.OnOff, likeness.Repeats, likeness.Ladder, likeness.Mixed} {
		if !seen[k] {
			t.Errorf("the shelf has no workout of the kind %s", k)
		}
	}
}
