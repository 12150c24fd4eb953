package desk

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"maps"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/likeness"
)

// A ground is what the recordings of the folder come to. It is made when the desk opens, and
// again of the files that are new or changed.
type ground struct {
	mu    sync.Mutex
	now   *sums
	ready chan struct{} // closed when the folder was read for the first time
	files map[string]file
	seen  map[string]file // new or changed at the last look, read at the next one if they stay so; of look alone

	reading progress
}

// progress is how far the reading of files is.
type progress struct{ Done, Of int }

// sums are the sessions at one moment. They do not change.
type sums struct {
	serial   int // grows with every change of the folder
	runs     []block.Run
	sessions []block.Run         // of runs, as Merge has them
	warnings []recording.Warning // of Merge
	broken   []broken
	courses  func() []likeness.Course // of runs, made once
}

// A broken file could not be read, or not all of it.
type broken struct {
	Name string // in the folder, with slashes
	Why  string
}

// A file is what is known of one in the folder.
type file struct {
	size    int64
	changed time.Time
	holds   bool // a recording, or several
	runs    []block.Run
	errs    []error
}

// same tells whether nothing shows that a file was changed.
func (f file) same(o file) bool { return f.size == o.size && f.changed.Equal(o.changed) }

// watchEvery is how often the folder is looked at. What is put there is seen at the first look
// and read at the second, so within two seconds.
const watchEvery = 700 * time.Millisecond

