package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkSite is the time of a block of 40 weeks with 200 sessions whose recordings are in
// the cache: its page alone, and the folder with a page for each session, written anew.
func BenchmarkSite(b *testing.B) {
	f := pageFolder{b, b.TempDir()}
	season := f.weeks("season", 1, 40)
	b.Setenv("XDG_CACHE_HOME", f.in("cache"))
	b.Setenv("HOME", f.path) // where other systems keep the cache
	args := []string{"block", "--time-zone", "UTC", "--format", "html"}
	tell := func(b *testing.B, args ...string) {
		b.Helper()
		var out, trouble bytes.Buffer
		if status := run(args, strings.NewReader(""), &out, &trouble); status != exitFine {
			b.Fatalf("status %d: %s", status, trouble.String())
		}
	}
	tell(b, append(args, season)...)
	b.Run("block", func(b *testing.B) {
		for b.Loop() {
			tell(b, append(args, season)...)
		}
		b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N), "ms")
	})
	b.Run("pages", func(b *testing.B) {
		site := filepath.Join(f.path, "site")
		for b.Loop() {
			tell(b, append(args, "--pages", site, season)...)
			b.StopTimer()
			if err := os.RemoveAll(site); err != nil {
				b.Fatal(err)
			}
			b.StartTimer()
		}
		b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N), "ms")
	})
}
