//go:build unix

package block

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/muktihari/fit/decoder"
	"github.com/tormoder/fit"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block/demo"
)

// processorTime is what this process has used on all cores. Other work on the machine changes
// it far less than the time by the clock.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// benchFolder writes simulated recordings.
func benchFolder(b *testing.B) (folder string, paths []string) {
	b.Helper()
	folder = b.TempDir()
	for week := 1; week <= benchWeeks(b); week++ {
		for _, o := range demo.Week(1, week) {
			files, err := o.Files()
			if err != nil {
				b.Fatal(err)
			}
			for _, f := range files {
				path := filepath.Join(folder, f.Name)
				if err := os.WriteFile(path, f.Data, 0o600); err != nil {
					b.Fatal(err)
				}
				paths = append(paths, path)
			}
		}
	}
	return folder, paths
}

// onAllCores does something with every file.
func onAllCores(b *testing.B, paths []string, do func(raw []byte) error) {
	next := make(chan string)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for path := range next {
				raw, err := os.ReadFile(path)
				if err == nil {
					err = do(raw)
				}
				if err != nil {
					b.Error(err)
				}
			}
		})
	}
	for _, p := range paths {
		next <- p
	}
	close(next)
	wait.Wait()
}

// realFolder writes open recordings as FIT files, each on so many days that there are as many files as simulated
// ones; they are no part of the project (RUNGS_DATA may name their folder), and without them the benchmark is skipped.
func realFolder(b *testing.B) (folder string, paths []string) {
	b.Helper()
	from := cmp.Or(os.Getenv("RUNGS_DATA"), filepath.Join("..", "..", "..", "shared", "data"))
	open, err := filepath.Glob(filepath.Join(from, "real-*.csv"))
	if err != nil || len(open) == 0 {
		b.Skipf("no open recordings are in %s", from)
	}
	folder = b.TempDir()
	const aWeek = 5.4 // simulated recordings
	days := max(1, int(aWeek*float64(benchWeeks(b))/float64(len(open))))
	for i, name := range open {
		list, err := recording.Open(name)
		if err != nil {
			b.Fatal(err)
		}
		for k := range days * len(list) {
			rec := list[k%len(list)]
			rec.Start = time.Date(2020, 1, 1+len(paths), 8, 0, 0, 0, time.UTC)
			var out bytes.Buffer
			if err := simulate.WriteFIT(&out, rec); err != nil {
				b.Fatal(err)
			}
			path := filepath.Join(folder, fmt.Sprintf("%d-%d.fit", i, k))
			if err := os.WriteFile(path, out.Bytes(), 0o600); err != nil {
				b.Fatal(err)
			}
			paths = append(paths, path)
		}
	}
	return folder, paths
}

// BenchmarkBlock is what a folder of simulated recordings costs, BenchmarkRealBlock one of real
// ones, per file: decoded and no more, by the library that reads here and by another, read as
// recordings, read and split, hashed and no more, added up without a cache, with an empty one, and
// with a full one.
func BenchmarkBlock(b *testing.B) {
	folder, paths := benchFolder(b)
	benchBlock(b, folder, paths)
}

func BenchmarkRealBlock(b *testing.B) {
	folder, paths := realFolder(b)
	benchBlock(b, folder, paths)
}

func benchBlock(b *testing.B, folder string, paths []string) {
	// Garbage is collected as seldom as the command has it.
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(32<<20 + 8<<20*int64(runtime.GOMAXPROCS(0))))
	// measure does something b.N times.
	measure := func(b *testing.B, do func()) {
		runtime.GC() // of what was done before
		used, n := processorTime(b), 0
		for b.Loop() {
			do()
			n++
		}
		used = processorTime(b) - used
		b.ReportMetric(used.Seconds()*1000/float64(n*len(paths)), "cpu-ms/file")
	}
	b.Run("decode", func(b *testing.B) {
		measure(b, func() {
			onAllCores(b, paths, func(raw []byte) error {
				_, err := decoder.New(bytes.NewReader(raw)).Decode()
				return err
			})
		})
	})
	b.Run("decode by another", func(b *testing.B) {
		measure(b, func() {
			onAllCores(b, paths, func(raw []byte) error {
				_, err := fit.Decode(bytes.NewReader(raw))
				return err
			})
		})
	})
	b.Run("read", func(b *testing.B) {
		measure(b, func() {
			onAllCores(b, paths, func(raw []byte) error {
				_, err := recording.Read("x", bytes.NewReader(raw))
				return err
			})
		})
	})
	b.Run("read and split", func(b *testing.B) {
		measure(b, func() {
			onAllCores(b, paths, func(raw []byte) error {
				list, err := recording.Read("x", bytes.NewReader(raw))
				for _, r := range list {
					if _, err := segment.Split(r); err != nil {
						return err
					}
				}
				return err
			})
		})
	})
	b.Run("hash", func(b *testing.B) {
		measure(b, func() {
			onAllCores(b, paths, func(raw []byte) error {
				if sha256.Sum256(raw) == [sha256.Size]byte{} {
					return errors.New("all zero")
				}
				return nil
			})
		})
	})
	add := func(b *testing.B, c *Cache) {
		g := Gatherer{Cache: c}
		runs, errs := g.Gather(context.Background(), []string{folder})
		if len(errs) > 0 || len(runs) != len(paths) {
			b.Fatal(len(runs), errs)
		}
		sessions, _ := g.Merge(runs)
		New(sessions, runs, athlete.New(), Calendar{Home: time.UTC, FirstDay: time.Monday}).Report(Telling{})
	}
	b.Run("first", func(b *testing.B) {
		measure(b, func() {
			add(b, nil)
		})
	})
	b.Run("first with a cache", func(b *testing.B) {
		measure(b, func() {
			c, err := OpenCache(b.TempDir(), "1")
			if err != nil {
				b.Fatal(err)
			}
			add(b, c)
		})
	})
	b.Run("cached", func(b *testing.B) {
		c, err := OpenCache(b.TempDir(), "1")
		if err != nil {
			b.Fatal(err)
		}
		add(b, c)
		measure(b, func() {
			add(b, c)
		})
	})
}
