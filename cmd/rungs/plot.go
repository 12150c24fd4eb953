package main

import (
	"path/filepath"
	"strconv"
	"strings"

	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/report/chart"
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

// plot writes a picture, whole or not at all; err says why there is none. The picture shows
// what is called name.
func (e *env) plot(path, name string, c chart.Chart, err error) int {
	if err != nil {
		return e.complain(name + ": " + err.Error())
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

// A plotter draws the first of several sessions.
type plotter struct {
	path  string // empty for no picture
	drawn bool
}

// draw writes the picture of a session, or complains that the file holds another.
func (p *plotter) draw(e *env, name string, picture func() (chart.Chart, error)) int {
	if p.path == "" {
		return exitFine
	}
	if p.drawn {
		return e.complain(name + ": not drawn, as " + p.path + " holds the first recording")
	}
	p.drawn = true
	c, err := picture()
	return e.plot(p.path, name, c, err)
}
