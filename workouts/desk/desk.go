package desk

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"slices"
	"sync"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/library"
)

// Options say what a desk is opened on.
type Options struct {
	Folder   folder.Folder
	Calendar block.Calendar
	Library  library.Library // its Folder may be empty or missing
	Cache    *block.Cache    // of sums; nil for none

	Known []segment.Known // workouts of the runner, by which recordings are split

	Athlete func() (athlete.Athlete, error) // reads the athlete file as it is now
	Now     func() time.Time                // nil is the clock
}

// A Desk is a training folder that is being looked at and written to. Its methods may be
// called at once.
type Desk struct {
	Options
	root    *os.Root // of the folder: nothing outside it is read
	ground  ground
	scenes  scenes
	saves   saves
	splits  splits
	guard   guard
	writing sync.RWMutex // held for reading while a file is written; Close takes it whole
	times   times
}

// times bound a connection: a browser on the same machine needs a fraction of them.
type times struct{ head, body, idle, closing time.Duration }

// usualTimes are common practice, no source.
var usualTimes = times{head: 5 * time.Second, body: 30 * time.Second, idle: 2 * time.Minute, closing: 3 * time.Second}

// mostHead is the largest head of a request, in bytes.
const mostHead = 32 << 10

// Open opens a desk. It reads nothing yet but the folder itself.
func Open(o Options) (*Desk, error) {
	root, err := os.OpenRoot(o.Folder.Path)
	if err != nil {
		return nil, err
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Athlete == nil {
		o.Athlete = func() (athlete.Athlete, error) { return athlete.New(), nil }
	}
	d := &Desk{Options: o, root: root, times: usualTimes}
	d.ground.ready = make(chan struct{})
	return d, nil
}

// Close waits for what is being written and lets go of the folder. Nothing is written after it.
func (d *Desk) Close() error {
	d.writing.Lock() // and never given back
	return d.root.Close()
}

// A route answers one kind of request, named as http.ServeMux has it: "GET /session/{name}".
// An error of do is shown as a page, with the status of a refusal.
type route struct {
	pattern string
	do      func(v *visit) error
}

// routes are all that the desk answers to.
func routes() []route {
	return slices.Concat(frameRoutes, weeksRoutes, sessionRoutes, newsRoutes, planRoutes, libraryRoutes, blockRoutes)
}

// handler is the desk behind its guard, for the host that it is reached by: "127.0.0.1:4711".
func (d *Desk) handler(host string) http.Handler {
	d.guard = newGuard(host)
	mux := http.NewServeMux()
	for _, r := range routes() {
		mux.HandleFunc(r.pattern, func(w http.ResponseWriter, req *http.Request) {
			v := &visit{Desk: d, w: w, r: req}
			if err := r.do(v); err != nil {
				v.refuse(err)
			}
		})
	}
	return d.guard.wrap(mux)
}

// Serve answers on a listener until ctx is done, then lets what is being written end. Told
// is called with the address to open when there is one to answer, and with one that is good for
// a single visit, for the program that opens a browser.
func (d *Desk) Serve(ctx context.Context, l net.Listener, told func(address, once string)) error {
	at, ok := l.Addr().(*net.TCPAddr)
	if !ok || !at.IP.IsLoopback() {
		return fmt.Errorf("%s: is no address of this machine alone", l.Addr())
	}
	host := at.String()
	s := &http.Server{
		Handler: d.handler(host), ReadHeaderTimeout: d.times.head, ReadTimeout: d.times.body, IdleTimeout: d.times.idle,
		MaxHeaderBytes: mostHead, ErrorLog: silent,
	}
	watching, stop := context.WithCancel(ctx)
	defer stop()
	var watch sync.WaitGroup
	watch.Go(func() { d.watch(watching) })
	defer watch.Wait()
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	told(d.guard.addresses())
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	closing, done := context.WithTimeout(context.Background(), d.times.closing)
	defer done()
	if err := s.Shutdown(closing); errors.Is(err, context.DeadlineExceeded) {
		s.Close() // of pages that read slowly; what is written is waited for by Close
	}
	return nil
}
