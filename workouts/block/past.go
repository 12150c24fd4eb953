package block

import (
	"bytes"
	"context"
	"encoding/gob"
	"errors"
	"fmt"

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
	ask := asker{Gatherer: g, Past: p, historian: h, kept: map[string]library.Trial{}}
	key := "past-" + hash([]byte(h.Key()))
	var kept keptTrials
	g.Cache.get(key, &kept, func() bool { return kept.read(&ask.kept) })
	answers := make([]answer, len(p.Runs))
	g.each(ctx, len(p.Runs), func(i int) { answers[i] = ask.run(i) })
	var errs []error
	anew := false
	for i, r := range p.Runs {
		x := answers[i]
		if x.err != nil {
			errs = append(errs, x.err)
		}
		if x.anew && x.key != "" {
			ask.kept[x.key], anew = x.trial, true
		}
		h.Take(r.File, x.trial)
	}
	if raw, ok := written(ask.kept); ok && anew {
		g.Cache.put(key, keptTrials{raw})
	}
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
	kept      map[string]library.Trial // what was found before; not written to
}

// An answer is what a run shows of a workout.
type answer struct {
	trial library.Trial
	key   string // of the content and of what the log says it was; empty when not known
	anew  bool   // its recording was read for it
	err   error
}

// run asks one run, by its sums, by what is kept, or by its recording.
func (p asker) run(i int) (x answer) {
	r := p.Runs[i]
	said := saidOf(r, p.Log, p.Calendar)
	what := saysRun(said)
	switch {
	case said.LeaveOut || !r.counts():
		return x
	case r.LeftOut != "":
		return answer{err: errors.New(r.File + ": " + r.LeftOut)}
	case what == "" && !r.Unmeasured && !p.historian.Worth(p.course(i)):
		return x
	}
	if r.key != "" {
		x.key = r.key + " " + what
	}
	if t, ok := p.kept[x.key]; ok {
		x.trial = t
		return x
	}
	x.trial, x.err = p.ask(r, said)
	x.anew = x.err == nil
	return x
}

// ask splits the recording of a run again, as the log has it, and asks that.
func (p asker) ask(r Run, said log.Entry) (library.Trial, error) {
	rec, err := r.Recording()
	if err != nil {
		return library.Trial{}, err
	}
	if saysRun(said) != "" { // which is laid over what the recording alone shows
		p.Known = nil
	}
	s, err := p.split(rec)
	if err != nil {
		return library.Trial{}, fmt.Errorf("%s: %w", r.File, err)
	}
	if p.Calibrate != nil {
		p.Calibrate(s)
	}
	t, err := p.historian.Try(correct.Told(s, said))
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

// keptTrials are the trials of one workout as the cache has them. Figures may be no numbers,
// which JSON lacks.
type keptTrials struct {
	Trials []byte `json:"trials"`
}

// mostTrials bounds what is kept of one workout; a recording that was asked takes some kB.
const mostTrials = 5000

func written(trials map[string]library.Trial) ([]byte, bool) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(trials)
	return b.Bytes(), err == nil && len(trials) <= mostTrials
}

// read gives the trials, and tells whether they can be some.
func (k keptTrials) read(into *map[string]library.Trial) bool {
	trials := map[string]library.Trial{}
	if gob.NewDecoder(bytes.NewReader(k.Trials)).Decode(&trials) != nil {
		return false
	}
	for _, t := range trials {
		r := t.Run
		if !t.Is && r.Result == nil {
			continue
		}
		if !t.Is || r.Result == nil || r.Done < 0 || r.Done > len(r.Result.Reps) || len(r.Result.Reps) > workouts.MaxPlanned ||
			!(r.Likeness >= 0 && r.Likeness <= 1) || !(r.ElapsedS > 0) || r.WorkS > r.ElapsedS {
			return false
		}
	}
	*into = trials
	return true
}
