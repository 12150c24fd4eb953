package block

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"example.org/rungs/segment"
	"example.org/rungs/segment/input"
	"example.org/rungs/segment/recording"
)

// A Gatherer makes the sums of many files, on all cores. What it has in memory
// at a time are the recordings that the cores work on and the sums.
type Gatherer struct {
	Workers  int                       // 0 is one for each core
	Cache    *Cache                    // nil for none
	Progress func(done, of int)        // called after every file, and by Past after every run, one call at a time; may be nil
	Stdin    func() (io.Reader, error) // what a path of "-" stands for; may be nil
	Known    []segment.Known           // workouts of the runner, by which recordings are split
}

// Gather makes the sums of the recordings in files, folders and archives, and
// reads those that were made elsewhere (see Lines). Runs and errors come in the
// order of the paths; an error does not stop the others. When ctx is done no further
// recording is begun, and the last error is that of ctx.
func (g Gatherer) Gather(ctx context.Context, paths []string) ([]Run, []error) {
	var files []string
	var lost []error // by file; those about paths stand in their places
	for path, err := range g.files(paths) {
		files, lost = append(files, path), append(lost, err)
	}
	found := make([]gathered, len(files))
	s := splitter{slots: make(chan struct{}, g.workers()), spare: &sync.Pool{New: func() any { return new([]byte) }}, seen: g.Cache.stamps(paths), known: g.Known, knownKey: g.knownKey()}
	g.each(ctx, len(files), func(i int) {
		if lost[i] != nil {
			found[i].errs = []error{lost[i]}
		} else {
			found[i] = g.file(ctx, files[i], s)
		}
	})
	s.seen.keep(g.Cache)
	n := 0
	for _, f := range found {
		n += len(f.runs)
	}
	runs := make([]Run, 0, n)
	var errs []error
	for _, f := range found {
		runs, errs = append(runs, f.runs...), append(errs, f.errs...)
	}
	if err := ctx.Err(); err != nil {
		errs = append(errs, err)
	}
	return runs, errs
}

