package folder

import (
	"os"
	"path/filepath"
	"testing"
)

func touch(t *testing.T, path string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
}

// The nearest folder upward that holds any of the files is found, and its path
// leads there from the working folder. The temporary folder has none above.
func TestFind(t *testing.T) {
	root := t.TempDir()
	deep := filepath.Join(root, "runs", "2026", "september")
	touch(t, filepath.Join(deep, "tuesday.fit"))
	if err := os.MkdirAll(filepath.Join(deep, Log), 0o700); err != nil { // a folder of that name is no log
		t.Fatal(err)
	}
	t.Chdir(deep)
	touch(t, filepath.Join(root, Athlete)) // which alone makes no training folder
	if f, ok := Find("."); ok {
		t.Errorf("found %v where there is none", f)
	}
	for _, c := range []struct{ file, want string }{
		{"training-log.txt", "../../.."},
		{"runs/training-plan.txt", "../.."},
		{"runs/2026/training-log.txt", ".."},
	} {
		touch(t, filepath.Join(root, c.file))
		f, ok := Find(".")
		if !ok || f.Path != filepath.FromSlash(c.want) {
			t.Errorf("with %s found %q, want %q", c.file, f.Path, c.want)
		}
	}
	f, _ := Find(".")
	if f.LogPath() != filepath.Join("..", Log) || f.PlanPath() != "" || f.AthletePath() != "" {
		t.Errorf("%q, %q, %q", f.LogPath(), f.PlanPath(), f.AthletePath())
	}
	f, ok := Find(filepath.Join(root, "runs"))
	if !ok || f.PlanPath() != filepath.Join(root, "runs", Plan) {
		t.Errorf("%v, %q", ok, f.PlanPath())
	}
}

// A folder that an athlete file names is found from that file, from home, or anywhere.
func TestNamed(t *testing.T) {
	whole := t.TempDir()
	file, home := filepath.Join("config", "rungs", Athlete), filepath.Join(whole, "me")
	for _, c := range []struct{ path, home, want string }{
		{"runs", home, filepath.Join("config", "rungs", "runs")},
		{"../../runs/", home, "runs"},
		{"~/runs", home, filepath.Join(home, "runs")},
		{"~/runs", "", filepath.Join("config", "rungs", "~", "runs")},
		{whole, home, whole},
	} {
		if got := Named(c.path, file, c.home).Path; got != c.want {
			t.Errorf("%q with home %q is %q, want %q", c.path, c.home, got, c.want)
		}
	}
}
