package main

import (
	"fmt"
	"math"
	"os"
	"slices"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
)

// trainingText says, in the help of commands, what a training folder is.
const trainingText = `In a training folder, or below it, no path is needed: that is a folder with
` + folder.Log + ` (what you say of sessions; "rungs help log") or ` + folder.Plan + `
(the planned block), perhaps ` + folder.Athlete + `, and recordings anywhere below it. Elsewhere
it is the folder that the athlete file names, such as training = "~/running".`

// A training is the training folder and its log.
type training struct {
	folder.Folder
	log log.Log
	env *env
	all []block.Run // sessions of the folder; nil until they are asked for
}

// findTraining finds the training folder from the working folder upward and reads
// its log; nil when there is none. Lines of the log that are wrong are said, and
// remembered in the status; they stop nothing.
func (e *env) findTraining() (*training, int) {
	f, ok := trainingFolder()
	if !ok {
		return nil, exitFine
	}
	t := &training{Folder: f, env: e}
	var err error
	if t.log, err = log.Read(f.LogPath()); err != nil {
		return t, e.complain(fileTrouble(f.LogPath(), err))
	}
	if wrong := t.log.Wrong(); len(wrong) > 0 {
		return t, e.complainFully(wrong)
	}
	return t, exitFine
}

// trainingFolder finds the training folder from the working folder upward, or else the one
// that the athlete file names; that file is found by the variable or in the configuration. A
// file that cannot be read is not reported here, since whatever needs it reports it.
func trainingFolder() (folder.Folder, bool) {
	if f, ok := folder.Find("."); ok {
		return f, true
	}
	a, err := athlete.Load("", os.Getenv)
	if err != nil || a.Training == "" {
		return folder.Folder{}, false
	}
	home, _ := os.UserHomeDir()
	return folder.Named(a.Training, a.Source, home), true
}

// paths are the paths given, or the training folder when there are none.
func (t *training) paths(given []string) []string {
	if len(given) == 0 && t != nil {
		return []string{t.Path}
	}
	return given
}

// obey reads a session again by what the log says it was.
func (t *training) obey(s *segment.Session, c block.Calendar) *segment.Session {
	e := t.said(s, c)
	if e.LeaveOut { // it was named, so it is told all the same
		out := *s
		out.Warnings = append(slices.Clone(s.Warnings), recording.Warning{Code: block.LeftOutByLog, StartS: math.NaN(), EndS: math.NaN(),
			Message: fmt.Sprintf("line %d of the log leaves it out: block and log do not count it", e.Line)})
		s = &out
	}
	return correct.Told(s, e)
}

// plain is a session as correct.Plain has it, where the runner has workouts.
func (t *training) plain(s *segment.Session, c block.Calendar) *segment.Session {
	if t == nil || len(t.env.known()) == 0 {
		return s
	}
	return correct.Plain(s, t.said(s, c))
}

// leavesOut tells whether the log leaves a session out.
func (t *training) leavesOut(s *segment.Session, c block.Calendar) bool { return t.said(s, c).LeaveOut }

// said is what the log says of a session.
func (t *training) said(s *segment.Session, c block.Calendar) log.Entry {
	if t == nil || s.Recording.Start.IsZero() {
		return log.Entry{}
	}
	said, _ := t.log.Match([]log.Session{{Start: c.Local(s.Recording.Start), ElapsedS: s.Recording.Duration(), Files: []string{s.Recording.Name}}})
	e := said[0]
	if e.Was == "" && e.Reps == nil && !e.LeaveOut {
		return e
	}
	// A line may mean a session by its day alone, or by a time that is near several: so
	// all sessions of the folder must be known.
	if t.all == nil {
		g := block.Gatherer{Cache: (&blocker{env: t.env}).openCache()}
		runs, _ := g.Gather(t.env.ctx, []string{t.Path})
		t.all, _ = g.Merge(runs)
	}
	var sessions []log.Session
	nearest := -1
	away := func(i int) time.Duration { return t.all[i].Start.Sub(s.Recording.Start).Abs() }
	for i, r := range t.all {
		sessions = append(sessions, log.Session{Start: c.Local(r.Start), ElapsedS: r.ElapsedS, Files: r.Files()})
		if nearest < 0 || away(i) < away(nearest) {
			nearest = i
		}
	}
	if nearest < 0 || away(nearest).Seconds() > t.all[nearest].ElapsedS+s.Recording.Duration() {
		return e // it is not in the folder
	}
	entries, _ := t.log.Match(sessions)
	return entries[nearest]
}

// trainingAthlete is the athlete file of the training folder, when no other is named.
func trainingAthlete(named string) string {
	if named != "" || os.Getenv("RUNGS_ATHLETE") != "" {
		return named
	}
	if f, ok := trainingFolder(); ok {
		return f.AthletePath()
	}
	return ""
}
