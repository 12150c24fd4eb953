package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/report/sessions"
)

// runners adds up every folder in the folders given as a runner of its own: with its own
// athlete file, log and planned block, where it has them.
func (b *blocker) runners(paths []string) int {
	status := exitFine
	var all []sessions.Runner
	for _, path := range paths {
		inside, err := os.ReadDir(path)
		if err != nil {
			status = max(status, b.complain(fileTrouble(path, err)))
			continue
		}
		for _, d := range inside {
			if !d.IsDir() || strings.HasPrefix(d.Name(), ".") || !holdsRecording(filepath.Join(path, d.Name())) {
				continue
			}
			r, found := b.runner(d.Name(), filepath.Join(path, d.Name()))
			if status = max(status, found); r != nil {
				all = append(all, *r)
			}
		}
	}
	if len(all) == 0 {
		return max(status, b.complain("block: no folder in "+strings.Join(paths, ", ")+" holds a recording; each runner has a folder there"))
	}
	return max(status, b.print(sessions.Club(all), b.format))
}

// holdsRecording tells whether a folder holds a recording, at any depth.
func holdsRecording(path string) bool {
	for _, err := range recording.Files([]string{path}) {
		return !errors.Is(err, recording.ErrNoRecords)
	}
	return false
}

// runner adds up one runner's folder; nil when that cannot be done, which is said.
func (b *blocker) runner(name, path string) (*sessions.Runner, int) {
	one := *b
	f := folder.Folder{Path: path}
	one.training, one.all, one.athlete = &training{Folder: f, env: b.env}, true, workouts.NewAthlete()
	status := exitFine
	if file := f.AthletePath(); file != "" {
		var found int
		if one.athlete, found = b.loadAthlete(file); found != exitFine {
			return nil, found
		}
	}
	said, err := log.Read(f.LogPath())
	switch {
	case err != nil:
		status = b.complain(fileTrouble(f.LogPath(), err))
	case len(said.Wrong()) > 0:
		status = b.complainFully(said.Wrong())
	}
	one.training.log = said
	sums, _, found := one.add([]string{path}, nil)
	if sums == nil {
		return nil, max(status, found)
	}
	return &sessions.Runner{Name: name, Block: sums, Telling: sessions.Telling{Holds: b.span.holds, Kept: one.Kept, Warnings: one.Warnings}}, max(status, found)
}
