package planfile

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"example.org/rungs/workouts"
)

// What another program wrote since the text was shown is not written over.
func TestSaveLeavesOthersAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "training-plan.txt")
	const first, second = "starts: 2026-09-07\n", "starts: 2026-09-07\nweek 1\n  tue: 8km easy\n"
	if err := Save(path, Mark(""), first); err != nil {
		t.Fatal(err)
	}
	if err := Save(path, Mark(""), second); !errors.Is(err, ErrChanged) {
		t.Errorf("a file that was not there when it was shown: %v", err)
	}
	if err := Save(path, Mark(first), second); err != nil {
		t.Error(err)
	}
	if err := Save(path, Mark(first), first+"# mine"); !errors.Is(err, ErrChanged) || !strings.Contains(err.Error(), "do it again") {
		t.Errorf("a file that another one changed: %v", err)
	}
	var found workouts.Diagnostics
	if err := Save(path, Mark(second), "week 1"); !errors.As(err, &found) {
		t.Errorf("a text that cannot be read: %v", err)
	}
	if src, err := Load(path); err != nil || src != second {
		t.Errorf("%q, %v", src, err)
	}
	if files, _ := os.ReadDir(filepath.Dir(path)); len(files) != 1 {
		t.Errorf("left %v", files)
	}
	if _, err := Load(filepath.Dir(path)); err == nil {
		t.Error("a folder was read")
	}
}

// Writers that each look again when they are refused lose nothing.
func TestManyWriters(t *testing.T) {
	path := filepath.Join(t.TempDir(), "training-plan.txt")
	if err := Save(path, Mark(""), "starts: 2026-09-07\nweek 1\n"); err != nil {
		t.Fatal(err)
	}
	const writers, each = 3, 4
	var all sync.WaitGroup
	for w := range writers {
		all.Go(func() {
			for n := range each {
				for {
					src, err := Load(path)
					if err != nil {
						t.Error(err)
						return
					}
					text, err := Read("p", src)
					if err == nil {
						text, err = text.Put(text.Plan.Starts, fmt.Sprintf("%dkm easy", 1+w*each+n))
					}
					if err != nil {
						t.Error(err)
						return
					}
					if err = Save(path, Mark(src), text.String()); err == nil {
						break
					} else if !errors.Is(err, ErrChanged) {
						t.Error(err)
						return
					}
				}
			}
		})
	}
	all.Wait()
	src, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	for n := range writers * each {
		if !strings.Contains(src, fmt.Sprintf("mon: %dkm easy\n", n+1)) {
			t.Errorf("%d km is lost:\n%s", n+1, src)
		}
	}
}
