package main

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/rungs/workouts/library"
)

// Commands that replace a file are killed at any moment of their life: each
// time the file is whole, old or new, and the library holds nothing damaged.
func TestKilledCommandsLeaveFilesWhole(t *testing.T) {
	kills := 15
	if os.Getenv("RUNGS_THOROUGH") != "" {
		kills = 200
	}
	written := strings.Repeat("15min warm\n", 600)
	canonical := strings.Repeat("15:00 warm\n", 600)
	other := strings.Repeat("400m\n", 2000)
	source := filepath.Join(t.TempDir(), "source.plan")
	if err := os.WriteFile(source, []byte(other), 0o666); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args func(folder string) []string
		done string
	}{
		"fmt": {func(folder string) []string { return []string{"fmt", "-w", filepath.Join(folder, "a.plan")} }, canonical},
		"add": {func(folder string) []string {
			return []string{"library", "add", "--library", folder, "--replace", "a", source}
		}, other},
	} {
		t.Run(name, func(t *testing.T) {
			old, done := 0, 0
			for range kills {
				l := library.Library{Folder: t.TempDir()}
				path := filepath.Join(l.Folder, "a.plan")
				if err := os.WriteFile(path, []byte(written), 0o666); err != nil {
					t.Fatal(err)
				}
				cmd := exec.Command("rungs", c.args(l.Folder)...)
				if err := cmd.Start(); err != nil {
					t.Fatal(err)
				}
				time.Sleep(time.Duration(rand.IntN(25_000)) * time.Microsecond)
				cmd.Process.Kill()
				cmd.Wait()
				b, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				switch string(b) {
				case written:
					old++
				case c.done:
					done++
				default:
					t.Fatalf("%d bytes, neither the old %d nor the new %d", len(b), len(written), len(c.done))
				}
				if n, problems, err := l.Check(); err != nil || n != 1 || len(problems) > 0 {
					t.Fatalf("%d workouts, %v, %v", n, problems, err)
				}
			}
			t.Logf("%d times old, %d times new", old, done)
		})
	}
}
