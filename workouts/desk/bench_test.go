package desk

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/block/demo"
	"example.org/rungs/workouts/folder"
)

// thousand is a folder of 1,000 recordings, or the one that RUNGS_BENCH_FOLDER names, and a
// cache of their sums.
func thousand(b *testing.B) (path string, cache *block.Cache) {
	b.Helper()
	path = os.Getenv("RUNGS_BENCH_FOLDER")
	if path == "" {
		path = b.TempDir()
		files := 0
		for week := 0; files < 1000; week++ {
			for _, o := range demo.Week(1, week) {
				made, err := o.Files()
				if err != nil {
					b.Fatal(err)
				}
				for _, f := range made {
					files++
					if err := os.WriteFile(filepath.Join(path, f.Name), f.Data, 0o666); err != nil {
						b.Fatal(err)
					}
				}
			}
		}
	}
	cache, err := block.OpenCache(filepath.Join(os.TempDir(), "rungs-bench-desk"), "bench")
	if err != nil {
		b.Fatal(err)
	}
	return path, cache
}

func benchDesk(b *testing.B, path string, cache *block.Cache) *Desk {
	c, err := block.ParseCalendar("UTC")
	if err != nil {
		b.Fatal(err)
	}
	d, err := Open(Options{Folder: folder.Folder{Path: path}, Calendar: c, Cache: cache, Now: func() time.Time { return time.Date(2027, 1, 1, 21, 0, 0, 0, time.UTC) }})
	if err != nil {
		b.Fatal(err)
	}
	return d
}

// BenchmarkFirstPage opens a desk on 1,000 cached recordings and shows the weeks.
func BenchmarkFirstPage(b *testing.B) {
	path, cache := thousand(b)
	benchDesk(b, path, cache).look(context.Background()) // fills the cache
	for b.Loop() {
		w := benchWindow(b, path, cache)
		w.page("/")
		w.desk.root.Close()
	}
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	b.ReportMetric(float64(m.HeapAlloc)/1e6, "MB-live")
}

// benchWindow is a browser at a desk that has read its folder.
func benchWindow(b *testing.B, path string, cache *block.Cache) *window {
	d := benchDesk(b, path, cache)
	d.look(context.Background())
	return &window{T: &testing.T{}, desk: d, handler: d.handler(host), folder: path, head: goodHead(d)}
}

// page is a page that must be there.
func (w *window) page(path string) string {
	out := w.ask(path)
	if out.Code != 200 {
		panic(out.Body.String())
	}
	return out.Body.String()
}

// BenchmarkActions does what a runner does at a desk on 1,000 recordings, each thing again and
// again: looks at the weeks, opens another session, looks at one again, moves an edge, saves.
func BenchmarkActions(b *testing.B) {
	path, cache := thousand(b)
	w := benchWindow(b, path, cache)
	defer os.Remove(filepath.Join(path, folder.Log))
	s, err := w.desk.scene(context.Background())
	if err != nil {
		b.Fatal(err)
	}
	var names []string
	for i := len(s.told) - 1; i >= 0 && len(names) < 20; i-- {
		names = append(names, "/session/"+s.name(s.told[i]))
	}
	one := names[1]
	i := 0
	for _, x := range []struct {
		name string
		do   func()
	}{
		{"weeks", func() { w.page("/") }},
		{"other-session", func() { w.page(names[i%len(names)]) }},
		{"session", func() { w.page(one) }},
		{"edge", func() { w.ask(one+"/try", "from", "10:00", "to", "14:00", "from", "16:00", "to", "20:00") }},
		{"save-and-show", func() {
			page := w.page(one)
			seen := (&window{T: &testing.T{}}).hidden(page, "seen")
			if out := w.ask(one+"/say", "seen", seen, "note", "note "+strconv.Itoa(i)); out.Code != 303 {
				panic(out.Body.String())
			}
			w.page("/")
		}},
	} {
		b.Run(x.name, func(b *testing.B) {
			for b.Loop() {
				x.do()
				i++
			}
		})
	}
}