// watch reads the folder, and what is new in it, until ctx is done.
func (d *Desk) watch(ctx context.Context) {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		d.look(ctx)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// look reads what is new in the folder; only names, sizes and times are read of the rest.
func (d *Desk) look(ctx context.Context) {
	g := &d.ground
	found := d.list()
	g.mu.Lock()
	was, now := g.files, g.now
	g.mu.Unlock()
	first := now == nil
	if first {
		was = d.recall()
	}
	todo, gone := g.news(found, was, first)
	if !first && len(todo) == 0 && !gone {
		now.courses() // in a quiet moment, so that histories need not wait for them
		return
	}
	d.read(ctx, todo, found)
	if ctx.Err() != nil {
		return
	}
	changed := gone || slices.ContainsFunc(todo, func(name string) bool { return found[name].holds || was[name].holds })
	var next *sums
	if changed || first { // a log changes nothing
		next = d.sumUp(found)
	}
	if changed {
		defer d.remember(found)
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	g.files, g.reading = found, progress{}
	if next == nil {
		return
	}
	if g.now != nil {
		next.serial = g.now.serial + 1
	}
	g.now = next
	if first {
		close(g.ready)
	}
}

// recall gives what is known of the files from the last time.
func (d *Desk) recall() map[string]file {
	files := map[string]file{}
	for path, s := range d.gatherer().Recall(d.Folder.Path) {
		if name, err := filepath.Rel(d.Folder.Path, path); err == nil {
			files[filepath.ToSlash(name)] = file{size: s.Size, changed: s.Changed, holds: s.Holds, runs: s.Runs}
		}
	}
	return files
}

// remember keeps what is known of the files for the next time; broken ones are read again.
func (d *Desk) remember(files map[string]file) {
	known := map[string]block.Stamped{}
	for name, f := range files {
		if len(f.errs) == 0 {
			known[filepath.Join(d.Folder.Path, filepath.FromSlash(name))] = block.Stamped{Size: f.size, Changed: f.changed, Holds: f.holds, Runs: f.runs}
		}
	}
	d.gatherer().Remember(d.Folder.Path, known)
}

// news gives the names of the files to be read, in order, and tells whether recordings are
// gone. What is known already of a file is put into found.
func (g *ground) news(found, was map[string]file, first bool) (todo []string, gone bool) {
	seen := map[string]file{}
	for name, f := range found {
		switch old, ok := was[name]; {
		case ok && old.same(f):
			found[name] = old
		case first || g.seen[name].same(f):
			todo = append(todo, name)
		default: // it may still be being copied
			seen[name] = f
			if delete(found, name); ok {
				found[name] = old
			}
		}
	}
	g.seen = seen
	for name, f := range was {
		_, there := found[name]
		gone = gone || !there && f.holds
	}
	slices.Sort(todo)
	return todo, gone
}

// sumUp makes the sessions of all files.
func (d *Desk) sumUp(found map[string]file) *sums {
	next := &sums{serial: 1}
	for _, name := range slices.Sorted(maps.Keys(found)) {
		f := found[name]
		next.runs = append(next.runs, f.runs...)
		for _, err := range f.errs {
			next.broken = append(next.broken, broken{name, err.Error()})
		}
	}
	next.courses = sync.OnceValue(func() []likeness.Course { return coursesOf(next.runs) })
	next.sessions, next.warnings = d.gatherer().Merge(next.runs)
	return next
}

// coursesOf are the courses of runs; those that have none are empty.
func coursesOf(runs []block.Run) []likeness.Course {
	out := make([]likeness.Course, len(runs))
	for i, r := range runs {
		if r.LeftOut == "" {
			out[i] = r.Course()
		}
	}
	return out
}

func (d *Desk) gatherer() block.Gatherer { return block.Gatherer{Cache: d.Cache, Known: d.Known} }

// list gives the files of the folder by their names in it. Those that a link leads to outside
// of it are none, and neither is what a dot hides.
func (d *Desk) list() map[string]file {
	found := map[string]file{}
	fs.WalkDir(d.root.FS(), ".", func(name string, e fs.DirEntry, err error) error {
		switch {
		case err != nil: // of a folder that cannot be read now, or went away
			return nil
		case name != "." && strings.HasPrefix(path.Base(name), "."):
			if e.IsDir() {
				return fs.SkipDir
			}
			return nil
		case e.IsDir():
			return nil
		}
		info, err := d.root.Stat(filepath.FromSlash(name))
		if err == nil && info.Mode().IsRegular() {
			found[name] = file{size: info.Size(), changed: info.ModTime()}
		}
		return nil
	})
	return found
}

// read makes the sums of the named files, on all cores.
func (d *Desk) read(ctx context.Context, names []string, into map[string]file) {
	g := &d.ground
	g.mu.Lock()
	g.reading = progress{Of: len(names)}
	g.mu.Unlock()
	next := make(chan string)
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(names)) {
		all.Go(func() {
			for name := range next {
				f := d.readFile(ctx, name, into, &g.mu)
				g.mu.Lock()
				into[name] = f
				g.reading.Done++
				g.mu.Unlock()
			}
		})
	}
	for _, name := range names {
		if ctx.Err() != nil {
			break
		}
		next <- name
	}
	close(next)
	all.Wait()
}

// readFile makes the sums of one file, when it is a recording.
func (d *Desk) readFile(ctx context.Context, name string, from map[string]file, mu *sync.Mutex) file {
	mu.Lock()
	f := from[name]
	mu.Unlock()
	f.holds = recording.Looks(name, func() (io.ReadCloser, error) { return d.root.Open(filepath.FromSlash(name)) })
	if f.holds {
		one := d.gatherer()
		one.Workers = 1
		at := filepath.Join(d.Folder.Path, filepath.FromSlash(name))
		f.runs, f.errs = one.Gather(ctx, []string{at})
		for i := range f.runs { // what is told of them is where they are in the folder
			f.runs[i].File = name + strings.TrimPrefix(f.runs[i].File, at)
		}
	}
	return f
}

// errStill says that the folder is being read for the first time.
var errStill = errors.New("the folder is being read")

// patience is how long a page waits for the first reading before it shows how far it is: what
// is in the cache is read in that time.
const patience = 700 * time.Millisecond

// sums gives the sessions as they are now, or errStill.
func (d *Desk) sums(ctx context.Context) (*sums, error) {
	wait := time.NewTimer(patience)
	defer wait.Stop()
	select {
	case <-d.ground.ready:
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-wait.C:
		return nil, errStill
	}
	d.ground.mu.Lock()
	defer d.ground.mu.Unlock()
	return d.ground.now, nil
}

// serial is that of the sums as they are now; 0 while they are not read yet.
func (d *Desk) serial() int {
	d.ground.mu.Lock()
	defer d.ground.mu.Unlock()
	if d.ground.now == nil {
		return 0
	}
	return d.ground.now.serial
}

// progress is how far the reading is; Of is 0 when nothing is being read.
func (d *Desk) progress() progress {
	d.ground.mu.Lock()
	defer d.ground.mu.Unlock()
	return d.ground.reading
}
