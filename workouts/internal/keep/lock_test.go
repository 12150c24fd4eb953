package keep

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Both ways of locking let one in at a time, and the next after it.
func TestLocksExclude(t *testing.T) {
	for name, try := range map[string]func(string) (func(), bool, error){"folder": tryLock, "file": tryLockFile} {
		folder := t.TempDir()
		unlock, ok, err := try(folder)
		if err != nil || !ok {
			t.Fatalf("%s: %v %v", name, ok, err)
		}
		if _, ok, err := try(folder); err != nil || ok {
			t.Errorf("%s: locked twice: %v %v", name, ok, err)
		}
		unlock()
		unlock, ok, err = try(folder)
		if err != nil || !ok {
			t.Fatalf("%s: not unlocked: %v %v", name, ok, err)
		}
		unlock()
		if files, err := os.ReadDir(folder); err != nil || len(files) > 0 {
			t.Errorf("%s: left %v, %v", name, files, err)
		}
		if _, _, err := try(filepath.Join(folder, "missing")); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: a missing folder: %v", name, err)
		}
	}
}

// A lock file that was left over gives way, a fresh one does not.
func TestStaleLockFileGivesWay(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, lockName)
	if err := os.WriteFile(path, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, ok, err := tryLockFile(folder); ok || err != nil {
		t.Errorf("a fresh lock gave way: %v %v", ok, err)
	}
	old := time.Now().Add(-2 * lockStale)
	if err := os.Chtimes(path, old, old); err != nil {
		t.Fatal(err)
	}
	tryLockFile(folder) // clears it away
	unlock, ok, err := tryLockFile(folder)
	if !ok || err != nil {
		t.Fatalf("a stale lock did not give way: %v %v", ok, err)
	}
	unlock()
}
