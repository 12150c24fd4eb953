package main

import (
	"os"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
)

// trainingText says, in the help of commands, what a training folder is.
const trainingText = `In a training folder, or below it, no path is needed: that is a folder with
` + folder.Log + ` (what you say of sessions; "rungs help log") or ` + folder.Plan + `
(the planned block), perhaps ` + folder.Athlete + `, and recordings anywhere below it.`

// A training is the training folder and its log.
type training struct {
	folder.Folder
	log log.Log
}

// findTraining finds the training folder from the working folder upward and reads
// its log; nil when there is none. Lines of the log that are wrong are said, and
// remembered in the status; they stop nothing.
func (e *env) findTraining() (*training, int) {
	f, ok := folder.Find(".")
	if !ok {
		return nil, exitFine
	}
	t := &training{Folder: f}
	var err error
	if t.log, err = log.Read(f.LogPath()); err != nil {
		return t, e.complain(fileTrouble(f.LogPath(), err))
	}
	if wrong := t.log.Wrong(); len(wrong) > 0 {
		return t, e.complainFully(wrong)
	}
	return t, exitFine
}

// paths are the paths given, or the training folder when there are none.
func (t *training) paths(given []string) []string {
	if len(given) == 0 && t != nil {
		return []string{t.Path}
	}
	return given
}

// obey reads a session again by what the log says it was. A session that shares its day
// with others in the folder is meant by a line with its time or file.
func (t *training) obey(s *segment.Session, c block.Calendar) *segment.Session {
	if t == nil || s.Recording.Start.IsZero() {
		return s
	}
	is := log.Session{Start: c.Local(s.Recording.Start), ElapsedS: s.Recording.Duration(), Files: []string{s.Recording.Name}}
	said, _ := t.log.Match([]log.Session{is})
	if said[0].Was == "" {
		return s
	}
	return correct.Session(s, said[0].Workout)
}

// trainingAthlete is the athlete file of the training folder, when no other is named.
func trainingAthlete(named string) string {
	if named != "" || os.Getenv("RUNGS_ATHLETE") != "" {
		return named
	}
	if f, ok := folder.Find("."); ok {
		return f.AthletePath()
	}
	return ""
}
