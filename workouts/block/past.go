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
	"example.org/rungs/workouts/log"
)

// Past adds those of the runs that Gather gave to the history of a workout in which it was run, as the
// log has them: without those that it leaves out, and corrected ones as what they were.
// Calibrate is done to a session that was split again; it may be nil. Errors are in the order of the runs;
// one does not stop the others.
//
// The sums tell which recordings may be of the workout, and only these are read again, once while
// there is a cache. So a history costs little more than the sums, and says what it says without them.
func (g Gatherer) Past(ctx context.Context, runs []Run, h *library.Historian, l log.Log, c Calendar, calibrate func(*segment.Session)) []error {
	p := past{Gatherer: g, historian: h, key: h.Key(), calibrate: calibrate}
	trials, errs := make([]library.Trial, len(runs)), make([]error, len(runs))
	var all sync.WaitGroup
	slots := make(chan struct{}, g.workers())
	for i, r := range runs {
		if ctx.Err() != nil {
			break
		}
		e := saidOf(r, l, c)
		if e.LeaveOut || !r.counts() {
			continue
		}
		slots <- struct{}{}
		all.Go(func() {
			trials[i], errs[i] = p.try(r, e)
			<-slots
		})
	}
	all.Wait()
	for i, r := range runs {
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

// A past asks runs for one workout.
type past struct {
	Gatherer
	historian *library.Historian
	key       string // of what a trial depends on besides the session
	calibrate func(*segment.Session)
}

// kept is a trial as the cache has it: figures may be no numbers, which JSON lacks.
type keptTrial struct {
	Trial []byte `json:"trial"`
}

// try asks one run, by its sums, by the cache, or by its recording.
func (p past) try(r Run, said log.Entry) (t library.Trial, err error) {
	if r.LeftOut != "" {
		return t, errors.New(r.File + ": " + r.LeftOut)
	}
	what := said.Was
	if said.Reps != nil {
		what += " reps " + log.FormatReps(said.Reps)
	}
	if what == "" && !r.Unmeasured && !p.historian.Worth(r.session()) {
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
	rec, err := r.Recording()
	if err != nil {
		return t, err
	}
	s, err := segment.Split(rec)
	if err != nil {
		return t, fmt.Errorf("%s: %w", r.File, err)
	}
	if p.calibrate != nil {
		p.calibrate(s)
	}
	if t, err = p.historian.Try(correct.Told(s, said)); errors.Is(err, library.ErrNoSpeed) {
		t, err = library.Trial{}, nil
	}
	if err != nil {
		return library.Trial{}, fmt.Errorf("%s: %w", r.File, err)
	}
	var b bytes.Buffer
	if gob.NewEncoder(&b).Encode(t) == nil {
		p.Cache.put(key, keptTrial{b.Bytes()})
	}
	return t, nil
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
