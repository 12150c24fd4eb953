package block

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"slices"
	"sync"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/log"
)

// A Past is what the history of a workout is taken from.
type Past struct {
	Runs      []Run             // as Gather gave them
	Courses   []likeness.Course // of the runs; nil makes them, which takes the most of the time
	Log       log.Log
	Calendar  Calendar
	Calibrate func(*segment.Session) // is done to what is split again; may be nil
}

// Course is what a run is compared with workouts by.
func (r Run) Course() likeness.Course { return likeness.CourseRun(r.session()) }

// Past adds those runs to the history of a workout in which it was run, as the log has them: without
// those that it leaves out, and corrected ones as what they were. Errors are in the order of the
// runs; one does not stop the others.
//
// The sums tell which recordings may be of the workout, and only these are read again, once while
// there is a cache. So a history costs little more than the sums, and says what it says without them.
func (g Gatherer) Past(ctx context.Context, h *library.Historian, p Past) []error {
	ask := asker{Gatherer: g, Past: p, historian: h, key: h.Key()}
	trials, errs := make([]library.Trial, len(p.Runs)), make([]error, len(p.Runs))
	var all sync.WaitGroup
	next := make(chan int)
	for range min(g.workers(), len(p.Runs)) {
		all.Go(func() {
			for i := range next {
				trials[i], errs[i] = ask.run(i)
			}
		})
	}
	for i := range p.Runs {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	all.Wait()
	for i, r := range p.Runs {
		h.Take(r.File, trials[i])
	}
	errs = slices.DeleteFunc(errs, func(err error) bool { return err == nil })
	if ctx.Err() != nil {
		errs = append(errs, ctx.Err())
	}
	return errs
}

// saidOf is what the log says of a recording, taken alone.
func saidOf(r Run, l log.Log, c Calendar) log.Entry {
	if r.Start.IsZero() {
		return log.Entry{}
	}
	said, _ := l.Match([]log.Session{{Start: c.Local(r.Start), ElapsedS: r.ElapsedS, Files: r.Files()}})
	return said[0]
}

// An asker asks runs for one workout.
type asker struct {
	Gatherer
	Past
	historian *library.Historian
	key       string // of what a trial depends on besides the session
}

// A keptTrial is a trial as the cache has it: figures may be no numbers, which JSON lacks.
type keptTrial struct {
	Trial []byte `json:"trial"`
}

// run asks one run, by its sums, by the cache, or by its recording.
func (p asker) run(i int) (t library.Trial, err error) {
	r := p.Runs[i]
	said := saidOf(r, p.Log, p.Calendar)
	what := said.Was
	if said.Reps != nil {
		what += " reps " + log.FormatReps(said.Reps)
	}
	switch {
	case said.LeaveOut || !r.counts():
		return t, nil
	case r.LeftOut != "":
		return t, errors.New(r.File + ": " + r.LeftOut)
	case what == "" && !r.Unmeasured && !p.historian.Worth(p.course(i)):
		return t, nil
	}
	key := ""
	if r.key != "" {
		key = "past-" + hash([]byte(fmt.Sprintf("%q %q %s", r.key, what, p.key)))
	}
	var kept keptTrial
	if p.Cache.get(key, &kept, func() bool { return sensibleTrial(kept, &t) }) {
		return t, nil
	}
	if t, err = p.anew(r, said); err != nil {
		return library.Trial{}, err
	}
	var b bytes.Buffer
	if gob.NewEncoder(&b).Encode(t) == nil {
		p.Cache.put(key, keptTrial{b.Bytes()})
	}
	return t, nil
}

// anew asks the recording of a run, as the log has it.
func (p asker) anew(r Run, said log.Entry) (t library.Trial, err error) {
	rec, err := r.Recording()
	if err != nil {
		return t, err
	}
	s, err := segment.Split(rec)
	if err != nil {
		return t, fmt.Errorf("%s: %w", r.File, err)
	}
	if p.Calibrate != nil {
		p.Calibrate(s)
	}
	t, err = p.historian.Try(correct.Told(s, said))
	switch {
	case errors.Is(err, library.ErrNoSpeed):
		return library.Trial{}, nil
	case err != nil:
		return library.Trial{}, fmt.Errorf("%s: %w", r.File, err)
	}
	return t, nil
}

func (p asker) course(i int) likeness.Course {
	if p.Courses != nil {
		return p.Courses[i]
	}
	return p.Runs[i].Course()
}

// sensibleTrial reads a trial that was kept, and tells whether it can be one.
func sensibleTrial(kept keptTrial, t *library.Trial) bool {
	*t = library.Trial{}
	if gob.NewDecoder(bytes.NewReader(kept.Trial)).Decode(t) != nil {
		return false
	}
	if !t.Is {
		return t.Run.Result == nil
	}
	r := t.Run
	return r.Result != nil && r.Done >= 0 && r.Done <= len(r.Result.Reps) && len(r.Result.Reps) <= workouts.MaxPlanned &&
		r.Likeness >= 0 && r.Likeness <= 1 && r.ElapsedS > 0 && !(r.WorkS > r.ElapsedS)
}
