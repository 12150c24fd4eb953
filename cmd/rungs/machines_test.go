//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// The map on two machines and the fold of its lines give the bytes of one process.
func TestTwoMachinesGiveTheSameBytes(t *testing.T) {
	if _, err := exec.LookPath("parallel"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("GNU parallel is missing")
		}
		t.Skip("there is no GNU parallel here")
	}
	t.Setenv("HOME", t.TempDir())
	for _, format := range []string{"text", "json"} {
		out, err := exec.Command(filepath.Join("..", "..", "testdata", "two-machines"), "rungs", filepath.Join("..", "..", "testdata", "demo"), "--format", format).CombinedOutput()
		if err != nil || !strings.Contains(string(out), "the same from two machines as in one process") {
			t.Errorf("%s: %v\n%s", format, err, out)
		}
	}
}
