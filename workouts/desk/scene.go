package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"strings"
	"sync"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/log"
)

// A scene is all that a page looks at, as it was when the page was asked for: the sums, and the
// text files that go with them. It does not change.
type scene struct {
	*sums
	today   time.Time // midnight UTC of the runner's date
	log     log.Log
	logText text
	plan    *block.Plan // nil without one, or when it is wrong
	athlete athlete.Athlete
	entries []library.Entry // of the library

	told  []block.Run // all sessions, with what the log says of each, in the order of time
	all   []block.Run // those of them that count, read again where the log corrects them
	said  []recording.Warning
	wrong []error // of the text files, and of lines of the log
	desk  *Desk
	pasts pasts
}

// scenes keep the last one for as long as nothing changed.
type scenes struct {
	sync.Mutex
	last *scene
	key  string
}

// scene looks at everything as it is now. The error is errStill, or a refusal.
func (d *Desk) scene(ctx context.Context) (*scene, error) {
	sums, err := d.sums(ctx)
	if err != nil {
		return nil, err
	}
	s := &scene{sums: sums, today: d.Calendar.Day(d.Now()), desk: d}
	if s.logText, err = d.readText(folder.Log); err != nil {
		return nil, err
	}
	planText, err := d.readText(folder.Plan)
	if err != nil {
		s.wrong = append(s.wrong, err)
	}
	if s.athlete, err = d.Athlete(); err != nil {
		s.wrong = append(s.wrong, fmt.Errorf("athlete file: %w", err))
		s.athlete = athlete.New()
	}
	if s.entries, err = d.workouts(); err != nil {
		s.wrong = append(s.wrong, err)
	}
	key := fmt.Sprintf("%d %v %s %s %+v %s %v", sums.serial, s.today, token(s.logText.src), token(planText.src), s.athlete, shelved(s.entries), s.wrong)
	d.scenes.Lock()
	defer d.scenes.Unlock()
	if d.scenes.key == key {
		return d.scenes.last, nil
	}
	s.log = log.Parse(folder.Log, s.logText.src)
	if wrong := s.log.Wrong(); len(wrong) > 0 {
		s.wrong = append(s.wrong, wrong)
	}
	if planText.there {
		s.readPlan(planText)
	}
	var lines workouts.Diagnostics
	var more []recording.Warning
	g := d.gatherer()
	s.told, s.said, lines = g.Tell(sums.sessions, s.log, d.Calendar)
	s.all, more = g.Heed(s.told)
	s.said = append(s.said, more...)
	if len(lines) > 0 {
		s.wrong = append(s.wrong, lines)
	}
	d.scenes.last, d.scenes.key = s, key
	return s, nil
}

// onScene answers with what a page tells of a scene, or with how far the folder is read.
func onScene(show func(v *visit, s *scene) error) func(v *visit) error {
	return func(v *visit) error {
		s, err := v.scene(v.r.Context())
		switch {
		case errors.Is(err, errStill):
			return v.reading()
		case err != nil:
			return err
		}
		return show(v, s)
	}
}

// workouts lists the library; none without a library.
func (d *Desk) workouts() ([]library.Entry, error) {
	if d.Library.Folder == "" {
		return nil, nil
	}
	entries, _, err := d.Library.List()
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return entries, err
}

func (s *scene) readPlan(t text) {
	plan, err := block.ParsePlan(t.name, t.src)
	if err == nil {
		err = plan.Resolve(t.name, t.src, s.entries)
	}
	if err != nil {
		s.wrong = append(s.wrong, err)
		return
	}
	s.plan = &plan
}

// weeks adds up the sessions of the days from one to another, both included, and holds them
// against the plan; more days before are added up with them, for words that look back.
func (s *scene) weeks(from, to time.Time) (*block.Block, []block.KeptWeek, error) {
	var in []block.Run
	for _, r := range s.all {
		if day := s.desk.Calendar.Day(r.Start); !r.Start.IsZero() && !day.Before(from) && !day.After(to) {
			in = append(in, r)
		}
	}
	b := block.New(in, in, s.athlete, s.desk.Calendar)
	if s.plan == nil {
		return b, nil, nil
	}
	kept, err := s.plan.Against(b, s.today)
	return b, kept, err
}

// name is that of the page of a session: its day and time by the runner's clock.
func (s *scene) name(r block.Run) string {
	if r.Start.IsZero() {
		return ""
	}
	return s.desk.Calendar.Local(r.Start).Format("2006-01-02-150405")
}

// session finds a session by the name of its page, also one that the log leaves out: its
// place in told.
func (s *scene) session(name string) (int, error) {
	for i, r := range s.told {
		if s.name(r) == name && name != "" {
			return i, nil
		}
	}
	return 0, refusef(http.StatusNotFound, "It may have been moved or left out. Look at the weeks.", "There is no session of that name.")
}

// shelved stands for what a library holds.
func shelved(entries []library.Entry) string {
	var b strings.Builder
	for _, e := range entries {
		b.WriteString(e.Name + "\x00" + e.Text + "\x00")
	}
	return token(b.String())
}
