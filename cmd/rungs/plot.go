package main

import (
	"path/filepath"
	"strconv"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/report"
)

// Size of a picture.
const (
	plotWidth = 900 // CSS pixels
	plotScale = 2   // pixels of a PNG for each of them
)

// plotMisuse says what is wrong with a picture of so many files; empty when
// nothing is.
func plotMisuse(path string, files int) string {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg", ".png":
	default:
		return "--plot writes .svg and .png, which the name must end in, not " + strconv.Quote(path)
	}
	if files > 1 {
		return "--plot draws one recording; " + strconv.Itoa(files) + " files are named"
	}
	return ""
}

// plot writes the picture of a session, whole or not at all.
func (e *env) plot(path string, s *segment.Session, o report.Options) int {
	c, err := report.Plot(s, o)
	if err != nil {
		return e.complain(s.Recording.Name + ": " + err.Error())
	}
	var b []byte
	if strings.EqualFold(filepath.Ext(path), ".png") {
		b, err = c.PNG(plotWidth, plotScale)
	} else {
		b = c.File(plotWidth)
	}
	if err == nil {
		e.saving.Lock()
		defer e.saving.Unlock()
		err = library.WriteFile(path, b, true)
	}
	if err != nil {
		return e.complain(fileTrouble(path, err))
	}
	return exitFine
}
