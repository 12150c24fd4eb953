package desk

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/library"
)

// BenchmarkPlans plans at a desk on 1,000 recordings: tells a plan at a key, shows the page of a
// plan, the library, a workout with its history when nothing is known of it but what the cache
// keeps, and once more, and the block; puts a session on a day.
func BenchmarkPlans(b *testing.B) {
	path, cache := thousand(b)
	plan := filepath.Join(path, folder.Plan)
	if err := os.WriteFile(plan, []byte("starts: 2026-12-28\nweek 1\n  tue: often\n"), 0o666); err != nil {
		b.Fatal(err)
	}
	defer os.Remove(plan)
	w := benchWindow(b, path, cache)
	w.desk.Library = library.Library{Folder: b.TempDir()}
	s, err := w.desk.scene(context.Background())
	if err != nil {
		b.Fatal(err)
	}
	times, most := map[string]int{}, ""
	for _, r := range s.all {
		if times[r.Main]++; r.Main != "" && times[r.Main] > times[most] {
			most = r.Main
		}
	}
	if err := w.desk.Library.Add("often", "15:00 warm + "+most+" + 10:00 cool", false); err != nil {
		b.Fatal(err)
	}
	w.page("/library/often") // fills the cache
	w.desk.look(context.Background())
	for _, x := range []struct {
		name string
		do   func()
	}{
		{"key", func() {
			w.ask("/plan/look", "text", "15:00 warm + 2 x ( 5 x 400m @ 3:30-3:40/km off 200m jog ) off 800m jog")
		}},
		{"plan", func() { w.page("/plan") }},
		{"library", func() { w.page("/library") }},
		{"workout-first", func() {
			w.desk.scenes.key = "" // as after a note
			w.page("/library/often")
		}},
		{"workout", func() { w.page("/library/often") }},
		{"block", func() { w.page("/block") }},
		{"put-and-take", func() {
			for _, post := range [][]string{{"/block/put", "workout", "8km easy"}, {"/block/take", "index", "0"}} {
				w.ask(post[0], append(post[1:], "day", time.Date(2026, 12, 30, 0, 0, 0, 0, time.UTC).Format(time.DateOnly), "seen", token(w.file(folder.Plan)))...)
			}
		}},
	} {
		b.Run(x.name, func(b *testing.B) {
			for b.Loop() {
				x.do()
			}
		})
	}
	b.Logf("%d runs of %s", times[most], most)
}