// each does work for 0 to n-1, some at a time, and tells the progress after each. When ctx is
// done no further one is begun.
func (g Gatherer) each(ctx context.Context, n int, work func(i int)) {
	next := make(chan int)
	var all sync.WaitGroup
	var said sync.Mutex
	done := 0
	for range min(g.workers(), n) {
		all.Go(func() {
			for i := range next {
				work(i)
				said.Lock()
				done++
				if g.Progress != nil {
					g.Progress(done, n)
				}
				said.Unlock()
			}
		})
	}
	for i := range n {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	all.Wait()
}

func (g Gatherer) workers() int {
	if g.Workers > 0 {
		return g.Workers
	}
	return runtime.GOMAXPROCS(0)
}

func (g Gatherer) files(paths []string) func(yield func(string, error) bool) {
	return func(yield func(string, error) bool) {
		for _, p := range paths {
			if p == stdin && g.Stdin != nil {
				if !yield(p, nil) {
					return
				}
				continue
			}
			for path, err := range recording.Files([]string{p}) {
				if !yield(path, err) {
					return
				}
			}
		}
	}
}

// stdin is the path of standard input.
const stdin = "-"

// gathered is what one file gave.
type gathered struct {
	runs []Run
	errs []error
}

// file gives the sums of one file.
func (g Gatherer) file(ctx context.Context, path string, s splitter) gathered {
	is, was := stamp{}, ""
	if g.Cache != nil && path != stdin {
		is = stampOf(path)
		was = s.seen.key(path, is)
	}
	kept, as, ok := g.kept(was, s)
	if ok {
		s.seen.saw(path, is, was)
		return gathered{runs: named(path, as, kept.Runs)}
	}
	in, lines, err := g.open(path)
	if err != nil {
		return gathered{errs: []error{err}}
	}
	if c, ok := in.(io.Closer); ok {
		defer c.Close()
	}
	if lines {
		return readLines(path, in)
	}
	buffer := s.spare.Get().(*[]byte)
	raw, err := recording.ReadAllInto(*buffer, path, in)
	if err != nil {
		return gathered{errs: []error{err}}
	}
	key := hash(raw)
	if g.Cache == nil { // nothing is kept that others would use
		kept, errs := s.split(ctx, path, raw)
		return gathered{named(path, key, kept.Runs), errs}
	}
	if key != was { // which was just looked for
		kept, as, ok = g.kept(key, s)
	}
	if ok && cap(raw) <= largestSpare {
		*buffer = raw
		s.spare.Put(buffer)
	}
	if !ok {
		var errs []error
		if kept, as, errs = g.made(ctx, key, as, path, raw, s); len(errs) > 0 || ctx.Err() != nil {
			return gathered{named(path, as, kept.Runs), errs}
		}
	}
	s.seen.saw(path, is, key)
	return gathered{runs: named(path, as, kept.Runs)}
}

// kept gives the sums of a content out of the cache, for the workouts of the runner, and the key that they have
// there, or that of the first that is missing.
func (g Gatherer) kept(key string, s splitter) (k keptFile, as string, ok bool) {
	if key == "" || !g.Cache.getSums(key, &k) {
		return k, key, false
	}
	if as = s.ownKey(key, k); as != key {
		k = keptFile{}
		ok = g.Cache.getSums(as, &k)
		return k, as, ok
	}
	return k, as, true
}

// made makes the sums of a content that are missing under a key, as, and keeps what is whole: first the sums that hold
// without any workouts of the runner, then, where workouts matter, those for the ones there are. It gives the key of the last.
func (g Gatherer) made(ctx context.Context, key, as, path string, raw []byte, s splitter) (k keptFile, _ string, errs []error) {
	if as == key {
		if k, errs = s.knowing(nil).split(ctx, path, raw); len(errs) > 0 || ctx.Err() != nil {
			return k, as, errs
		}
		g.Cache.putSums(key, k)
		if as = s.ownKey(key, k); as == key || g.Cache.getSums(as, &k) {
			return k, as, nil
		}
	}
	if k, errs = s.split(ctx, path, raw); len(errs) == 0 && ctx.Err() == nil {
		g.Cache.putSums(as, k)
	}
	return k, as, errs
}

// open gives a file or standard input, and tells whether it is one of sums.
func (g Gatherer) open(path string) (in io.Reader, lines bool, err error) {
	if path != stdin || g.Stdin == nil {
		f, refused := recording.OpenFile(path)
		if errors.Is(refused, recording.ErrTooLarge) { // sums may have any size
			f, _ = input.Open(path, math.MaxInt64)
		}
		if f == nil {
			return nil, false, refused
		}
		head := make([]byte, len(lineStart))
		f.ReadAt(head, 0)
		if isLines(head) {
			return f, true, nil
		}
		if refused != nil {
			f.Close()
			return nil, false, refused
		}
		return f, false, nil
	}
	if in, err = g.Stdin(); err != nil {
		return nil, false, err
	}
	buffered := bufio.NewReader(io.LimitReader(in, mostLines))
	head, _ := buffered.Peek(len(lineStart))
	return buffered, isLines(head), nil
}

// Bounds on sums that were made elsewhere, which are read line by line: a line
// has 10 kB, one of a day's run 100.
const (
	longestLine  = 8 << 20   // bytes
	mostLines    = 512 << 20 // bytes of standard input; files have their own size
	mostBadLines = 1000      // of a file, before it is given up
)

// named gives runs, whose names are relative to their file, their full names.
func named(path, key string, runs []Run) []Run {
	for i := range runs {
		runs[i].key = fmt.Sprintf("%s-%d", key, i)
		runs[i].path, runs[i].inside = path, runs[i].File
		runs[i].File = path + runs[i].File
	}
	return runs
}

// A splitter makes sums, a bounded number at a time.
type splitter struct {
	slots    chan struct{}
	spare    *sync.Pool // buffers of files whose sums were kept, for the next ones
	seen     *stamps
	known    []segment.Known
	knownKey string
}

// knowing is the splitter with other workouts of the runner.
func (s splitter) knowing(known []segment.Known) splitter {
	s.known = known
	return s
}

// largestSpare is how large a buffer may be, in bytes, to be used again.
const largestSpare = 4 << 20

// split makes the sums of the recordings of one file. Archives are spread over
// the cores too.
func (s splitter) split(ctx context.Context, path string, raw []byte) (keptFile, []error) {
	var runs []*Run
	var swayable atomic.Bool
	var errs []error
	var wait sync.WaitGroup
	for r, err := range recording.Each(path, raw) {
		if ctx.Err() != nil {
			break
		}
		if err != nil {
			errs = append(errs, err)
			continue
		}
		run := new(Run)
		runs = append(runs, run)
		s.slots <- struct{}{}
		wait.Go(func() {
			sums, sways := sumsOf(r, s.known)
			if *run = sums.pack(); sways {
				swayable.Store(true)
			}
			run.File = strings.TrimPrefix(run.File, path)
			<-s.slots
		})
	}
	wait.Wait()
	var out []Run
	for _, r := range runs {
		out = append(out, *r)
	}
	return keptFile{out, swayable.Load()}, errs
}

// sumsOf makes the sums of a recording, and tells whether workouts of the runner might change
// them. One that is no run is not split.
func sumsOf(r *recording.Recording, known []segment.Known) (run Run, swayable bool) {
	run = Run{File: r.Name, Start: r.Start, Sport: r.Sport, ElapsedS: r.Duration(), Where: []Where{{Place: r.Place}}}
	if !run.counts() {
		return run, false
	}
	s, err := segment.Split(r, segment.Knowing(known...))
	if err != nil { // of a recording that holds too little
		run.LeftOut = err.Error()
		return run, false
	}
	return Summarise(s), s.Swayable()
}

// A line is what "split" writes of a recording, as far as it matters here.
type line struct {
	Schema string `json:"schema"`
	File   string `json:"file"`
	Sums   *Run   `json:"sums"`
}

const lineStart = `{"schema":"rungs/split/`

func isLines(raw []byte) bool { return bytes.HasPrefix(raw, []byte(lineStart)) }

// readLines reads sums that "split" wrote, an object a line.
func readLines(path string, in io.Reader) gathered {
	var g gathered
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, longestLine)
	n := -1
	for lines.Scan() && len(g.errs) < mostBadLines {
		text := lines.Bytes()
		if n++; len(bytes.TrimSpace(text)) == 0 {
			continue
		}
		var l line
		fail := func(format string, args ...any) {
			g.errs = append(g.errs, fmt.Errorf("%s:%d: %s", path, n+1, fmt.Sprintf(format, args...)))
		}
		switch err := json.Unmarshal(text, &l); {
		case err != nil:
			fail("is no line of rungs split: %v", err)
		case !strings.HasPrefix(l.Schema, "rungs/split/"):
			fail("is no line of rungs split")
		case l.Sums == nil:
			fail("has no sums; make it with rungs split --format json --sums")
		default:
			run, err := l.Sums.unpack()
			if err == nil {
				err = run.check()
			}
			if err != nil {
				fail("%v", err)
				continue
			}
			run.File, run.Packed = l.File, nil
			g.runs = append(g.runs, run.pack())
		}
	}
	switch err := lines.Err(); {
	case err != nil:
		g.errs = append(g.errs, fmt.Errorf("%s:%d: cannot be read on: %v", path, n+2, err))
	case len(g.errs) >= mostBadLines:
		g.errs = append(g.errs, fmt.Errorf("%s:%d: is given up after %d bad lines; is it the right file?", path, n+1, mostBadLines))
	}
	return g
}
