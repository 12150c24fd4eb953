//go:build unix

package library

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// What is no workout is removed without being read: a pipe that nobody writes
// to, a link to a device without end, a link to nothing, an empty folder. Of a
// folder with files it is said what to do.
func TestRemoveWhatIsNoWorkout(t *testing.T) {
	l := Library{t.TempDir()}
	if err := unix.Mkfifo(l.path("pipe"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, to := range map[string]string{"endless": "/dev/zero", "broken": "nowhere"} {
		if err := os.Symlink(to, l.path(name)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.MkdirAll(filepath.Join(l.path("full"), "x"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(l.path("folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	texts, err := l.Remove("pipe", "endless", "broken", "folder")
	if err != nil || !slices.Equal(texts, make([]string, 4)) {
		t.Errorf("removed %q, %v", texts, err)
	}
	if _, err := l.Remove("full"); err == nil || !strings.Contains(err.Error(), "move them away first") {
		t.Errorf("a folder with files in it: %v", err)
	}
	if names, err := l.names(); err != nil || !slices.Equal(names, []string{"full"}) {
		t.Errorf("left are %q, %v", names, err)
	}
}
