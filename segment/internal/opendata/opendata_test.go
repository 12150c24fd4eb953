package opendata

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A fake test remembers what it was skipped for.
type fake struct{ skipped string }

func (f *fake) Helper() {}
func (f *fake) Skipf(format string, args ...any) {
	if f.skipped == "" {
		f.skipped = format
	}
}

// The variable goes before the folder beside the module, which is found from any
// depth; without both the test is skipped and says what would help.
func TestFolder(t *testing.T) {
	root := t.TempDir()
	for _, dir := range []string{"module/a/b", "shared/data"} {
		if err := os.MkdirAll(filepath.Join(root, dir), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"module/go.mod", "shared/data/real-x.csv"} {
		if err := os.WriteFile(filepath.Join(root, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("RUNGS_DATA", "")
	t.Chdir(filepath.Join(root, "module", "a", "b"))
	f := &fake{}
	if runs := Runs(f); f.skipped != "" || len(runs) != 1 || filepath.Base(runs[0]) != "real-x.csv" {
		t.Errorf("found %v, skipped for %q", runs, f.skipped)
	}
	if File(f, "gone.csv"); !strings.Contains(f.skipped, "RUNGS_DATA") {
		t.Errorf("a file that is not there: skipped for %q", f.skipped)
	}
	t.Setenv("RUNGS_DATA", "/elsewhere")
	if got := Folder(f); got != "/elsewhere" {
		t.Errorf("the variable names /elsewhere, found %s", got)
	}
	t.Setenv("RUNGS_DATA", "")
	t.Chdir(root)
	f = &fake{}
	if Folder(f); !strings.Contains(f.skipped, "RUNGS_DATA") {
		t.Errorf("outside a module: skipped for %q", f.skipped)
	}
}
