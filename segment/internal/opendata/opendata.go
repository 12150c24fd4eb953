// Package opendata finds the folder of open recordings, which is no part of the
// project: tests measure against it where it is.
package opendata

import (
	"os"
	"path/filepath"
)

// A Tester is what Folder needs of a test (testing.TB has it).
type Tester interface {
	Helper()
	Skipf(format string, args ...any)
}

// Folder is the folder of open recordings: the one that the variable RUNGS_DATA
// names, else shared/data beside the folder of the module. Without either it
// skips the test.
func Folder(t Tester) string {
	t.Helper()
	if dir := os.Getenv("RUNGS_DATA"); dir != "" {
		return dir
	}
	dir, err := beside()
	if err != nil {
		t.Skipf("the folder of open recordings is not here (RUNGS_DATA may name it): %v", err)
	}
	return dir
}

// File is a file of the folder; without it the test is skipped.
func File(t Tester, name string) string {
	t.Helper()
	path := filepath.Join(Folder(t), name)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("%s is not among the open recordings (RUNGS_DATA may name their folder): %v", name, err)
	}
	return path
}

// Runs are the recordings of single runs in the folder, in the order of their
// names; without any the test is skipped.
func Runs(t Tester) []string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(Folder(t), "real-*.csv"))
	if err != nil || len(all) == 0 {
		t.Skipf("no open recordings are in %s", Folder(t))
	}
	return all
}

// beside looks for shared/data beside the module, whose root holds go.mod.
func beside() (string, error) {
	at, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			dir := filepath.Join(at, "..", "shared", "data")
			_, err := os.Stat(dir)
			return dir, err
		}
		up := filepath.Dir(at)
		if up == at {
			return "", os.ErrNotExist
		}
		at = up
	}
}
